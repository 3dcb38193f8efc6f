"""The calendar: a row for each month, a mark for each day; and days done by week."""

from __future__ import annotations

import calendar
from collections.abc import Mapping, Sequence
from datetime import date

from trainer.core.charts.canvas import Canvas, Ink, Picture
from trainer.core.charts.time_axis import draw_dates, fit
from trainer.core.review.days import DayMark
from trainer.core.review.streaks import Week, WeekState
from trainer.core.words import month_name

REST_MARK, NONE_MARK, AHEAD_MARK = "=", ".", " "
MARKS: Mapping[DayMark, str] = {
    DayMark.HANG: "h",
    DayMark.PRESS: "p",
    DayMark.BOTH: "x",
    DayMark.PAIN: "!",
    DayMark.REST: REST_MARK,
}
"""The sign of each mark."""
KEY = (
    "h hang  p press  x both  ! with pain"
    f"  {REST_MARK} rest week  {NONE_MARK} no session  | Monday"
)
"""The line that says what the marks mean."""
_LABEL = 9
_INKS: Mapping[DayMark, Ink] = {
    DayMark.HANG: Ink.FIRST,
    DayMark.PRESS: Ink.SECOND,
    DayMark.BOTH: Ink.STRONG,
    DayMark.PAIN: Ink.STRONG,
}
CALENDAR_COLUMNS = _LABEL + 2 * 31 + 4
"""Columns of the calendar with room for the Mondays' bars; else half of it."""


def calendar_chart(
    marks: Mapping[date, DayMark],
    *,
    months: Sequence[tuple[int, int]],
    today: date,
    width: int = CALENDAR_COLUMNS,
) -> Picture:
    """Draw one row for each month, days of the month in columns, Mondays barred.

    Args:
        marks: the mark of each day that has one.
        months: years and months, oldest first.
        today: later days stay blank.
        width: cells across; where days can't have two each, Mondays have no bar.
    """
    cell = 2 if width >= CALENDAR_COLUMNS else 1
    end = _LABEL + cell * 31
    key = _key_rows(KEY if cell == 2 else KEY.removesuffix("  | Monday"), width)
    canvas = Canvas(min(width, CALENDAR_COLUMNS), len(months) + 1 + len(key))
    for number in (1, 5, 10, 15, 20, 25, 30):
        col = _LABEL + cell * (number - 1)
        canvas.put(0, col + (cell - 1 if number < 10 else 0), str(number), Ink.DIM)
    canvas.put(0, end, " all", Ink.DIM)
    for row, (year, month) in enumerate(months, start=1):
        label = f"{month_name(date(year, month, 1))[:3]} {year}"
        canvas.put(row, 0, label, Ink.DIM)
        done = 0
        for number in range(1, calendar.monthrange(year, month)[1] + 1):
            day = date(year, month, number)
            col = _LABEL + cell * (number - 1)
            if cell == 2 and day.isoweekday() == 1:
                canvas.put(row, col, "|", Ink.DIM)
            mark = marks.get(day)
            done += mark in _INKS
            if mark is None:
                sign = AHEAD_MARK if day > today else NONE_MARK
                canvas.put(row, col + cell - 1, sign, Ink.DIM)
            else:
                ink = _INKS.get(mark, Ink.DIM)
                canvas.put(row, col + cell - 1, MARKS[mark], ink)
        canvas.put(row, end, str(done).rjust(4))
    for row, text in enumerate(key, start=len(months) + 1):
        canvas.put(row, 0, text, Ink.DIM)
    return canvas.picture()


def _key_rows(key: str, width: int) -> list[str]:
    """Break a key between its entries, which stand two blanks apart."""
    rows = [""]
    for entry in key.split("  "):
        joined = f"{rows[-1]}  {entry}" if rows[-1] else entry
        if len(joined) <= width:
            rows[-1] = joined
        else:
            rows.append(entry)
    return rows


STATE_MARKS: Mapping[WeekState, str] = {
    WeekState.DONE: "+",
    WeekState.MISSED: "-",
    WeekState.RUNNING: "?",
    WeekState.REST: REST_MARK,
    WeekState.PAIN: MARKS[DayMark.PAIN],
    WeekState.FIRST: "~",
}
WEEKS_KEY = "+ done  - missed  ? running  = rest week  ! rest for pain  ~ first week"


def weeks_chart(weeks: Sequence[Week], *, width: int) -> Picture:
    """Draw the days done over the days planned for each week, as figures and a mark.

    Args:
        weeks: oldest first; where they don't all fit, the newest are drawn.
        width: cells across.
    """
    axis = None
    while weeks and axis is None:
        axis = fit(weeks[0].week, weeks[-1].week, width=width, bars=1)
        if axis is None:
            weeks = weeks[1:]
    key = _key_rows(WEEKS_KEY, width)
    canvas = Canvas(width, 4 + len(key))
    if axis is None:
        return canvas.picture()
    for row, label in enumerate(("done", "of", "week")):
        canvas.put(row, 0, label, Ink.DIM)
    for week in weeks:
        col = axis.column(axis.group(week.week))
        done = week.state is WeekState.DONE
        canvas.put(0, col, str(week.days_done), Ink.STRONG if done else Ink.PLAIN)
        canvas.put(1, col, str(week.planned_days), Ink.DIM)
        canvas.put(2, col, STATE_MARKS[week.state], Ink.FIRST if done else Ink.STRONG)
    draw_dates(canvas, axis, row=3)
    for row, text in enumerate(key, start=4):
        canvas.put(row, 0, text, Ink.DIM)
    return canvas.picture()

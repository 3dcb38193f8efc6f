"""The time axis under a picture: weeks side by side, as many bars each as fit.

When a period is too long for a bar per session, weeks are drawn, then blocks of weeks.
A week without a session stays empty: nothing is interpolated.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from trainer.core.charts.canvas import Canvas, Glyphs, Ink
from trainer.core.weeks import IsoWeek
from trainer.core.words import month_name, number

LEFT = 7
"""Cells for the figures beside the upright axis."""
RIGHT = 13
"""Cells for what is written after the last bar: ``target 40 s``."""
BLOCKS = (1, 2, 4, 8, 13, 26, 52)
"""Weeks that one group may stand for."""
SHAPES = ((5, 3), (4, 3), (4, 2), (3, 2), (3, 1), (2, 2), (2, 1), (1, 2), (1, 1))
"""Widths of a bar and of the gap after a group, the roomiest first."""
_STEPS = (0.5, 1, 2, 5, 10, 15, 20, 30, 50, 60, 100)
"""Distances between the figures on an upright axis."""


@dataclass(frozen=True, slots=True)
class TimeAxis:
    """Where each week and each bar stands, in cells from the left edge."""

    first: IsoWeek
    last: IsoWeek
    block_weeks: int
    """Weeks per group of bars."""
    bars: int
    """Bars per group."""
    bar_width: int
    gap: int
    """Empty cells after each group."""

    @property
    def groups(self) -> int:
        """How many groups there are."""
        return self.last.since(self.first) // self.block_weeks + 1

    @property
    def group_width(self) -> int:
        """Cells from one group to the next."""
        return self.bars * self.bar_width + self.gap

    @property
    def end(self) -> int:
        """The first cell after the last group."""
        return LEFT + self.groups * self.group_width

    @property
    def caption(self) -> str:
        """What a bar stands for, where each is a whole group's."""
        if self.block_weeks == 1:
            return "bar: week"
        return f"bar: {self.block_weeks} weeks"

    def group(self, week: IsoWeek) -> int:
        """Number the group that a week belongs to; the last one ends with ``last``."""
        return self.groups - 1 - self.last.since(week) // self.block_weeks

    def column(self, group: int, bar: int = 0) -> int:
        """Give the first cell of a bar."""
        return LEFT + group * self.group_width + bar * self.bar_width

    def starts(self) -> Iterable[tuple[int, IsoWeek]]:
        """Give each group's number and first week."""
        for group in range(self.groups):
            back = (self.groups - group) * self.block_weeks - 1
            yield group, max(self.first, self.last.plus(-back))


def fit(first: IsoWeek, last: IsoWeek, *, width: int, bars: int) -> TimeAxis | None:
    """Give the axis with the widest bars and BARS bars a week; None if none fits."""
    room = width - LEFT - RIGHT
    weeks = last.since(first) + 1
    for bar_width, gap in SHAPES:
        if weeks * (bars * bar_width + gap) <= room:
            return TimeAxis(first, last, 1, bars, bar_width, gap)
    return None


def fit_blocks(first: IsoWeek, last: IsoWeek, *, width: int, bars: int) -> TimeAxis:
    """Give the axis with the finest blocks of weeks that fit."""
    room = max(width - LEFT - RIGHT, bars + 1)
    weeks = last.since(first) + 1
    for block in BLOCKS:
        groups = -(-weeks // block)
        for bar_width, gap in SHAPES:
            if groups * (bars * bar_width + gap) <= room:
                return TimeAxis(first, last, block, bars, bar_width, gap)
    block = -(-weeks // (room // (bars + 1)))
    return TimeAxis(first, last, block, bars, 1, 1)


def draw_frame(
    canvas: Canvas, axis: TimeAxis, glyphs: Glyphs, *, top: float, rows: int, unit: str
) -> None:
    """Draw both axes with figures and dates as text.

    Args:
        canvas: where.
        axis: the weeks.
        glyphs: the characters to draw with.
        top: the figure at the upper end of the upright axis, which begins at zero.
        rows: rows from the upper end to the level axis, which is the next row; a figure
            stands beside the row whose upper edge is nearest to it.
        unit: written after each figure.
    """
    for row in range(rows):
        canvas.put(row, LEFT - 1, glyphs.upright, Ink.DIM)
    step = next((one for one in _STEPS if top / one <= rows / 2), top)
    for n in range(int(top / step + 1e-9) + 1):
        row = rows - round(n * step / top * rows)
        figure = f"{number(n * step)}{unit}"
        if len(figure) > LEFT - 2:
            figure = number(n * step)
        canvas.put(row, 0, figure.rjust(LEFT - 2), Ink.DIM)
    canvas.put(rows, LEFT - 1, glyphs.corner, Ink.DIM)
    canvas.put(rows, LEFT, glyphs.axis * (axis.end - LEFT), Ink.DIM)


def draw_dates(canvas: Canvas, axis: TimeAxis, *, row: int) -> None:
    """Write months under the groups in which they begin, or years where too narrow."""
    by_year = axis.groups * axis.block_weeks > 110
    free = 0
    before: date | None = None
    for group, week in axis.starts():
        day = week.sunday if before is None else week.monday
        begins = before is None or (
            (day.year != before.year)
            if by_year
            else ((day.year, day.month) != (before.year, before.month))
        )
        before = day
        if not begins:
            continue
        text = str(day.year) if by_year else month_name(day)[:3]
        if not by_year and (free == 0 or day.month == 1):
            text = f"{text} {day.year}"
        col = axis.column(group)
        if col >= free:
            canvas.put(row, col, text, Ink.DIM)
            free = col + len(text) + 1


def ink_of(fill: int) -> Ink:
    """Return the ink of the series with that number; it only repeats the filling."""
    return Ink.SECOND if fill % 2 else Ink.FIRST


def draw_bar(
    canvas: Canvas,
    glyphs: Glyphs,
    *,
    col: int,
    width: int,
    rows: int,
    height: float,
    fill: int = 0,
) -> None:
    """Draw a bar of HEIGHT rows (a fraction) that stands on the level axis.

    FILL is the number of its series: the first is solid, the others are hatched.
    """
    eighths = max(round(height * 8), 1 if height > 0 else 0)
    full, part = divmod(eighths, 8)
    glyph = glyphs.fill(fill)
    ink = ink_of(fill)
    for n in range(min(full, rows)):
        canvas.put(rows - 1 - n, col, glyph * width, ink)
    if not part or full >= rows:
        return
    # A hatched bar has no eighths: it is rounded, but never to nothing.
    if not fill:
        canvas.put(rows - 1 - full, col, glyphs.columns[part - 1] * width, ink)
    elif part >= 4:
        canvas.put(rows - 1 - full, col, glyph * width, ink)
    elif full == 0:
        canvas.put(rows - 1, col, glyphs.columns[0] * width, ink)

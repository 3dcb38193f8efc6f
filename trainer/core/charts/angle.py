"""The overhead angle over time, with the band in which it can't be told from noise.

An angle's axis doesn't begin at zero: nobody's arm hangs at the side in a check. What
the eye is to compare is the distance from the first check with the band about it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from trainer.core.angle.check import Reach
from trainer.core.angle.series import Reading, Series
from trainer.core.charts.canvas import UNICODE, Canvas, Glyphs, Ink, Picture
from trainer.core.words import month_name

LEFT, RIGHT = 7, 13
"""Cells for the figures beside the upright axis, and for the words at the end."""
LEAST_DAYS = 56
"""Days that the level axis covers at least (our choice)."""
STEPS = (5, 10, 20, 30)
"""Degrees between two figures of the upright axis."""
_Place = Callable[[Reading], tuple[int, int]]
"""The row and the column of a day."""


@dataclass(frozen=True, slots=True)
class Scale:
    """Which days and which angles a picture covers."""

    first: date
    days: int
    low_deg: float
    high_deg: float
    step_deg: int
    band: tuple[float, float] | None
    """About the first check of the first series, in degrees; None with one day."""

    def across(self, day: date) -> float:
        """Return a day's place from 0 to 1."""
        return (day - self.first).days / self.days

    def up(self, degrees: float) -> float:
        """Return an angle's place from 0 to 1."""
        return (degrees - self.low_deg) / (self.high_deg - self.low_deg)

    def figures(self) -> tuple[int, ...]:
        """Return the angles that stand beside the axis."""
        low = -int(-self.low_deg // self.step_deg) * self.step_deg
        return tuple(range(low, int(self.high_deg) + 1, self.step_deg))

    def months(self) -> tuple[tuple[date, str], ...]:
        """Return where each month begins, with its name; the first with its year."""
        found: list[tuple[date, str]] = []
        day = self.first
        while day <= self.first + timedelta(days=self.days):
            if day.day == 1 or not found:
                name = month_name(day)[:3]
                new_year = not found or day.month == 1
                found.append((day, f"{name} {day.year}" if new_year else name))
            day += timedelta(days=1)
        return tuple(found)


def scale_of(series: Sequence[Series], *, most_figures: int) -> Scale:
    """Return the days and angles that SERIES need; the band is cut where they end."""
    readings = [each for one in series for each in one.readings]
    values = [each.value for each in readings]
    first = min(each.day for each in readings)
    days = max((max(each.day for each in readings) - first).days, LEAST_DAYS)
    low, high = min(values) - 8, max(values) + 8
    change = series[0].change
    band = None
    if change is not None:
        start, needs = change.first.value, change.needs
        band = start - needs, start + needs
        low = min(low, max(band[0] - 2, low - 12))
        high = max(high, min(band[1] + 2, high + 12))
    step = next((one for one in STEPS if (high - low) / one <= most_figures), STEPS[-1])
    return Scale(first, days, low, high, step, band)


def angle_chart(
    series: Sequence[Series], *, width: int, height: int, glyphs: Glyphs = UNICODE
) -> Picture:
    """Draw one series, or guarded and free together, day by day.

    Dots: the mean of a day's photos; circles: the free angle. Shaded: what can't be
    told from noise about the first day of the first series.
    """
    rows = max(height - 2, 4)
    columns = max(width - LEFT - RIGHT, 10)
    canvas = Canvas(width, rows + 2)
    scale = scale_of(series, most_figures=max(2, rows // 2))

    def row(degrees: float) -> int:
        return min(max(rows - 1 - round(scale.up(degrees) * (rows - 1)), 0), rows - 1)

    def column(day: date) -> int:
        return LEFT + 1 + round(scale.across(day) * (columns - 2))

    if scale.band is not None:
        for at in range(row(scale.band[1]), row(scale.band[0]) + 1):
            canvas.put(at, LEFT, glyphs.shades[0] * columns, Ink.DIM)
        label = " noise"
        canvas.put(row(scale.band[1]), LEFT + columns, label, Ink.DIM)
    for at in range(rows):
        canvas.put(at, LEFT - 1, glyphs.upright, Ink.DIM)
    for degrees in scale.figures():
        canvas.put(row(degrees), 0, f"{degrees}°".rjust(LEFT - 2), Ink.DIM)
    canvas.put(rows, LEFT - 1, glyphs.corner + glyphs.axis * columns, Ink.DIM)
    free = 0
    for day, name in scale.months():
        if column(day) >= free and column(day) + len(name) <= width:
            canvas.put(rows + 1, column(day), name, Ink.DIM)
            free = column(day) + len(name) + 1
    for number, one in enumerate(series):
        _draw_series(
            canvas,
            one,
            number,
            lambda each: (row(each.value), column(each.day)),
            glyphs,
        )
    return canvas.picture()


def _draw_series(
    canvas: Canvas,
    series: Series,
    number: int,
    place: _Place,
    glyphs: Glyphs,
) -> None:
    ink = Ink.SECOND if number else Ink.FIRST
    point = glyphs.point
    if number:
        point = "○" if glyphs is UNICODE else "+"
    for each in series.readings:
        canvas.put(*place(each), point, ink)
    at, column = place(series.readings[-1])
    said = f" {round(series.readings[-1].value)}° {label_of(series)}".rstrip()
    if not canvas.is_blank(at, column + 2) and number:
        at = at + 1 if at + 1 < canvas.height - 2 else at - 1
    canvas.put(at, column + 1, said, ink)


def label_of(series: Series) -> str:
    """Return the word that a series is told apart by in a picture of two."""
    position = series.key.position
    return str(position.reach or position.blades or "")


def pictured(series: Series, other: Series | None) -> tuple[Series, ...]:
    """Return the series of a picture: the guarded or sunk one first."""
    if other is None:
        return (series,)
    first = series.key.position.reach is not Reach.FREE
    return (series, other) if first else (other, series)

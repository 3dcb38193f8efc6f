"""The page's pictures over time and its calendar, laid out as on the screen."""

from __future__ import annotations

import calendar
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from statistics import fmean

from trainer.core.charts.body import (
    SMALL,
    Cell,
    block_title,
    mark_side,
    mark_text,
)
from trainer.core.charts.calendar import KEY, NONE_MARK
from trainer.core.charts.canvas import nice_top
from trainer.core.charts.series import Bar, KeptPoint, group_means, lay_out
from trainer.core.charts.time_axis import LEFT as CELLS_LEFT
from trainer.core.charts.time_axis import RIGHT as CELLS_RIGHT
from trainer.core.charts.time_axis import TimeAxis, fit_blocks
from trainer.core.model import Moment
from trainer.core.review import sentences as say
from trainer.core.review.felt import Block
from trainer.core.review.review import ExerciseReview, Review
from trainer.core.weeks import IsoWeek
from trainer.core.words import month_name, number, whole_seconds

# Shapes that the page's pictures are made of; the template writes them as SVG.
#
# Lengths are in units of the picture's own grid, ``WIDTH`` across. Text is data: the
# template escapes it.

WIDTH = 440.0
"""Units across a picture: text of 13 units is still read at a phone's width."""


@dataclass(frozen=True, slots=True)
class Box:
    """A filled rectangle."""

    x: float
    y: float
    width: float
    height: float
    look: str
    """A class of the page's style sheet."""
    kind: str = "box"


@dataclass(frozen=True, slots=True)
class Stroke:
    """A straight line."""

    x1: float
    y1: float
    x2: float
    y2: float
    look: str
    kind: str = "stroke"


@dataclass(frozen=True, slots=True)
class Dot:
    """A filled circle."""

    x: float
    y: float
    radius: float
    look: str
    kind: str = "dot"


@dataclass(frozen=True, slots=True)
class Label:
    """A text."""

    x: float
    y: float
    text: str
    look: str = "label"
    anchor: str = "start"
    length: float | None = None
    """Stretch or squeeze the text to this length."""
    kind: str = "text"


Shape = Box | Stroke | Dot | Label


@dataclass(frozen=True, slots=True)
class Drawing:
    """A picture with its text alternative."""

    id: str
    title: str
    description: str
    height: float
    shapes: tuple[Shape, ...]
    width: float = WIDTH


# The felt map for the page: the body drawing with its sites shaded.

CELL_WIDTH, CELL_HEIGHT = 7.0, 13.0
NAMED = 4
"""Places named under a map, the strongest first."""
_HARD_SPACE = "\u00a0"


def felt_drawing(block: Block, moment: Moment | None) -> Drawing:
    """Draw one block and moment; None for any."""
    shapes: list[Shape] = []
    marks = block.marks[moment]
    said = "any moment" if moment is None else moment.value
    for mark in marks:
        if not mark.level:
            continue
        cells = SMALL.cells(mark.site, mark_side(mark))
        shapes += [
            Box(
                col * CELL_WIDTH,
                row * CELL_HEIGHT,
                length * CELL_WIDTH,
                CELL_HEIGHT,
                f"shade-{mark.level}",
            )
            for row, col, length in _runs(cells)
        ]
    for row, text in enumerate((*SMALL.rows, SMALL.caption)):
        shapes.append(
            Label(
                0,
                (row + 0.8) * CELL_HEIGHT,
                text.replace(" ", _HARD_SPACE),
                "body",
                length=SMALL.columns * CELL_WIDTH,
            )
        )
    texts = [mark_text(mark) for mark in marks[:NAMED]] or ["nothing noted"]
    y = (len(SMALL.rows) + 2.2) * CELL_HEIGHT
    for n, text in enumerate(texts):
        shapes.append(Label(0, y + n * 14, text))
    return Drawing(
        id=f"felt-{block.last}-{said.replace(' ', '-')}",
        title=f"{block_title(block)}: {said}",
        description=f"Felt places, the strongest first: {', '.join(texts)}.",
        height=y + len(texts) * 14,
        shapes=tuple(shapes),
        width=SMALL.columns * CELL_WIDTH,
    )


def _runs(cells: Sequence[Cell]) -> list[tuple[int, int, int]]:
    """Join cells of a row that touch: row, first column, length."""
    runs: list[tuple[int, int, int]] = []
    for row, col in cells:
        if runs and runs[-1][0] == row and sum(runs[-1][1:]) == col:
            runs[-1] = (row, runs[-1][1], runs[-1][2] + 1)
        else:
            runs.append((row, col, 1))
    return runs


LEFT, RIGHT, TOP, BOTTOM = 60.0, 92.0, 14.0, 40.0
PLOT_HEIGHT = 150.0
CELLS = 190 + CELLS_LEFT + CELLS_RIGHT
"""Cells that the time axis is laid out in before it is scaled."""
FEWEST_CELLS = 48
"""A short period isn't stretched beyond this many cells, so that bars stay bars."""


class _Plot:
    """Where weeks and figures lie in a picture."""

    def __init__(self, axis: TimeAxis, top: float) -> None:
        self.axis = axis
        self.top = top
        cells = max(axis.end - CELLS_LEFT, FEWEST_CELLS)
        self.cell = (WIDTH - LEFT - RIGHT) / cells
        self.floor = TOP + PLOT_HEIGHT
        self.right = LEFT + (axis.end - CELLS_LEFT) * self.cell

    def x(self, group: int, bar: int = 0) -> float:
        return LEFT + (self.axis.column(group, bar) - CELLS_LEFT) * self.cell

    def y(self, value: float) -> float:
        return self.floor - value / self.top * PLOT_HEIGHT

    def frame(self, *, step: float, unit: str, caption: str) -> list[Shape]:
        """Give both axes, their figures and dates, and what a bar stands for."""
        shapes: list[Shape] = []
        end = max(self.right, LEFT + 60)
        for n in range(int(self.top / step + 1e-9) + 1):
            y = self.y(n * step)
            look = "axis" if n == 0 else "grid"
            shapes.append(Stroke(LEFT, y, end, y, look))
            shapes.append(
                Label(LEFT - 5, y + 4, f"{number(n * step)}{unit}", anchor="end")
            )
        shapes += self._dates()
        shapes.append(Label(end + 8, self.floor + 4, caption, "quiet"))
        return shapes

    def _dates(self) -> list[Shape]:
        shapes: list[Shape] = []
        free, before = 0.0, None
        by_year = self.axis.groups * self.axis.block_weeks > 110
        for group, week in self.axis.starts():
            day = week.sunday if before is None else week.monday
            new = before is None or (
                day.year != before.year if by_year else day.month != before.month
            )
            first, before = before is None, day
            x = self.x(group)
            if not new or x < free:
                continue
            text = str(day.year) if by_year else month_name(day)[:3]
            if not by_year and (first or day.month == 1):
                text = f"{text} {day.year}"
            shapes.append(Stroke(x, self.floor, x, self.floor + 4, "axis"))
            shapes.append(Label(x, self.floor + 17, text))
            free = x + 7.5 * len(text) + 8
        return shapes


def _step(top: float) -> float:
    return next(
        (one for one in (0.5, 1, 2, 5, 10, 15, 20, 30, 50, 100) if top / one <= 5), top
    )


def kept_drawing(found: Review, one: ExerciseReview) -> Drawing:
    """Draw kept against target, with sets that ended early marked below the axis."""
    axis, bars, caption = lay_out(one.points, found.first, found.last, CELLS)
    targets = [point.target_s for point in one.points if point.target_s is not None]
    top = nice_top(max([point.kept_s for point in one.points] + targets))
    plot = _Plot(axis, top)
    shapes = plot.frame(step=_step(top), unit=" s", caption=caption)
    width = max(plot.cell * axis.bar_width * 0.86, 0.6)
    for bar in bars:
        x, y = plot.x(bar.group, bar.place), plot.y(fmean(_kept(bar)))
        shapes.append(Box(x, y, width, plot.floor - y, "first"))
    shapes += _target_strokes(plot, bars)
    shapes += _early_labels(plot, bars)
    return Drawing(
        id=f"kept-{one.exercise}",
        title=f"Kept: {one.name}",
        description=(
            f"Bars: seconds kept, mean of the sets. Line: the target. Figures under the"
            f" axis: sets that ended early. {say.kept_sentence(one, found.last)}"
        ),
        height=plot.floor + BOTTOM,
        shapes=tuple(shapes),
    )


def _kept(bar: Bar) -> list[float]:
    return [point.kept_s for point in bar.points]


def _early_labels(plot: _Plot, bars: Sequence[Bar]) -> list[Shape]:
    """Give the sets that ended early below each week or block of weeks."""
    early: dict[int, int] = defaultdict(int)
    for bar in bars:
        early[bar.group] += sum(point.early for point in bar.points)
    y = plot.floor + 34
    shapes: list[Shape] = [
        Label((plot.x(group) + plot.x(group + 1)) / 2, y, str(count), "mark", "middle")
        for group, count in early.items()
        if count
    ]
    if shapes:
        shapes.append(Label(LEFT - 5, y, "early", "quiet", "end"))
    return shapes


def _target_strokes(plot: _Plot, bars: Sequence[Bar]) -> list[Shape]:
    by_group = {
        bar.group: point.target_s
        for bar in bars
        for point in bar.points
        if point.target_s is not None
    }
    shapes: list[Shape] = []
    for group, target in by_group.items():
        y = plot.y(target)
        shapes.append(Stroke(plot.x(group), y, plot.x(group + 1), y, "target"))
    if by_group:
        newest = by_group[max(by_group)]
        x = plot.x(max(by_group) + 1)
        shapes.append(
            Label(
                x + 4,
                plot.y(newest) + 4,
                f"target {whole_seconds(newest)}",
                "target-label",
            )
        )
    return shapes


def rpe_drawing(found: Review, one: ExerciseReview) -> Drawing:
    """Draw the top RPE of each session as a dot."""
    axis, bars, caption = lay_out(one.points, found.first, found.last, CELLS)
    plot = _Plot(axis, 10)
    shapes = plot.frame(step=2, unit="", caption=caption.replace("bar", "dot"))
    for bar in bars:
        noted = [point.rpe for point in bar.points if point.rpe is not None]
        if noted:
            x = plot.x(bar.group, bar.place) + plot.cell * axis.bar_width / 2
            shapes.append(Dot(x, plot.y(fmean(noted)), 2.6, "first"))
    return Drawing(
        id=f"rpe-{one.exercise}",
        title=f"RPE: {one.name}",
        description=f"Dots: the highest RPE of each session. {say.rpe_sentence(one)}",
        height=plot.floor + 24,
        shapes=tuple(shapes),
    )


def weekly_drawing(
    found: Review,
    series: Sequence[tuple[str, Mapping[IsoWeek, float]]],
    *,
    id: str,  # noqa: A002 - the attribute's own name in the page
    title: str,
    sentence: str,
    unit: str,
) -> Drawing:
    """Draw one or two series of weekly sums, the second hatched."""
    axis = fit_blocks(found.first, found.last, width=CELLS, bars=max(1, len(series)))
    means = [group_means(values, axis) for _, values in series]
    top = nice_top(max((max(by.values(), default=0) for by in means), default=0))
    plot = _Plot(axis, top)
    shapes = plot.frame(step=_step(top), unit=unit, caption=axis.caption)
    width = max(plot.cell * axis.bar_width * 0.86, 0.6)
    for place, by_group in enumerate(means):
        look = "second" if place else "first"
        for group, value in by_group.items():
            y = plot.y(value)
            shapes.append(Box(plot.x(group, place), y, width, plot.floor - y, look))
    x = LEFT
    for place, (name, _) in enumerate(series):
        shapes.append(Box(x, plot.floor + 26, 12, 10, "second" if place else "first"))
        shapes.append(Label(x + 17, plot.floor + 35, name))
        x += 7.5 * len(name) + 40
    return Drawing(
        id=id,
        title=title,
        description=f"Bars: sums by week. {sentence}",
        height=plot.floor + BOTTOM + 2,
        shapes=tuple(shapes),
    )


def calendar_drawing(found: Review) -> Drawing:
    """Draw one row for each month with a mark for each day."""
    left, column, row_height = 66.0, 12.0, 19.0
    shapes: list[Shape] = [
        Label(left + column * (day - 0.5), 12, str(day), "quiet", "middle")
        for day in (1, 5, 10, 15, 20, 25, 30)
    ]
    for row, (year, month) in enumerate(found.months, start=1):
        y = 14 + row * row_height
        first = date(year, month, 1)
        shapes.append(Label(0, y, f"{month_name(first)[:3]} {year}"))
        for day in range(1, calendar.monthrange(year, month)[1] + 1):
            at = first.replace(day=day)
            x = left + column * (day - 1)
            if at.isoweekday() == 1:
                shapes.append(Stroke(x, y - 13, x, y + 3, "grid"))
            mark = found.marks.get(at, NONE_MARK if at <= found.today else "")
            if mark:
                look = "quiet" if mark == NONE_MARK else "mark"
                shapes.append(Label(x + column / 2, y, mark, look, "middle"))
    end = 14 + (len(found.months) + 1) * row_height + 4
    shapes.append(Label(0, end, KEY.replace("  ", "   "), "quiet small"))
    return Drawing(
        id="weeks",
        title="Calendar",
        description=say.streak_sentence(found.streaks),
        height=end + 8,
        shapes=tuple(shapes),
    )


def points_with_rpe(points: Sequence[KeptPoint]) -> bool:
    """Tell whether an RPE was noted at all."""
    return any(point.rpe is not None for point in points)

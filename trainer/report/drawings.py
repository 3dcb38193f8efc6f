"""The page's pictures over time and its calendar, laid out as on the screen."""

from __future__ import annotations

import calendar
from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import date

from trainer.core.charts.body import block_title, mark_side, mark_text
from trainer.core.charts.calendar import KEY, MARKS, NONE_MARK
from trainer.core.charts.canvas import nice_top
from trainer.core.charts.series import Bar, group_means, lay_out, targets_of
from trainer.core.charts.time_axis import LEFT as CELLS_LEFT
from trainer.core.charts.time_axis import RIGHT as CELLS_RIGHT
from trainer.core.charts.time_axis import TimeAxis, fit_blocks
from trainer.core.model import Moment, Side, Site
from trainer.core.review import sentences as say
from trainer.core.review.felt import Block
from trainer.core.review.pain import PainAt
from trainer.core.review.review import ExerciseReview, Review
from trainer.core.weeks import IsoWeek
from trainer.core.words import month_name, number, whole_seconds
from trainer.report.body import BODY_HEIGHT, BODY_WIDTH, Looks, body_shapes
from trainer.report.shapes import WIDTH, Box, Dot, Drawing, Label, Shape, Stroke

# The body with its sites filled: where the stretch was felt, where it hurts.

NAMED = 4
"""Places named under a map, the strongest first."""


def felt_drawing(block: Block, moment: Moment | None) -> Drawing:
    """Draw one block and moment; None for any."""
    marks = block.marks[moment]
    said = "any moment" if moment is None else moment.value
    looks = {
        (mark.site, side): f"shade-{mark.level}"
        for mark in marks
        if mark.level
        for side in _sides(mark_side(mark))
    }
    return _body(
        looks,
        id=f"felt-{block.last}-{said.replace(' ', '-')}",
        title=f"{block_title(block)}: {said}",
        description=f"Felt places, the strongest first: {felt_named(block, moment)}.",
    )


def felt_named(block: Block, moment: Moment | None) -> str:
    """Name the places of a map, the strongest first."""
    texts = [mark_text(mark) for mark in block.marks[moment][:NAMED]]
    return ", ".join(texts) or "nothing noted"


def pain_drawing(pains: Sequence[PainAt]) -> Drawing:
    """Draw where it hurts; what is gone is drawn lighter."""
    looks: dict[tuple[Site, Side], str] = {}
    # What is open comes last, over what is gone.
    for pain in sorted(pains, key=lambda one: one.open):
        _, site, side = pain.place
        if site is not None:
            for each in _sides(side or Side.BOTH):
                looks[site, each] = "hurts" if pain.open else "hurt"
    return _body(
        looks,
        id="pain",
        title="Where it hurts",
        description=say.pain_sentence(pains),
    )


def _sides(side: Side) -> tuple[Side, ...]:
    return (Side.LEFT, Side.RIGHT) if side is Side.BOTH else (side,)


def _body(
    looks: Looks,
    *,
    id: str,  # noqa: A002 - the attribute's own name in the page
    title: str,
    description: str,
) -> Drawing:
    return Drawing(
        id=id,
        title=title,
        description=description,
        height=BODY_HEIGHT,
        shapes=tuple(body_shapes(looks)),
        width=BODY_WIDTH,
    )


# What was kept, and time overhead, laid out in weeks as on the screen.

LEFT, RIGHT, TOP, BOTTOM = 48.0, 88.0, 14.0, 40.0
PLOT_HEIGHT = 140.0
RPE_HEIGHT = 50.0
FILLS = ("first", "second", "third")
"""Classes of the series, in order."""
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
        """Return both axes, their figures and dates, and what a bar stands for."""
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


def kept_drawing(
    found: Review, family: str, shown: Sequence[ExerciseReview]
) -> Drawing:
    """Draw a family's holds: kept against target, ends before it, and the RPE below.

    Args:
        found: the review.
        family: its name.
        shown: its exercises, the hardest first.
    """
    series = [(one.brief_name, one.points) for one in shown]
    axis, bars, caption = lay_out(series, found.first, found.last, CELLS)
    points = [point for one in shown for point in one.points]
    targets = [point.target_s for point in points if point.target_s is not None]
    top = nice_top(max([point.kept_s for point in points] + targets))
    plot = _Plot(axis, top)
    shapes = plot.frame(step=_step(top), unit=" s", caption=caption)
    width = max(plot.cell * axis.bar_width * 0.86, 0.6)
    for bar in bars:
        x, y = plot.x(bar.group, bar.place), plot.y(bar.kept_s)
        look = FILLS[min(bar.exercise, 2)]
        shapes.append(Box(x, y, width, plot.floor - y, look))
    shapes += _target_strokes(plot, bars)
    shapes += _early_labels(plot, bars)
    y = plot.floor + BOTTOM + 8
    shapes += _rpe_strip(plot, bars, top=y)
    y += RPE_HEIGHT + 6
    if len(series) > 1:
        shapes += _key([name for name, _ in series], y + 6)
        y += 18
    said = " ".join(say.kept_sentence(one, found.last) for one in shown)
    return Drawing(
        id=f"kept-{family}",
        title=f"{family.capitalize()}: kept against target, RPE below",
        description=(
            "Bars: seconds kept, mean of the sets. Line: the target. Figures under the"
            f" axis: sets that ended early. Dots: the highest RPE. {said}"
        ),
        height=y,
        shapes=tuple(shapes),
    )


def _early_labels(plot: _Plot, bars: Sequence[Bar]) -> list[Shape]:
    """Return the sets that ended early below each week or block of weeks."""
    early: dict[int, int] = defaultdict(int)
    for bar in bars:
        early[bar.group] += bar.early
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
    shapes: list[Shape] = []
    targets = targets_of(bars)
    for target in targets:
        y = plot.y(target.target_s)
        end = plot.x(target.group + 1)
        if not target.alone:
            end = plot.x(target.group, target.last + 1)
        shapes.append(Stroke(plot.x(target.group, target.first), y, end, y, "target"))
    if targets:
        last = max(target.group for target in targets)
        newest = next(target for target in targets if target.group == last)
        shapes.append(
            Label(
                plot.x(last + 1) + 4,
                plot.y(newest.target_s) + 4,
                f"target {whole_seconds(newest.target_s)}",
                "target-label",
            )
        )
    return shapes


def _rpe_strip(plot: _Plot, bars: Sequence[Bar], *, top: float) -> list[Shape]:
    """Draw the top RPE of each bar as a dot, from 5 to 10; easier ones on the floor."""
    end = max(plot.right, LEFT + 60)
    shapes: list[Shape] = []
    for rpe in (6, 8, 10):
        y = _rpe_y(rpe, top)
        shapes.append(Stroke(LEFT, y, end, y, "grid"))
        shapes.append(Label(LEFT - 5, y + 4, str(rpe), "quiet", "end"))
    shapes.append(Label(end + 8, _rpe_y(8, top) + 4, "top RPE", "quiet"))
    for bar in bars:
        if bar.top_rpe is not None:
            x = plot.x(bar.group, bar.place) + plot.cell * plot.axis.bar_width / 2
            shapes.append(Dot(x, _rpe_y(bar.top_rpe, top), 2.4, "dot"))
    return shapes


def _rpe_y(rpe: float, top: float) -> float:
    return top + (10 - max(5.0, rpe)) / 5 * RPE_HEIGHT


def _key(names: Sequence[str], y: float) -> list[Shape]:
    shapes: list[Shape] = []
    x = LEFT
    for place, name in enumerate(names):
        shapes.append(Box(x, y - 9, 12, 10, FILLS[min(place, 2)]))
        shapes.append(Label(x + 17, y, name))
        x += 6.6 * len(name) + 40
    return shapes


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
        look = FILLS[min(place, 2)]
        for group, value in by_group.items():
            y = plot.y(value)
            shapes.append(Box(plot.x(group, place), y, width, plot.floor - y, look))
    shapes += _key([name for name, _ in series], plot.floor + 35)
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
            mark = found.marks.get(at)
            if mark is not None:
                sign = MARKS[mark]
                shapes.append(Label(x + column / 2, y, sign, "mark", "middle"))
            elif at <= found.today:
                shapes.append(Label(x + column / 2, y, NONE_MARK, "quiet", "middle"))
    end = 14 + (len(found.months) + 1) * row_height + 4
    shapes.append(Label(0, end, KEY.replace("  ", " · "), "quiet small"))
    return Drawing(
        id="weeks",
        title="Calendar",
        description=say.streak_sentence(found.streaks),
        height=end + 8,
        shapes=tuple(shapes),
    )

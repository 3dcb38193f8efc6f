"""Pictures over time: kept against target with its RPE, time overhead."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from statistics import fmean

from trainer.core.charts.canvas import (
    UNICODE,
    Canvas,
    Glyphs,
    Ink,
    Picture,
    nice_top,
)
from trainer.core.charts.time_axis import (
    LEFT,
    RIGHT,
    TimeAxis,
    draw_bar,
    draw_dates,
    draw_frame,
    fit,
    fit_blocks,
    ink_of,
)
from trainer.core.review.kept import KeptPoint
from trainer.core.weeks import IsoWeek
from trainer.core.words import whole_seconds

MOST_BARS = 7
"""Bars of one week that are drawn apart; more sessions than days are averaged."""


SESSION_CAPTION = "bar: session"

Kept = Sequence[tuple[str, Sequence[KeptPoint]]]
"""Exercises that belong together, each by its name, the hardest first."""


@dataclass(frozen=True, slots=True)
class Bar:
    """What stands in one bar's place: one exercise in a session, a week or a block."""

    group: int
    place: int
    exercise: int
    """Its number in the series."""
    points: tuple[KeptPoint, ...]

    @property
    def kept_s(self) -> float:
        """Seconds kept, the mean over what it stands for."""
        return fmean(point.kept_s for point in self.points)

    @property
    def early(self) -> int:
        """Sets that ended before their target."""
        return sum(point.early for point in self.points)

    @property
    def top_rpe(self) -> float | None:
        """The highest RPE noted."""
        return max(
            (point.rpe for point in self.points if point.rpe is not None), default=None
        )


def lay_out(
    series: Kept, first: IsoWeek, last: IsoWeek, width: int
) -> tuple[TimeAxis, list[Bar], str]:
    """Put each session into a bar of its own if they fit, else weeks or blocks.

    Returns:
        The axis, the bars, and what a bar stands for in words.
    """
    by_week: dict[IsoWeek, list[tuple[KeptPoint, int]]] = defaultdict(list)
    for number, (_, points) in enumerate(series):
        for point in points:
            week = IsoWeek.of(point.day)
            if first <= week <= last:
                by_week[week].append((point, number))
    most = max((len(found) for found in by_week.values()), default=1)
    axis = fit(first, last, width=width, bars=most) if most <= MOST_BARS else None
    if axis is not None:
        bars = [
            Bar(axis.group(week), place, number, (point,))
            for week, found in sorted(by_week.items())
            for place, (point, number) in enumerate(
                sorted(found, key=lambda one: (one[0].day, one[1]))
            )
        ]
        return axis, bars, SESSION_CAPTION
    blocks, by_group = _in_blocks(by_week, first, last, width)
    bars = [
        Bar(group, place, number, tuple(found[number]))
        for group, found in by_group.items()
        for place, number in enumerate(sorted(found))
    ]
    return blocks, bars, blocks.caption


def _in_blocks(
    by_week: Mapping[IsoWeek, Sequence[tuple[KeptPoint, int]]],
    first: IsoWeek,
    last: IsoWeek,
    width: int,
) -> tuple[TimeAxis, dict[int, dict[int, list[KeptPoint]]]]:
    """Return the finest axis of weeks or blocks with room for each one's exercises."""
    wide = 1
    while True:
        axis = fit_blocks(first, last, width=width, bars=wide)
        by_group = _by_group(by_week, axis)
        most = max((len(found) for found in by_group.values()), default=1)
        if most <= wide:
            return axis, by_group
        wide = most


def _by_group(
    by_week: Mapping[IsoWeek, Sequence[tuple[KeptPoint, int]]], axis: TimeAxis
) -> dict[int, dict[int, list[KeptPoint]]]:
    """Return the points of each group of weeks, by exercise."""
    found: dict[int, dict[int, list[KeptPoint]]] = {}
    for week, points in sorted(by_week.items()):
        of_group = found.setdefault(axis.group(week), defaultdict(list))
        for point, number in points:
            of_group[number].append(point)
    return found


def kept_chart(
    series: Kept,
    *,
    first: IsoWeek,
    last: IsoWeek,
    width: int,
    height: int,
    glyphs: Glyphs = UNICODE,
) -> Picture:
    """Draw seconds kept as bars and each target as a labelled line.

    Exercises of one family stand in one picture, told apart by how their bars are
    filled. Under the axis stand the number of sets that ended early and the top RPE,
    ``X`` for 10. A half stands beside its figure, or below it where bars are one cell
    wide.
    """
    axis, bars, caption = lay_out(series, first, last, width)
    beside = axis.bar_width > 1
    halves_row = not beside and any(_has_half(bar.top_rpe) for bar in bars)
    several = len({bar.exercise for bar in bars}) > 1
    below = 4 + halves_row + several
    rows = max(height - below, 3)
    canvas = Canvas(width, rows + below)
    points = [point for _, of_exercise in series for point in of_exercise]
    targets = [point.target_s for point in points if point.target_s is not None]
    top = nice_top(max([point.kept_s for point in points] + targets, default=30.0))
    draw_frame(canvas, axis, glyphs, top=top, rows=rows, unit=" s")
    for bar in bars:
        draw_bar(
            canvas,
            glyphs,
            col=axis.column(bar.group, bar.place),
            width=axis.bar_width,
            rows=rows,
            height=bar.kept_s / top * rows,
            fill=bar.exercise,
        )
    _target_lines(canvas, axis, bars, glyphs, rows=rows, top=top)
    draw_dates(canvas, axis, row=rows + 1)
    canvas.put(rows, axis.end, f" {caption}"[:RIGHT], Ink.DIM)
    _answers_below(canvas, axis, bars, glyphs, row=rows + 2, halves_row=halves_row)
    if several:
        _names(canvas, [name for name, _ in series], glyphs, row=rows + below - 1)
    return canvas.picture()


def _answers_below(
    canvas: Canvas,
    axis: TimeAxis,
    bars: Sequence[Bar],
    glyphs: Glyphs,
    *,
    row: int,
    halves_row: bool,
) -> None:
    """Write the early ends and the top RPE under each bar."""
    beside = axis.bar_width > 1
    canvas.put(row, 0, "early", Ink.DIM)
    canvas.put(row + 1, 0, "RPE", Ink.DIM)
    for bar in bars:
        col = axis.column(bar.group, bar.place)
        if bar.early:
            shown = str(bar.early) if bar.early < 10 else "+"
            canvas.put(row, col, shown, Ink.STRONG)
        rpe = bar.top_rpe
        if rpe is not None:
            canvas.put(row + 1, col, "X" if rpe >= 10 else str(int(rpe)))
        if _has_half(rpe):
            canvas.put(row + 1 + halves_row, col + beside, glyphs.half)
    if halves_row:
        canvas.put(row + 2, 0, "half", Ink.DIM)


def _has_half(rpe: float | None) -> bool:
    return rpe is not None and rpe % 1 >= 0.5


def _target_lines(
    canvas: Canvas,
    axis: TimeAxis,
    bars: Sequence[Bar],
    glyphs: Glyphs,
    *,
    rows: int,
    top: float,
) -> None:
    """Draw each exercise's last target of a group over its bars; label the newest."""
    newest: Target | None = None
    for target in targets_of(bars):
        row = _row(target.target_s, rows=rows, top=top)
        begin = axis.column(target.group, target.first)
        end = axis.column(target.group, target.last) + axis.bar_width
        if target.alone:
            end = axis.column(target.group + 1)
        for col in range(begin, end):
            if canvas.is_blank(row, col):
                canvas.put(row, col, glyphs.target, Ink.SECOND)
        if newest is None or target.group > newest.group:
            newest = target
    if newest is not None:
        row = _row(newest.target_s, rows=rows, top=top)
        text = f" target {whole_seconds(newest.target_s)}"
        canvas.put(row, axis.end, text[:RIGHT], Ink.SECOND)


@dataclass(frozen=True, slots=True)
class Target:
    """An exercise's last target in a group, and which bars it stands over."""

    group: int
    exercise: int
    target_s: float
    first: int
    last: int
    """The places of the first and the last bar."""
    alone: bool
    """No other exercise has a bar in the group: the line may fill it."""


def targets_of(bars: Sequence[Bar]) -> list[Target]:
    """Return the targets of every group, oldest first, then the harder exercise."""
    by_group: dict[int, dict[int, list[Bar]]] = {}
    for bar in bars:
        of_group = by_group.setdefault(bar.group, defaultdict(list))
        of_group[bar.exercise].append(bar)
    found = []
    for group, of_group in sorted(by_group.items()):
        for exercise, own in sorted(of_group.items()):
            noted = [
                point.target_s
                for bar in own
                for point in bar.points
                if point.target_s is not None
            ]
            if noted:
                places = [bar.place for bar in own]
                alone = len(of_group) == 1
                first = 0 if alone else min(places)
                target = Target(group, exercise, noted[-1], first, max(places), alone)
                found.append(target)
    return found


def _row(value: float, *, rows: int, top: float) -> int:
    """Give the row in which a bar of this value has its top."""
    return min(rows - 1, max(0, rows - -int(-(value / top * rows) // 1)))


def weekly_chart(
    series: Sequence[tuple[str, Mapping[IsoWeek, float]]],
    *,
    first: IsoWeek,
    last: IsoWeek,
    width: int,
    height: int,
    unit: str,
    glyphs: Glyphs = UNICODE,
) -> Picture:
    """Draw one or two series of weekly sums side by side, solid and hatched.

    Where a group stands for several weeks it shows their mean over all those weeks.

    Args:
        series: a name and the sums by week; a week that is missing has no bar.
        first: the period's first week.
        last: its last week.
        width: cells across.
        height: rows, with one for the dates and one for the names.
        unit: written after the figures of the upright axis.
        glyphs: the characters to draw with.
    """
    axis = fit_blocks(first, last, width=width, bars=len(series))
    means = [group_means(values, axis) for _, values in series]
    top = nice_top(max((max(found.values(), default=0) for found in means), default=0))
    rows = max(height - 3, 3)
    canvas = Canvas(width, rows + 3)
    draw_frame(canvas, axis, glyphs, top=top, rows=rows, unit=unit)
    for place, found in enumerate(means):
        for group, value in found.items():
            draw_bar(
                canvas,
                glyphs,
                col=axis.column(group, place),
                width=axis.bar_width,
                rows=rows,
                height=value / top * rows,
                fill=place,
            )
    draw_dates(canvas, axis, row=rows + 1)
    canvas.put(rows, axis.end + 1, axis.caption, Ink.DIM)
    col = _names(canvas, [name for name, _ in series], glyphs, row=rows + 2)
    if axis.block_weeks > 1:
        canvas.put(rows + 2, col, f"mean over {axis.block_weeks} weeks", Ink.DIM)
    return canvas.picture()


def group_means(values: Mapping[IsoWeek, float], axis: TimeAxis) -> dict[int, float]:
    """Give the mean over all weeks of each group that has a value at all."""
    sums: dict[int, float] = defaultdict(float)
    for week, value in values.items():
        if axis.first <= week <= axis.last:
            sums[axis.group(week)] += value
    oldest = (axis.last.since(axis.first) + 1) - (axis.groups - 1) * axis.block_weeks
    return {
        group: total / (oldest if group == 0 else axis.block_weeks)
        for group, total in sums.items()
    }


def _names(canvas: Canvas, names: Sequence[str], glyphs: Glyphs, *, row: int) -> int:
    """Write the series' names beside how they are filled; return the next column."""
    col = LEFT
    for place, name in enumerate(names):
        canvas.put(row, col, glyphs.fill(place) * 2, ink_of(place))
        canvas.put(row, col + 3, name)
        col += len(name) + 6
    return col

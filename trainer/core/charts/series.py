"""Pictures over time: kept against target, RPE, time overhead, load."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from statistics import fmean

from trainer.core.charts.canvas import UNICODE, Canvas, Glyphs, Ink, Picture, nice_top
from trainer.core.charts.time_axis import (
    LEFT,
    RIGHT,
    TimeAxis,
    draw_bar,
    draw_dates,
    draw_frame,
    fit,
    fit_blocks,
)
from trainer.core.weeks import IsoWeek
from trainer.core.words import whole_seconds

MOST_BARS = 7
"""Bars of one week that are drawn apart; more sessions than days are averaged."""


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptPoint:
    """One exercise in one session."""

    day: date
    kept_s: float
    """Mean over the sets."""
    best_s: float
    target_s: float | None
    sets: int
    early: int
    """Sets that ended before their target."""
    rpe: float | None
    """The highest noted."""


SESSION_CAPTION = "bar: session"


@dataclass(frozen=True, slots=True)
class Bar:
    """What stands in one bar's place."""

    group: int
    place: int
    points: tuple[KeptPoint, ...]


def lay_out(
    points: Sequence[KeptPoint], first: IsoWeek, last: IsoWeek, width: int
) -> tuple[TimeAxis, list[Bar], str]:
    """Put each session into a bar of its own if they fit, else weeks or blocks.

    Returns:
        The axis, the bars, and what a bar stands for in words.
    """
    by_week: dict[IsoWeek, list[KeptPoint]] = defaultdict(list)
    for point in points:
        week = IsoWeek.of(point.day)
        if first <= week <= last:
            by_week[week].append(point)
    most = max((len(found) for found in by_week.values()), default=1)
    axis = fit(first, last, width=width, bars=most) if most <= MOST_BARS else None
    if axis is not None:
        bars = [
            Bar(axis.group(week), place, (point,))
            for week, found in sorted(by_week.items())
            for place, point in enumerate(found)
        ]
        return axis, bars, SESSION_CAPTION
    axis = fit_blocks(first, last, width=width, bars=1)
    by_group: dict[int, list[KeptPoint]] = defaultdict(list)
    for week, found in sorted(by_week.items()):
        by_group[axis.group(week)].extend(found)
    bars = [Bar(group, 0, tuple(found)) for group, found in by_group.items()]
    return axis, bars, axis.caption


def kept_chart(
    points: Sequence[KeptPoint],
    *,
    first: IsoWeek,
    last: IsoWeek,
    width: int,
    height: int,
    glyphs: Glyphs = UNICODE,
) -> Picture:
    """Draw seconds kept as bars and the target as a labelled line.

    Under the axis stand the number of sets that ended early and the top RPE, ``X`` for
    10. A half stands beside its figure, or below it where bars are one cell wide.
    """
    axis, bars, caption = lay_out(points, first, last, width)
    beside = axis.bar_width > 1
    halves_row = not beside and any(_has_half(_top_rpe(bar)) for bar in bars)
    below = 5 if halves_row else 4
    rows = max(height - below, 3)
    canvas = Canvas(width, rows + below)
    targets = [point.target_s for point in points if point.target_s is not None]
    top = nice_top(max([point.kept_s for point in points] + targets, default=30.0))
    draw_frame(canvas, axis, glyphs, top=top, rows=rows, unit=" s")
    for bar in bars:
        kept = fmean(point.kept_s for point in bar.points)
        draw_bar(
            canvas,
            glyphs,
            col=axis.column(bar.group, bar.place),
            width=axis.bar_width,
            rows=rows,
            height=kept / top * rows,
            ink=Ink.FIRST,
        )
    _target_line(canvas, axis, bars, glyphs, rows=rows, top=top)
    draw_dates(canvas, axis, row=rows + 1)
    canvas.put(rows, axis.end, f" {caption}"[:RIGHT], Ink.DIM)
    canvas.put(rows + 2, 0, "early", Ink.DIM)
    canvas.put(rows + 3, 0, "RPE", Ink.DIM)
    for bar in bars:
        col = axis.column(bar.group, bar.place)
        early = sum(point.early for point in bar.points)
        if early:
            canvas.put(rows + 2, col, str(early) if early < 10 else "+", Ink.STRONG)
        rpe = _top_rpe(bar)
        if rpe is not None:
            canvas.put(rows + 3, col, "X" if rpe >= 10 else str(int(rpe)))
        if _has_half(rpe):
            canvas.put(rows + 3 + halves_row, col + beside, glyphs.half)
    if halves_row:
        canvas.put(rows + 4, 0, "half", Ink.DIM)
    return canvas.picture()


def _top_rpe(bar: Bar) -> float | None:
    return max(
        (point.rpe for point in bar.points if point.rpe is not None), default=None
    )


def _has_half(rpe: float | None) -> bool:
    return rpe is not None and rpe % 1 >= 0.5


def _target_line(
    canvas: Canvas,
    axis: TimeAxis,
    bars: Sequence[Bar],
    glyphs: Glyphs,
    *,
    rows: int,
    top: float,
) -> None:
    """Draw the last target of each group over its width, and label the newest one."""
    by_group = {
        bar.group: point.target_s
        for bar in bars
        for point in bar.points
        if point.target_s is not None
    }
    for group, target in by_group.items():
        row = _row(target, rows=rows, top=top)
        for col in range(axis.column(group), axis.column(group + 1)):
            if canvas.is_blank(row, col):
                canvas.put(row, col, glyphs.target, Ink.SECOND)
    if by_group:
        newest = by_group[max(by_group)]
        row = _row(newest, rows=rows, top=top)
        canvas.put(
            row, axis.end, f" target {whole_seconds(newest)}"[:RIGHT], Ink.SECOND
        )


def _row(value: float, *, rows: int, top: float) -> int:
    """Give the row in which a bar of this value has its top."""
    return min(rows - 1, max(0, rows - -int(-(value / top * rows) // 1)))


def rpe_chart(
    points: Sequence[KeptPoint],
    *,
    first: IsoWeek,
    last: IsoWeek,
    width: int,
    height: int,
    glyphs: Glyphs = UNICODE,
) -> Picture:
    """Draw the top RPE of each session as a point, from 0 to 10."""
    axis, bars, caption = lay_out(points, first, last, width)
    rows = max(height - 2, 5)
    canvas = Canvas(width, rows + 2)
    draw_frame(canvas, axis, glyphs, top=10, rows=rows, unit="")
    for bar in bars:
        noted = [point.rpe for point in bar.points if point.rpe is not None]
        if noted:
            # As the figures beside the axis: the row with the nearest upper edge.
            row = min(rows - 1, rows - round(fmean(noted) / 10 * rows))
            canvas.put(row, axis.column(bar.group, bar.place), glyphs.point, Ink.FIRST)
    draw_dates(canvas, axis, row=rows + 1)
    canvas.put(rows, axis.end + 1, caption.replace("bar", "dot"), Ink.DIM)
    return canvas.picture()


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
                ink=Ink.SECOND if place else Ink.FIRST,
                second=bool(place),
            )
    draw_dates(canvas, axis, row=rows + 1)
    canvas.put(rows, axis.end + 1, axis.caption, Ink.DIM)
    _names(canvas, [name for name, _ in series], axis, glyphs, row=rows + 2)
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


def _names(
    canvas: Canvas, names: Sequence[str], axis: TimeAxis, glyphs: Glyphs, *, row: int
) -> None:
    col = LEFT
    for place, name in enumerate(names):
        glyph = (glyphs.second if place else glyphs.columns[-1]) * 2
        ink = Ink.SECOND if place else Ink.FIRST
        canvas.put(row, col, glyph, ink)
        canvas.put(row, col + 3, name)
        col += len(name) + 6
    if axis.block_weeks > 1:
        canvas.put(row, col, f"mean over {axis.block_weeks} weeks", Ink.DIM)

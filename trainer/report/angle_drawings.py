"""Angle checks on the page: the angle over time, and then and now, as shapes."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from trainer.core import words
from trainer.core.angle.check import AngleCheck
from trainer.core.angle.compare import (
    BOTTOM,
    LEFT,
    RIGHT,
    SHORT,
    TOP,
    figure_rows,
    lines,
    outline,
)
from trainer.core.angle.landmarks import Point
from trainer.core.angle.series import Series, by_series, headline, in_order, pair_of
from trainer.core.angle.words import all_sentences, change_sentence, named
from trainer.core.charts.angle import label_of, pictured, scale_of
from trainer.report.shapes import WIDTH, Box, Dot, Drawing, Label, Shape, Stroke

MARGIN, END, HEAD, FOOT = 44.0, 92.0, 12.0, 30.0
PLOT = 170.0
COMPARED = 300.0
"""Height of the drawing of then and now."""
_LOOKS = ("first", "free")


def angle_drawing(series: Sequence[Series]) -> Drawing:
    """Draw the overhead angle of one series, or of guarded and free, over time."""
    scale = scale_of(series, most_figures=7)
    right, floor = WIDTH - END, HEAD + PLOT

    def x(day: date) -> float:
        return MARGIN + 8 + scale.across(day) * (right - MARGIN - 16)

    def y(value: float) -> float:
        return floor - min(max(scale.up(value), 0.0), 1.0) * PLOT

    shapes: list[Shape] = []
    if scale.band is not None:
        low, high = y(scale.band[0]), y(scale.band[1])
        shapes.append(Box(MARGIN, high, right - MARGIN, low - high, "noise"))
    for figure in scale.figures():
        shapes.append(Stroke(MARGIN, y(figure), right, y(figure), "grid"))
        shapes.append(Label(MARGIN - 6, y(figure) + 4, f"{figure}°", anchor="end"))
    shapes.append(Stroke(MARGIN, HEAD, MARGIN, floor, "axis"))
    shapes.append(Stroke(MARGIN, floor, right, floor, "axis"))
    free = 0.0
    for day, name in scale.months():
        if x(day) >= free:
            shapes.append(Label(x(day), floor + 17, name))
            free = x(day) + 8 * len(name) + 6
    said_at: list[float] = []
    for number, one in enumerate(series):
        look = _LOOKS[number]
        shapes += [Dot(x(e.day), y(e.value), 3.4, look) for e in one.readings]
        newest = one.readings[-1]
        at = y(newest.value) + 4
        at = at + 14 if any(abs(at - other) < 13 for other in said_at) else at
        said_at.append(at)
        said = f"{round(newest.value)}° {label_of(one)}".strip()
        shapes.append(Label(x(newest.day) + 8, at, said))
    if scale.band is not None:
        places = (high + 12, (high + low) / 2 + 4, low - 4)
        # Beside its band, where no figure stands: else at the top all the same.
        free_places = (
            place
            for place in places
            if all(abs(place - other) >= 13 for other in said_at)
        )
        shapes.append(Label(right + 4, next(free_places, places[0]), "noise", "quiet"))
    first = series[0]
    return Drawing(
        id=f"angle-{number_of(first)}",
        title=f"Overhead angle: {named(first.key)}",
        description=(
            "Dots: the mean of a day's photos; rings: the free angle. Shaded: what"
            f" can't be told from noise. {change_sentence(first)}"
        ),
        height=floor + FOOT,
        shapes=tuple(shapes),
    )


def number_of(series: Series) -> str:
    """Return an id for a series' picture, of letters and hyphens."""
    said = named(series.key).replace(", ", "-").replace(" ", "-")
    return "".join(char for char in said.lower() if char.isalnum() or char == "-")


def then_and_now(then: AngleCheck, now: AngleCheck) -> Drawing | None:
    """Draw two checks trunk on trunk; None where landmarks of one are missing."""
    if then.landmarks is None or now.landmarks is None:
        return None
    scale = COMPARED / (TOP - BOTTOM)
    left = (RIGHT - LEFT) * scale / 2 + 6

    def at(point: Point) -> tuple[float, float]:
        return left + point.x * scale, COMPARED - (point.y - BOTTOM) * scale

    one, other = outline(then.landmarks), outline(now.landmarks)
    shapes: list[Shape] = [
        Stroke(*at(line.start), *at(line.end), f"line-{line.what}")
        for line in lines(one, other)
    ]
    for word, end, apart in (
        ("then", one.arm_tip, one.arm_tip.x >= other.arm_tip.x),
        ("now", other.arm_tip, one.arm_tip.x < other.arm_tip.x),
    ):
        x, y = at(end)
        shapes.append(
            Label(x + (8 if apart else -8), y, word, anchor="start" if apart else "end")
        )
    x = 2 * left + 6
    for n, row in enumerate((("", "then", "now", ""), *_figures(then, now))):
        for column, text in zip((0.0, 104.0, 152.0, 200.0), row, strict=True):
            look = "label" if n else "quiet"
            anchor = "end" if column else "start"
            shapes.append(Label(x + column, 40.0 + 20 * n, text, look, anchor))
    return Drawing(
        id="then-and-now",
        title="Then and now",
        description=(
            f"{words.day(then.local_date)} and {words.day(now.local_date)}, turned and"
            f" scaled so that trunk lies on trunk. {named(now.series)}."
        ),
        height=COMPARED,
        shapes=tuple(shapes),
        # The last column ends at 200 and must not be cut off.
        width=max(WIDTH, x + 206.0),
    )


def _figures(then: AngleCheck, now: AngleCheck) -> list[tuple[str, str, str, str]]:
    return [
        (SHORT.get(name, name), first, second, apart)
        for name, first, second, apart in figure_rows(then.figures, now.figures)
        if (first, second) != ("–", "–")
    ]


def angle_parts(
    checks: Sequence[AngleCheck],
) -> tuple[tuple[Drawing, tuple[str, ...]], ...]:
    """Return all that the page shows of the checks: pictures with their sentences.

    Guarded and free stand in one picture; then and now of the series that answers
    whether the shoulder opens comes last.
    """
    found = by_series(checks)
    told = dict(all_sentences(checks))
    parts: list[tuple[Drawing, tuple[str, ...]]] = []
    shown: set[str] = set()
    for series in in_order(list(found.values())):
        if named(series.key) in shown:
            continue
        both = pictured(series, pair_of(found, series.key))
        shown |= {named(one.key) for one in both}
        said = tuple(
            f"{named(one.key).capitalize()}: {told[named(one.key)]}" for one in both
        )
        parts.append((angle_drawing(both), said))
    main = headline(found.values())
    if main is not None and len(main.checks) > 1:
        drawing = then_and_now(main.checks[0], main.checks[-1])
        if drawing is not None:
            parts.append((drawing, (change_sentence(main),)))
    return tuple(parts)


STYLE = """
.noise { fill: var(--rule); opacity: .35; }
.free { fill: var(--paper); stroke: var(--orange-ink); stroke-width: 1.6; }
.line-trunk { stroke: var(--ink); stroke-width: 5; stroke-linecap: round; }
.line-then { stroke: var(--orange-ink); stroke-width: 3; stroke-dasharray: 7 4; }
.line-now { stroke: var(--sky); stroke-width: 4; stroke-linecap: round; }
"""
"""The looks of these shapes, for the page's style sheet."""

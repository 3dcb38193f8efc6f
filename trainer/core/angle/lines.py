"""Lines and marks over a photo, as dots of a screen: which dot in which ink.

Shapes tell apart what is what, colours only repeat it: a landmark that is set is a
ring, the cursor a cross with an open middle, the way from the trunk to the rib dotted.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum

from trainer.core.angle.landmarks import Point
from trainer.core.angle.marking import Marking, Step

Dot = tuple[int, int]
"""Column and row."""


class LineInk(StrEnum):
    """What a dot over the photo belongs to."""

    SHADE = "shade"
    """Dark, around all others, so that they stand out on any photo."""
    TRUNK = "trunk"
    ARM = "arm"
    RING = "ring"
    CURSOR = "cursor"


_RING = ((-1, -1), (0, -1), (1, -1), (-1, 0), (1, 0), (-1, 1), (0, 1), (1, 1))
_CROSS = tuple(
    (right * far, down * far)
    for far in (2, 3, 4)
    for right, down in ((1, 0), (-1, 0), (0, 1), (0, -1))
)


@dataclass(frozen=True, slots=True)
class Stroke:
    """A line over the photo."""

    start: Point
    end: Point
    ink: LineInk
    dotted: bool = False


@dataclass(frozen=True, slots=True)
class Overlay:
    """What is drawn over a photo, in its pixels."""

    strokes: tuple[Stroke, ...]
    rings: tuple[Point, ...] = ()
    """Landmarks that are set."""
    cross: Point | None = None
    """The one that is asked for."""


def overlay_of(marking: Marking) -> Overlay:
    """Return what is drawn over the photo as MARKING stands."""
    placed = dict(marking.placed)
    asking = marking.step not in (Step.FACING, Step.DONE)
    if asking:
        placed[marking.step] = marking.cursor
    rings = [point for step, point in placed.items() if step is not marking.step]
    return Overlay(
        tuple(_strokes(placed)), tuple(rings), marking.cursor if asking else None
    )


def over_photo(marking: Marking) -> dict[Dot, LineInk]:
    """Return the dots to be drawn over the photo as MARKING shows it."""
    view, over = marking.view, overlay_of(marking)
    drawn: dict[Dot, LineInk] = {}
    for each in over.strokes:
        for number, dot in enumerate(line(view.dot(each.start), view.dot(each.end))):
            if not each.dotted or number % 3 == 0:
                drawn[dot] = each.ink
    rings = [view.dot(point) for point in over.rings]
    for column, row in rings:
        drawn |= {(column + x, row + y): LineInk.RING for x, y in _RING}
        drawn.pop((column, row), None)
    crosses = [] if over.cross is None else [view.dot(over.cross)]
    for column, row in crosses:
        for x in (-1, 0, 1):
            for y in (-1, 0, 1):
                drawn.pop((column + x, row + y), None)
        drawn |= {(column + x, row + y): LineInk.CURSOR for x, y in _CROSS}
    inside = {
        dot: ink
        for dot, ink in drawn.items()
        if 0 <= dot[0] < view.columns and 0 <= dot[1] < view.rows
    }
    open_ = {
        (column + x, row + y)
        for column, row in (*rings, *crosses)
        for x in (-1, 0, 1)
        for y in (-1, 0, 1)
    }
    shade = {dot: ink for dot, ink in _shaded(inside).items() if dot not in open_}
    return shade | inside


def _strokes(placed: Mapping[Step, Point]) -> Iterator[Stroke]:
    shoulder, hip = placed.get(Step.SHOULDER), placed.get(Step.HIP)
    end = placed.get(Step.ELBOW, placed.get(Step.WRIST))
    if shoulder and hip:
        yield Stroke(shoulder, hip, LineInk.TRUNK)
        rib = placed.get(Step.RIB)
        if rib:
            trunk = hip - shoulder
            length = max(trunk.length, 1e-9)
            along = (rib - shoulder).dot(trunk) / length**2
            yield Stroke(
                shoulder + trunk.scaled(along), rib, LineInk.TRUNK, dotted=True
            )
    if shoulder and end:
        yield Stroke(shoulder, end, LineInk.ARM)


def _shaded(drawn: Mapping[Dot, LineInk]) -> dict[Dot, LineInk]:
    """Return the dots beside rings and cross, which are to be dark."""
    sharp = (LineInk.RING, LineInk.CURSOR)
    return {
        (column + right, row): LineInk.SHADE
        for (column, row), ink in drawn.items()
        if ink in sharp
        for right in (-1, 1)
        if (column + right, row) not in drawn
    }


def line(start: Dot, end: Dot) -> Iterator[Dot]:
    """Yield the dots from START to END, one for each step along the longer way.

    What lies far outside the screen is walked through in no more than a few thousand
    steps.
    """
    across, down = end[0] - start[0], end[1] - start[1]
    steps = max(abs(across), abs(down), 1)
    for number in range(min(steps, 20_000) + 1):
        share = number / min(steps, 20_000)
        yield round(start[0] + across * share), round(start[1] + down * share)


def figure_at(step: Step) -> tuple[dict[Dot, LineInk], Dot | None]:
    """Return the small drawing that shows where a landmark lies, and its dot.

    Our own: somebody from the side, facing right, arms not quite overhead, on 15 by 20
    dots.
    """
    drawn: dict[Dot, LineInk] = {}
    for start, end, ink in _FIGURE:
        drawn |= dict.fromkeys(line(start, end), ink)
    drawn |= dict.fromkeys(_HEAD, LineInk.RING)
    return drawn, _PLACES.get(step)


_PLACES: Mapping[Step, Dot] = {
    Step.WRIST: (12, 0),
    Step.ELBOW: (9, 4),
    Step.SHOULDER: (6, 9),
    Step.EAR: (5, 5),
    Step.RIB: (9, 12),
    Step.HIP: (6, 15),
}
_FIGURE = (
    ((6, 9), (9, 4), LineInk.ARM),
    ((9, 4), (12, 0), LineInk.ARM),
    ((6, 9), (6, 15), LineInk.TRUNK),
    ((6, 9), (8, 9), LineInk.TRUNK),
    ((8, 9), (9, 12), LineInk.TRUNK),
    ((9, 12), (7, 15), LineInk.TRUNK),
    ((6, 15), (6, 19), LineInk.TRUNK),
)
_HEAD: tuple[Dot, ...] = (
    *((4, 3), (5, 3), (6, 3)),
    *((3, 4), (7, 4), (3, 5), (7, 5)),
    *((4, 6), (5, 6), (6, 6), (5, 7)),
)

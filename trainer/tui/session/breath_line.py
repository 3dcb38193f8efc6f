"""The breathing as a line: it climbs with the inhale and sinks to the floor.

Seen from the side it is a chest that lies on the floor: the line swells in its middle
while the breath goes in and is flat when the lungs are empty. Pure: what comes out is
how high the line is over each column, and rows of characters for it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from trainer.core.cues.breathing import BreathMoment, BreathPhase, Breaths

STEPS_OF_REDUCED_MOTION = 4
"""Heights that the line steps through in one half of a breath where somebody asked
for less motion (our choice)."""
_SHOULDERS = 0.18
"""How far from each end the line stays on the floor, as a part of its length."""
_DOTS = 4
"""Dots of a Braille cell from top to bottom; there are two side by side."""
_BRAILLE = 0x2800
_BIT = ((0x01, 0x08), (0x02, 0x10), (0x04, 0x20), (0x40, 0x80))
"""The bit of each dot of a Braille cell, by row and column (Unicode, U+2800)."""
_ASCII, _ASCII_TURNED = "_.-'", "\"'-."
"""A line at four heights of a cell, from low to high, and seen upside down."""
_THICK = 2
"""Dots of the line's thickness: half a row, to be seen from afar (our choice)."""


@dataclass(frozen=True, slots=True)
class BreathView:
    """What a screen says of the breathing at one instant."""

    word: str
    """``in`` or ``out``."""
    left_s: float
    """Seconds until this half of the breath ends."""
    number: int
    """Which breath, from 1."""
    count: int
    """Breaths up to the target."""
    level: float
    """How full the lungs are: 0 empty, 1 full."""


def view(breaths: Breaths, elapsed_s: float) -> BreathView:
    """Tell what to show of BREATHS at ELAPSED_S seconds into the hold."""
    moment = breaths.at(elapsed_s)
    return BreathView(
        moment.phase.value,
        max(0.0, moment.ends_at_s - elapsed_s),
        moment.number,
        breaths.count,
        _level(moment),
    )


def level(breaths: Breaths, elapsed_s: float) -> float:
    """Give how full the lungs are led to be: 0 empty, 1 full."""
    return _level(breaths.at(elapsed_s))


def stepped(full: float) -> float:
    """Give the level that a screen with reduced motion shows for FULL."""
    return math.floor(full * STEPS_OF_REDUCED_MOTION + 0.5) / STEPS_OF_REDUCED_MOTION


def visible(full: float, rows: int) -> float:
    """Give the nearest level to FULL at which a line in ROWS rows looks different.

    Three steps for each dot that the line's highest point can climb: between them a
    few dots at its sides would move, which nobody sees and a screen would redraw for.
    """
    steps = 3 * max(1, rows * _DOTS - _THICK)
    return round(full * steps) / steps


def heights(full: float, columns: int) -> tuple[float, ...]:
    """Give how high the line is over each of COLUMNS, 0 (floor) to FULL.

    Highest in the middle, on the floor at both ends.
    """
    return tuple(full * height for height in _shape(columns))


@lru_cache(maxsize=256)
def line_rows(
    full: float,
    *,
    columns: int,
    rows: int,
    turned: bool = False,
    in_ascii: bool = False,
) -> tuple[str, ...]:
    """Draw the line in ROWS rows of COLUMNS Braille characters.

    Args:
        full: how full the lungs are, 0 to 1.
        columns: cells from left to right.
        rows: cells from top to bottom.
        turned: by 180°, for somebody upside down.
        in_ascii: out of characters that every terminal has.
    """
    if in_ascii:
        return _ascii_rows(full, columns, rows, turned)
    top = rows * _DOTS - _THICK
    over = [round(height * top) for height in heights(full, 2 * columns)]
    dots = {
        (x, rows * _DOTS - 1 - y)
        for x, height in enumerate(over)
        for y in range(_lowest(over, x), height + _THICK)
    }
    if turned:
        dots = {(2 * columns - 1 - x, rows * _DOTS - 1 - y) for x, y in dots}
    return _cells(dots, columns, rows)


def _ascii_rows(full: float, columns: int, rows: int, turned: bool) -> tuple[str, ...]:
    marks = _ASCII_TURNED if turned else _ASCII
    steps = len(marks)
    grid = [[" "] * columns for _ in range(rows)]
    for column, height in enumerate(heights(full, columns)):
        up, mark = divmod(round(height * (rows * steps - 1)), steps)
        grid[up if turned else rows - 1 - up][column] = marks[mark]
    return tuple("".join(row) for row in grid)


def _level(moment: BreathMoment) -> float:
    """Ease in and out, as a breath does: slow to turn, quick in its middle."""
    eased = (1 - math.cos(math.pi * moment.fraction)) / 2
    return eased if moment.phase is BreathPhase.IN else 1 - eased


@lru_cache(maxsize=16)
def _shape(columns: int) -> tuple[float, ...]:
    """Give the line of full lungs over each of COLUMNS; kept, for it rarely changes."""
    return tuple(_swell((index + 0.5) / columns) for index in range(columns))


def _swell(along: float) -> float:
    inside = (along - _SHOULDERS) / (1 - 2 * _SHOULDERS)
    if not 0 < inside < 1:
        return 0.0
    return (1 - math.cos(2 * math.pi * inside)) / 2


def _lowest(over: Sequence[int], x: int) -> int:
    """Give where column X's stroke begins, so that a steep line has no holes."""
    neighbours = [over[x]]
    neighbours += [over[i] + 1 for i in (x - 1, x + 1) if 0 <= i < len(over)]
    return min(neighbours)


def _cells(dots: set[tuple[int, int]], columns: int, rows: int) -> tuple[str, ...]:
    grid = [[0] * columns for _ in range(rows)]
    for x, y in dots:
        grid[y // _DOTS][x // 2] |= _BIT[y % _DOTS][x % 2]
    return tuple(
        "".join(chr(_BRAILLE + bits) if bits else " " for bits in row) for row in grid
    )

"""Large figures out of block characters, in any height from 3 to 36 rows.

Each figure is a few pen strokes in a unit box. A pen as wide as the height asks for
draws them onto a grid of dots, two by two in a character cell, so that the figures
keep their shape in every size and can be turned by 180° dot by dot for somebody who
reads them upside down. Where a terminal has no blocks, each figure is made of the
seven bars of a clock's: the one shape that stays clear in whole cells.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from functools import lru_cache
from itertools import chain, pairwise

FEWEST_ROWS = 3
"""Below this a figure can't be told from its neighbour."""
MOST_ROWS = 36
"""Two figures of this height fill a window of 100 columns; more adds nothing (our
choice)."""

_WIDTH_PER_ROW = 1.2
"""Columns per row of height: a cell is about twice as tall as it is wide."""
_PEN_PER_HEIGHT = 0.165
"""The pen's width as a part of the height: bold, for three metres (our choice)."""
_CURVE_PIECES = 10
"""Straight pieces that one curve is drawn with."""

_Point = tuple[float, float]
_Stroke = tuple[_Point, ...]
"""A start, then curves: each three further points (two handles and an end), as in
any outline font. A straight line has its handles on its ends."""
_Dots = set[tuple[int, int]]
"""Dots half a column wide and half a row high: how many from the left, from the top."""


def _line(*points: _Point) -> _Stroke:
    """Give the stroke that joins POINTS by straight lines."""
    stroke = [points[0]]
    for start, end in pairwise(points):
        stroke += [start, end, end]
    return tuple(stroke)


def _curve(start: _Point, *pieces: tuple[_Point, _Point, _Point]) -> _Stroke:
    """Give the stroke that leaves START and follows PIECES: two handles, an end."""
    return (start, *chain.from_iterable(pieces))


def _ring(left: float, right: float, top: float, bottom: float) -> _Stroke:
    """Give a closed oval that is a little squarer than an ellipse."""
    x, y = (left + right) / 2, (top + bottom) / 2
    across, down = 0.62 * (x - left), 0.62 * (y - top)
    return _curve(
        (left, y),
        ((left, y - down), (x - across, top), (x, top)),
        ((x + across, top), (right, y - down), (right, y)),
        ((right, y + down), (x + across, bottom), (x, bottom)),
        ((x - across, bottom), (left, y + down), (left, y)),
    )


_SIX: tuple[_Stroke, ...] = (
    _curve(
        (0.84, 0.0),
        ((0.74, 0.0), (0.66, 0.0), (0.58, 0.0)),
        ((0.2, 0.0), (0.0, 0.22), (0.0, 0.68)),
    ),
    _ring(0.0, 1.0, 0.44, 1.0),
)
GLYPHS: Mapping[str, tuple[_Stroke, ...]] = {
    " ": (),
    "0": (_ring(0.0, 1.0, 0.0, 1.0),),
    "1": (_line((0.12, 0.2), (0.56, 0.0), (0.56, 1.0)), _line((0.1, 1.0), (1.0, 1.0))),
    "2": (
        _curve(
            (0.02, 0.25),
            ((0.06, 0.09), (0.24, 0.0), (0.5, 0.0)),
            ((0.8, 0.0), (0.97, 0.12), (0.97, 0.29)),
            ((0.97, 0.52), (0.42, 0.68), (0.0, 1.0)),
        ),
        _line((0.0, 1.0), (1.0, 1.0)),
    ),
    "3": (
        _curve(
            (0.04, 0.17),
            ((0.12, 0.06), (0.28, 0.0), (0.48, 0.0)),
            ((0.76, 0.0), (0.94, 0.1), (0.94, 0.25)),
            ((0.94, 0.4), (0.78, 0.48), (0.52, 0.48)),
        ),
        _line((0.34, 0.48), (0.52, 0.48)),
        _curve(
            (0.52, 0.48),
            ((0.82, 0.48), (1.0, 0.57), (1.0, 0.74)),
            ((1.0, 0.9), (0.78, 1.0), (0.48, 1.0)),
            ((0.24, 1.0), (0.06, 0.93), (0.0, 0.8)),
        ),
    ),
    "4": (_line((0.74, 1.0), (0.74, 0.0), (0.0, 0.72), (1.0, 0.72)),),
    "5": (
        _line((0.94, 0.0), (0.12, 0.0), (0.06, 0.45)),
        _curve(
            (0.06, 0.45),
            ((0.18, 0.38), (0.32, 0.36), (0.48, 0.36)),
            ((0.8, 0.36), (1.0, 0.48), (1.0, 0.67)),
            ((1.0, 0.88), (0.78, 1.0), (0.46, 1.0)),
            ((0.24, 1.0), (0.08, 0.94), (0.0, 0.82)),
        ),
    ),
    "6": _SIX,
    "7": (_line((0.0, 0.0), (1.0, 0.0), (0.36, 1.0)),),
    "8": (_ring(0.06, 0.94, 0.0, 0.46), _ring(0.0, 1.0, 0.46, 1.0)),
}
"""The strokes of each figure in a box of width 1 and height 1, y downwards. The nine
is the six turned by 180°, dot by dot."""
FIGURES = frozenset(GLYPHS) | {"9"}

_BY_HAND: Mapping[int, Mapping[str, tuple[str, ...]]] = {
    3: {
        " ": ("    ", "    ", "    "),
        "0": ("▟▀▀▙", "█  █", "▜▄▄▛"),
        "1": ("▗▟█ ", "  █ ", "▄▄█▄"),
        "2": ("▀▀▀▙", "▟▀▀▘", "█▄▄▄"),
        "3": ("▀▀▀▙", " ▀▀▙", "▄▄▄▛"),
        "4": ("█  █", "▀▀▀█", "   █"),
        "5": ("█▀▀▀", "▀▀▀▙", "▄▄▄▛"),
        "6": ("▟▀▀ ", "█▄▄▖", "▜▄▄▛"),
        "7": ("▀▀▀█", "  ▟▘", " ▟▘ "),
        "8": ("▟▀▀▙", "▟▀▀▙", "▜▄▄▛"),
    },
    4: {
        "3": ("▀███▙", "  ▄▟█", "▄ ▀▜█", "▜███▛"),
        "6": ("▗▟██▌", "█▛   ", "█▛▀▜▙", "▜███▛"),
    },
}
"""By rows: three are too few for a pen, and in four it would close the bows of the
three and the six, so that they look like an eight."""

_BARS: Mapping[str, str] = {
    " ": "",
    "0": "abcdef",
    "1": "bc",
    "2": "abged",
    "3": "abgcd",
    "4": "fgbc",
    "5": "afgcd",
    "6": "afgedc",
    "7": "abc",
    "8": "abcdefg",
    "9": "abcdfg",
}
"""The bars of each figure, by the letters that they have everywhere: a on top, then
clockwise to f, and g in the middle."""
_TURNED_BARS = str.maketrans("abcdef", "defabc")
_FEWEST_THICK_ROWS = 5
"""Below this there is no row between two bars: they are drawn as lines."""
INK = "#"

_QUADRANTS = " ▘▝▀▖▌▞▛▗▚▐▜▄▙▟█"
"""Indexed by upper left 1, upper right 2, lower left 4, lower right 8."""


def figure_width(rows: int) -> int:
    """Give the columns of one figure of ROWS rows."""
    return max(4, round(_WIDTH_PER_ROW * rows))


def gap_width(rows: int) -> int:
    """Give the columns between two figures of ROWS rows."""
    return 1 if rows < 6 else round(rows / 4)


def text_width(length: int, rows: int) -> int:
    """Give the columns of LENGTH figures of ROWS rows side by side."""
    if length <= 0:
        return 0
    return length * figure_width(rows) + (length - 1) * gap_width(rows)


def rows_that_fit(length: int, columns: int, rows: int) -> int:
    """Give the greatest height of LENGTH figures in COLUMNS × ROWS cells; 0: none."""
    for height in range(min(rows, MOST_ROWS), FEWEST_ROWS - 1, -1):
        if text_width(length, height) <= columns:
            return height
    return 0


@lru_cache(maxsize=64)
def big_rows(
    text: str, rows: int, *, turned: bool = False, in_ascii: bool = False
) -> tuple[str, ...]:
    """Draw the figures of TEXT in ROWS rows of characters, all of the same length.

    Args:
        text: figures and spaces.
        rows: 3 to 36.
        turned: by 180°, to be read upside down.
        in_ascii: out of characters that every terminal has.

    Raises:
        ValueError: a character that has no glyph, or a height out of bounds.
    """
    if not FEWEST_ROWS <= rows <= MOST_ROWS:
        raise ValueError(f"figures of {rows} rows: {FEWEST_ROWS} to {MOST_ROWS}")
    unknown = set(text) - FIGURES
    if unknown:
        raise ValueError(f"no figure for {''.join(sorted(unknown))!r}")
    gap = " " * gap_width(rows)
    draw = _bar_rows if in_ascii else _glyph_rows
    glyphs = [draw(char, rows, turned) for char in text]
    if turned:
        glyphs.reverse()
    return tuple(gap.join(glyph[row] for glyph in glyphs) for row in range(rows))


@lru_cache(maxsize=256)
def _glyph_rows(char: str, rows: int, turned: bool) -> tuple[str, ...]:
    columns = figure_width(rows)
    if char == "9":
        char, turned = "6", not turned
    by_hand = _BY_HAND.get(rows, {}).get(char)
    dots = _drawn(char, rows, columns) if by_hand is None else _dots_of(by_hand)
    if turned:
        dots = {(2 * columns - 1 - x, 2 * rows - 1 - y) for x, y in dots}
    return tuple(
        "".join(_QUADRANTS[_cell(dots, column, row)] for column in range(columns))
        for row in range(rows)
    )


@lru_cache(maxsize=256)
def _bar_rows(char: str, rows: int, turned: bool) -> tuple[str, ...]:
    """Draw one figure out of bars of ASCII."""
    bars = _BARS[char].translate(_TURNED_BARS) if turned else _BARS[char]
    columns, upper = figure_width(rows), (rows - 1) // 2
    if rows < _FEWEST_THICK_ROWS:
        inner = columns - 2
        lines = [f" {_drawn_bar('a', bars, '_') * inner} "]
        for row in range(1, rows):
            left, right = ("f", "b") if row <= upper else ("e", "c")
            floor = {upper: "g", rows - 1: "d"}.get(row, "")
            lines.append(
                _drawn_bar(left, bars, "|")
                + _drawn_bar(floor, bars, "_") * inner
                + _drawn_bar(right, bars, "|")
            )
        return tuple(lines)
    thick = max(1, round(_PEN_PER_HEIGHT * rows))
    broad = max(2, round(2 * _PEN_PER_HEIGHT * rows))
    middle = range((rows - thick) // 2, (rows - thick) // 2 + thick)
    grid = [[" "] * columns for _ in range(rows)]
    boxes = {
        "a": (range(thick), range(columns)),
        "g": (middle, range(columns)),
        "d": (range(rows - thick, rows), range(columns)),
        "f": (range(middle.stop), range(broad)),
        "b": (range(middle.stop), range(columns - broad, columns)),
        "e": (range(middle.start, rows), range(broad)),
        "c": (range(middle.start, rows), range(columns - broad, columns)),
    }
    for bar in bars:
        down, across = boxes[bar]
        for row in down:
            for column in across:
                grid[row][column] = INK
    return tuple("".join(row) for row in grid)


def _drawn_bar(bar: str, bars: str, line: str) -> str:
    return line if bar and bar in bars else " "


def _cell(dots: _Dots, column: int, row: int) -> int:
    x, y = 2 * column, 2 * row
    return (
        ((x, y) in dots)
        + 2 * ((x + 1, y) in dots)
        + 4 * ((x, y + 1) in dots)
        + 8 * ((x + 1, y + 1) in dots)
    )


def _dots_of(lines: Sequence[str]) -> _Dots:
    """Read the dots of a figure out of its block characters."""
    dots: _Dots = set()
    for row, line in enumerate(lines):
        for column, block in enumerate(line):
            bits = _QUADRANTS.index(block)
            dots.update(
                (2 * column + bit % 2, 2 * row + bit // 2)
                for bit in range(4)
                if bits >> bit & 1
            )
    return dots


def _drawn(char: str, rows: int, columns: int) -> _Dots:
    """Draw one figure: the dots under the pen.

    Lengths are in columns, which is about half a row's height.
    """
    height = 2.0 * rows
    pen = max(1.0, round(2 * _PEN_PER_HEIGHT * height) / 2)
    inner_w, inner_h = columns - pen, height - pen
    dots: _Dots = set()
    for stroke in GLYPHS[char]:
        points = [
            (pen / 2 + x * inner_w, pen / 2 + y * inner_h) for x, y in _flat(stroke)
        ]
        for start, end in pairwise(points):
            _draw_line(dots, start, end, pen / 2)
    return {(x, y) for x, y in dots if 0 <= x < 2 * columns and 0 <= y < 2 * rows}


def _flat(stroke: _Stroke) -> Iterator[_Point]:
    """Follow a stroke of curves by points on it."""
    yield stroke[0]
    for index in range(0, len(stroke) - 1, 3):
        a, b, c, d = stroke[index : index + 4]
        for piece in range(1, _CURVE_PIECES + 1):
            t = piece / _CURVE_PIECES
            u = 1 - t
            yield (
                u**3 * a[0] + 3 * u * u * t * b[0] + 3 * u * t * t * c[0] + t**3 * d[0],
                u**3 * a[1] + 3 * u * u * t * b[1] + 3 * u * t * t * c[1] + t**3 * d[1],
            )


def _draw_line(dots: _Dots, start: _Point, end: _Point, reach: float) -> None:
    """Add to DOTS those whose middle lies within REACH of the line from START to END.

    The pen is square at its tips (the greater of the two distances counts, not the
    diagonal), so that bars and stems have clean edges. The short lines of a curve lie
    for the most part on what the one before drew, and that isn't worked out again.
    """
    low_x, high_x = sorted((start[0], end[0]))
    low_y, high_y = sorted((start[1], end[1]))
    run, rise = end[0] - start[0], end[1] - start[1]
    length_2 = run * run + rise * rise
    tiny = 1e-6
    down = range(math.floor(low_y - reach), math.ceil(high_y + reach) + 1)
    for x in range(
        math.floor(2 * (low_x - reach)), math.ceil(2 * (high_x + reach)) + 1
    ):
        from_x = (x + 0.5) / 2 - start[0]
        for y in down:
            if (x, y) in dots:
                continue
            from_y = y + 0.5 - start[1]
            along = 0.0
            if length_2 > 0:
                along = (from_x * run + from_y * rise) / length_2
                along = min(1.0, max(0.0, along))
            off_x = abs(from_x - along * run)
            off_y = abs(from_y - along * rise)
            if max(off_x, off_y) <= reach + tiny:
                dots.add((x, y))

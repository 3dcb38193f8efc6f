"""What every picture is made of: rows of spans, each a text with an ink.

Pictures are pure: a series, a width and a height give rows. The screens, the command
line and the tests draw the same rows. Ink only repeats what glyphs and words say:
every picture can be read without it, and in plain ASCII.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from trainer.core.alphabet import Alphabet


class Ink(StrEnum):
    """How a span is meant; each shell has its own style for it."""

    PLAIN = "plain"
    DIM = "dim"
    """Axes and captions."""
    STRONG = "strong"
    FIRST = "first"
    """The first series (sky, Okabe–Ito)."""
    SECOND = "second"
    """The second series and the target (orange, Okabe–Ito)."""


@dataclass(frozen=True, slots=True)
class Span:
    """A run of cells in one ink."""

    text: str
    ink: Ink = Ink.PLAIN


Row = tuple[Span, ...]
Picture = tuple[Row, ...]


@dataclass(frozen=True, slots=True)
class Glyphs:
    """The characters that a terminal can show."""

    columns: str
    """A column's top cell, from an eighth to full."""
    second: str
    """The second series' cell."""
    third: str
    """The third one's."""
    target: str
    point: str
    axis: str
    corner: str
    upright: str
    shades: str
    """Four steps of shading."""
    half: str
    """After or under a figure: and a half."""

    def fill(self, number: int) -> str:
        """Return the cell that the series of that number is filled with, from 0."""
        return (self.columns[-1], self.second, self.third)[min(number, 2)]


UNICODE = Glyphs(
    columns="▁▂▃▄▅▆▇█",
    second="░",
    third="▒",
    target="╌",
    point="●",
    axis="─",
    corner="└",
    upright="│",
    shades="░▒▓█",
    half="½",
)
ASCII = Glyphs(
    columns=".....###",
    second=":",
    third="%",
    target="-",
    point="o",
    axis="-",
    corner="+",
    upright="|",
    shades="-+%@",
    half="+",
)


class Canvas:
    """A grid of cells to draw on."""

    def __init__(self, width: int, height: int) -> None:
        """Make a blank grid."""
        self.width = width
        self.height = height
        self._cells = [[(" ", Ink.PLAIN)] * width for _ in range(height)]

    def put(self, row: int, col: int, text: str, ink: Ink = Ink.PLAIN) -> None:
        """Write TEXT from a cell to the right; what lies outside is dropped."""
        if 0 <= row < self.height:
            for offset, char in enumerate(text):
                if 0 <= col + offset < self.width:
                    self._cells[row][col + offset] = (char, ink)

    def is_blank(self, row: int, col: int) -> bool:
        """Tell whether a cell lies inside and nothing was written on it."""
        inside = 0 <= row < self.height and 0 <= col < self.width
        return inside and self._cells[row][col][0] == " "

    def picture(self) -> Picture:
        """Give the rows, cells of one ink run together, trailing blanks dropped."""
        return tuple(_spans(row) for row in self._cells)


def _spans(cells: Sequence[tuple[str, Ink]]) -> Row:
    end = len(cells)
    while end and cells[end - 1][0] == " ":
        end -= 1
    spans: list[Span] = []
    for char, ink in cells[:end]:
        if spans and (spans[-1].ink is ink):
            spans[-1] = Span(spans[-1].text + char, ink)
        else:
            spans.append(Span(char, ink))
    return tuple(spans)


def line(text: str, ink: Ink = Ink.PLAIN) -> Row:
    """Give a row of one span."""
    return (Span(text, ink),)


def plain(picture: Picture) -> str:
    """Give a picture as text without inks."""
    return "\n".join("".join(span.text for span in row) for row in picture)


def nice_top(largest: float, *, least: float = 1.0) -> float:
    """Give a round number at or above LARGEST, for the top of an axis from zero."""
    largest = max(largest, least)
    size = 10.0 ** math.floor(math.log10(largest))
    for factor in (1, 1.5, 2, 3, 4, 5, 6, 8, 10):
        if factor * size >= largest * (1 - 1e-9):
            return factor * size
    return 10 * size


def glyphs_for(alphabet: Alphabet | None) -> Glyphs:
    """Choose what a terminal with ALPHABET can show; None: one that shows all."""
    return UNICODE if alphabet is None else ASCII

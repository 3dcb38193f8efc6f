"""A picture of the core on the screen: rows of spans, each ink in a style of ours.

Here too: what a terminal that lacks characters is shown in their place.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Mapping, Sequence

from rich.segment import Segment
from textual.color import Color
from textual.content import Content
from textual.filter import LineFilter

from trainer.core.alphabet import Alphabet, alphabet
from trainer.core.charts.canvas import ASCII, Glyphs, Ink, Picture, glyphs_for

STYLES: Mapping[Ink, str] = {
    Ink.PLAIN: "",
    Ink.DIM: "$text-muted",
    Ink.STRONG: "bold",
    Ink.FIRST: "$primary",
    Ink.SECOND: "$accent",
}


def screen_alphabet() -> Alphabet | None:
    """Tell which characters this terminal can show; None: all."""
    # Textual draws on stderr.
    encoding = sys.__stderr__.encoding if sys.__stderr__ is not None else "utf-8"
    return alphabet(encoding, os.environ)


def screen_glyphs() -> Glyphs:
    """Choose the characters that this terminal can show."""
    return glyphs_for(screen_alphabet())


def spelt(text: str) -> str:
    """Give TEXT of ours as this terminal can show it, before it has its place."""
    letters = screen_alphabet()
    return text if letters is None else letters.spell(text)


class Cells(LineFilter):
    """The last door before the terminal: each cell holds what it can show.

    What was spelt before is left alone; frames, scroll bars and whatever else the
    framework draws become ASCII of the same width.
    """

    def __init__(self, letters: Alphabet) -> None:
        super().__init__()
        self._letters = letters

    def apply(self, segments: Sequence[Segment], background: Color) -> list[Segment]:
        """Give a line as the terminal can show it."""
        return [
            segment
            if segment.text.isascii()
            else Segment(
                self._letters.cells(segment.text), segment.style, segment.control
            )
            for segment in segments
        ]


def cells_of_this_terminal() -> tuple[Cells, ...]:
    """Give the door that this terminal needs, if it needs one."""
    letters = screen_alphabet()
    return () if letters is None else (Cells(letters),)


def drawn(picture: Picture, glyphs: Glyphs) -> Content:
    """Give a picture as content; its text is ours and is never parsed."""
    rows = [
        Content.assemble(
            *(
                (
                    spelt(span.text) if glyphs is ASCII else span.text,
                    STYLES[span.ink],
                )
                for span in row
            )
        )
        for row in picture
    ]
    return Content("\n").join(rows)

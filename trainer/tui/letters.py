"""What a terminal that lacks characters is shown in their place.

Text of ours is spelt before it has its place, so that it may grow; every cell that is
drawn passes one more door, which keeps its width.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence

from rich.segment import Segment
from textual.color import Color
from textual.filter import LineFilter

from trainer.core.alphabet import Alphabet, alphabet

_DRAWN_BY_THE_TERMINAL = "\U0010eeee"
"""No character: a cell of a picture that the terminal itself draws."""


def screen_alphabet() -> Alphabet | None:
    """Tell which characters this terminal can show; None: all."""
    # Textual draws on stderr.
    encoding = sys.__stderr__.encoding if sys.__stderr__ is not None else "utf-8"
    return alphabet(encoding, os.environ)


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
            if segment.text.isascii() or _DRAWN_BY_THE_TERMINAL in segment.text
            else Segment(
                self._letters.cells(segment.text), segment.style, segment.control
            )
            for segment in segments
        ]


def cells_of_this_terminal() -> tuple[Cells, ...]:
    """Give the door that this terminal needs, if it needs one."""
    letters = screen_alphabet()
    return () if letters is None else (Cells(letters),)

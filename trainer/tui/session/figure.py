"""The seconds, as large as the space allows; the same in plain words stands beside."""

from __future__ import annotations

import re

from rich.segment import Segment
from rich.style import Style
from textual.strip import Strip
from textual.widget import Widget

from trainer.tui.letters import screen_alphabet
from trainer.tui.session.big_digits import FEWEST_ROWS, big_rows, rows_that_fit

_RUNS = re.compile(r" +|[^ ]+")
"""Blanks, or strokes."""


class BigFigure(Widget):
    """Large figures in the middle of whatever space there is.

    Drawn line by line, and only when the figure changes: it is read from three metres
    and costs next to nothing.
    """

    DEFAULT_CSS = """
    BigFigure { width: 1fr; height: 1fr; }
    """

    def __init__(
        self,
        *,
        to_right: bool = False,
        id: str | None = None,  # noqa: A002 - Textual's name
    ) -> None:
        super().__init__(id=id)
        self._to_right = to_right
        self._text = ""
        self._places = 2
        self._turned = False
        self._in_ascii = screen_alphabet() is not None

    def show(self, text: str, *, turned: bool = False, places: int = 2) -> None:
        """Put another figure there.

        Args:
            text: figures.
            turned: upside down.
            places: how many figures to keep room for, so that the size stays the same
                while a number loses its tens.
        """
        before = self.drawn
        self._text, self._turned, self._places = text, turned, places
        if self.drawn != before:
            self.refresh()

    @property
    def drawn(self) -> tuple[str, ...]:
        """The figure's rows, for the room that there is now.

        Asked whenever it is painted: the framework doesn't tell of every change of
        size. A place that is asked for before a layout leaves it no change to find.
        """
        columns, height = self.size
        rows = rows_that_fit(max(self._places, len(self._text)), columns, height)
        if not self._text or height == 0:
            return ()
        if rows < FEWEST_ROWS:
            return (self._text,)
        return big_rows(self._text, rows, turned=self._turned, in_ascii=self._in_ascii)

    def render_line(self, y: int) -> Strip:
        (width, height), rows = self.size, self.drawn
        row = y - (height - len(rows)) // 2
        text = rows[row] if 0 <= row < len(rows) else ""
        if self._to_right:
            text = text.rjust(width)
        return centred(text, width, self.rich_style)


def centred(text: str, width: int, style: Style) -> Strip:
    """Set TEXT in the middle of WIDTH cells; blank cells carry no ink.

    So a stroke stays in its place even where blanks and strokes are drawn from fonts of
    different widths, as in a picture made of the screen.
    """
    paper = Style(bgcolor=style.bgcolor)
    line = text.center(width)
    parts = [
        Segment(part, paper if part.isspace() else style)
        for part in _RUNS.findall(line)
    ]
    return Strip(parts, len(line))

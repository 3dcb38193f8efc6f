"""The breathing line on the screen: up with the inhale, to the floor on the exhale."""

from __future__ import annotations

from textual.strip import Strip
from textual.widget import Widget

from trainer.tui.letters import screen_alphabet
from trainer.tui.session.breath_line import line_rows, stepped, visible
from trainer.tui.session.figure import centred

WIDEST = 140
"""Columns of the line at most: a longer one is no clearer (our choice)."""


class BreathLine(Widget):
    """A line that lies on the floor and swells with the breath."""

    DEFAULT_CSS = """
    BreathLine { width: 1fr; height: 4; }
    """

    def __init__(
        self,
        *,
        reduced_motion: bool = False,
        id: str | None = None,  # noqa: A002 - Textual's name
    ) -> None:
        super().__init__(id=id)
        self._reduced = reduced_motion
        self._full: float | None = None
        self._turned = False
        self._in_ascii = screen_alphabet() is not None

    def show(self, full: float | None, *, turned: bool = False) -> None:
        """Put the line at FULL (0 empty, 1 full); None: no breath is led."""
        if full is not None:
            rows = self.size.height
            full = stepped(full) if self._reduced else visible(full, rows)
        before = self.drawn
        self._full, self._turned = full, turned
        if self.drawn != before:
            self.refresh()

    @property
    def drawn(self) -> tuple[str, ...]:
        """The line's rows, for the room that there is now (see ``BigFigure.drawn``)."""
        columns, rows = min(self.size.width, WIDEST), self.size.height
        if self._full is None or columns < 1 or rows < 1:
            return ()
        return line_rows(
            self._full,
            columns=columns,
            rows=rows,
            turned=self._turned,
            in_ascii=self._in_ascii,
        )

    def render_line(self, y: int) -> Strip:
        rows = self.drawn
        row = rows[y] if y < len(rows) else ""
        return centred(row, self.size.width, self.rich_style)

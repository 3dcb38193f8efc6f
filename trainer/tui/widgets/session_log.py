"""The log panel: a label in the margin, the answer, and the keys that give it."""

from __future__ import annotations

from collections.abc import Sequence

from textual import events
from textual.content import Content
from textual.geometry import Size
from textual.message import Message
from textual.style import Style
from textual.widget import Widget

from trainer.tui.widgets.session_log_rows import LogLine, Offer
from trainer.tui.widgets.sheet import styled

NOTHING = "–"
"""Stands where nobody said anything."""
ASIDES_ROWS = 24
"""Rows of the window from which the asides are said too (our choice)."""
_MARGIN = 10
_GAP = "   "


class LogPanel(Widget):
    """The lines of one hold's log; what isn't answered stays a dash."""

    DEFAULT_CSS = """
    LogPanel { width: 1fr; height: auto; max-width: 110; }
    """

    class Clicked(Message):
        """A key's word was clicked."""

        def __init__(self, action: str) -> None:
            super().__init__()
            self.action = action

    def __init__(self, *, id: str | None = None) -> None:  # noqa: A002 - Textual's name
        super().__init__(id=id)
        self._lines: tuple[LogLine, ...] = ()
        self._spans: list[tuple[int, int, int, str]] = []

    def show(self, lines: Sequence[LogLine]) -> None:
        """Put other lines there."""
        if tuple(lines) != self._lines:
            self._lines = tuple(lines)
            self.refresh(layout=True)

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """Take as many rows as the words need."""
        return len(self._set(width))

    def render(self) -> Content:
        """Write the lines."""
        return Content("\n").join(self._set(self.size.width))

    def _set(self, width: int) -> list[Content]:
        """Set all lines in rows, with air between them where there is room for it."""
        entries = [self._rows(line, width) for line in self._lines]
        needed = sum(len(rows) for rows in entries) + len(entries) - 1
        room = self.parent.size.height if isinstance(self.parent, Widget) else 0
        airy = needed <= room
        rows: list[Content] = []
        for entry in entries:
            if airy and rows:
                rows.append(Content(""))
            rows.extend(entry)
        return rows

    def _rows(self, line: LogLine, width: int) -> list[Content]:
        """Set one line in rows: the label in the margin, nothing torn from its key."""
        room = max(10, width - _MARGIN - len(_GAP))
        dash = styled(NOTHING, "$text-muted") if line.quiet else Content(NOTHING)
        answer = styled(line.answer, "bold") if line.answer else dash
        pieces = [(_GAP, part) for part in answer.wrap(room)]
        for number, offer in enumerate(line.offers):
            said = _offer(offer, quiet=line.quiet)
            pieces.append((_GAP if number == 0 else "  ", said))
        low = self.screen.size.height < ASIDES_ROWS
        remark = line.remark if low else f"{line.remark} {line.aside}"
        for number, word in enumerate(remark.split()):
            pieces.append((_GAP if number == 0 else " ", styled(word, "$text-muted")))
        # Blank cells carry no ink, so that no terminal joins them to the label.
        margin = Content.assemble(
            " " * (_MARGIN - len(line.label)),
            (f"{line.label}{_GAP}", "$text-muted"),
        )
        blank = Content(" " * (_MARGIN + len(_GAP)))
        return [
            Content.assemble(blank if number else margin, row)
            for number, row in enumerate(_packed(pieces, room))
        ]

    def on_click(self, event: events.Click) -> None:
        """Let the mouse do what the key does."""
        action = event.style.meta.get("answer")
        if isinstance(action, str) and action:
            event.stop()
            self.post_message(self.Clicked(action))


def _packed(pieces: Sequence[tuple[str, Content]], room: int) -> list[Content]:
    """Put pieces one after the other, beginning a new row where one doesn't fit."""
    rows: list[Content] = []
    row = Content("")
    for gap, piece in pieces:
        if row.cell_length and row.cell_length + len(gap) + piece.cell_length > room:
            rows.append(row)
            row = piece
        else:
            row = Content.assemble(row, gap, piece) if row.cell_length else piece
    return [*rows, row]


def _offer(offer: Offer, *, quiet: bool) -> Content:
    """Write a key and its word; a chosen one is underlined. A click does the same."""
    word = styled(offer.word, "bold underline" if offer.chosen else "$text-muted")
    key = styled(offer.key, "$text-muted" if quiet else "bold")
    parts = [key, word]
    both = Content(" ").join(part for part in parts if part.cell_length)
    return both.stylize(Style.from_meta({"answer": offer.action}))

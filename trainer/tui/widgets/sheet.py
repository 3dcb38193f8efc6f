"""A sheet: a label in the margin, the text beside it, like a page of a notebook.

Every screen of ours is made of these. The text comes in as ``Content`` or as plain
strings, which are never parsed for markup.
"""

from __future__ import annotations

import asyncio
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from trainer.core.text import clean
from trainer.tui.letters import spelt

Text = str | Content


def plain(text: str) -> Content:
    """Make TEXT, whoever wrote it, safe to show: cleaned, and never parsed."""
    return Content(_kept_in(text))


def _kept_in(text: str) -> str:
    """Clean TEXT but keep the spaces that align it."""
    lead = len(text) - len(text.lstrip(" "))
    return " " * lead + spelt(clean(text, limit=10_000))


def styled(text: str, style: str) -> Content:
    """Give cleaned TEXT in one style of ours."""
    return Content.styled(_kept_in(text), style)


def lines(parts: Iterable[Text]) -> Content:
    """Put parts on lines of their own."""
    contents = [plain(part) if isinstance(part, str) else part for part in parts]
    return Content("\n").join(contents)


def columns(
    rows: Sequence[Sequence[str]], *, right: Iterable[int] = (), gap: int = 3
) -> list[str]:
    """Align ROWS in columns; those numbered in RIGHT to the right."""
    if not rows:
        return []
    to_right = frozenset(right)
    count = max(len(row) for row in rows)
    cleaned = [
        [spelt(clean(cell)) for cell in row] + [""] * (count - len(row)) for row in rows
    ]
    widths = [max(Content(row[n]).cell_length for row in cleaned) for n in range(count)]
    aligned = []
    for row in cleaned:
        cells = []
        for n, cell in enumerate(row):
            pad = " " * (widths[n] - Content(cell).cell_length)
            cells.append(pad + cell if n in to_right else cell + pad)
        aligned.append((" " * gap).join(cells).rstrip())
    return aligned


@dataclass(frozen=True, slots=True)
class Note:
    """One entry of a sheet: what stands in the margin, and what it is about."""

    label: str
    body: tuple[Text, ...]
    quiet: bool = False
    """Said in the soft ink: there to be found, not to be read each time."""
    tight: bool = False
    """No empty line below it: one of a list."""
    classes: str = ""
    """Style classes, such as ``not-wide``."""


def note(
    label: str,
    *body: Text,
    quiet: bool = False,
    tight: bool = False,
    classes: str = "",
) -> Note:
    """Make a note of lines."""
    return Note(label, body, quiet, tight, classes)


class Entry(Widget):
    """A note as it stands on the sheet."""

    def __init__(self, entry: Note) -> None:
        super().__init__(classes=entry.classes)
        self.set_class(entry.quiet, "quiet")
        self.set_class(entry.tight, "tight")
        self._entry = entry

    def compose(self) -> ComposeResult:
        """Put the label in the margin and the text beside it."""
        yield Static(plain(self._entry.label), classes="margin")
        yield Static(lines(self._entry.body), classes="text")


class Sheet(Vertical):
    """Notes, one below the other."""

    def __init__(
        self,
        notes: Iterable[Note] = (),
        *,
        id: str | None = None,  # noqa: A002 - the framework's own name
        classes: str | None = None,
    ) -> None:
        super().__init__(*(Entry(entry) for entry in notes), id=id, classes=classes)
        # Two that come at once would each clear the sheet, then both fill it.
        self._turn = asyncio.Lock()

    async def show(self, notes: Iterable[Note]) -> None:
        """Put other notes in their place."""
        async with self._turn, self.batch():
            await self.remove_children()
            await self.mount_all(Entry(entry) for entry in notes)


class SheetIfSeen(Sheet):
    """A sheet that isn't seen on every window: its notes wait until it is."""

    _waiting: tuple[Note, ...] | None = None

    async def show(self, notes: Iterable[Note]) -> None:
        """Put other notes in their place, now or when the sheet comes in sight."""
        self._waiting = tuple(notes)
        if self.display:
            await self.on_show()

    async def on_show(self) -> None:
        """Lay out what waits."""
        waiting, self._waiting = self._waiting, None
        if waiting is not None:
            await super().show(waiting)

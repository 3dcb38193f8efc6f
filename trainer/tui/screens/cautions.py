"""The cautions: before the first session, and one key away from everywhere."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from textual.binding import BindingType
from textual.containers import VerticalScroll
from textual.widget import Widget

from trainer.core.cautions import CAUTIONS
from trainer.tui.keymap import bind
from trainer.tui.screens.page import READING, Page
from trainer.tui.widgets.sheet import Sheet, note


class CautionsScreen(Page[bool]):
    """All the cautions on one page.

    Dismissed with True once they were read to the end and said to be, with False
    when they were left.
    """

    HEADING = "Cautions"
    BINDINGS: ClassVar[list[BindingType]] = [
        *READING,
        bind("cautions.read", "read"),
    ]
    SEEN_FIRST = ("cautions.read",)

    def __init__(self, *, first: bool = False) -> None:
        super().__init__()
        self._first = first

    def corner(self) -> str:
        """Say why they are shown now."""
        return "once before the first session" if self._first else ""

    def body(self) -> Iterator[Widget]:
        """Give one entry for each caution."""
        yield Sheet(note(each.heading, *each.sentences) for each in CAUTIONS)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Ask for "read" only before the first session."""
        if action == "read":
            return self._first
        return super().check_action(action, parameters)

    def action_read(self) -> None:
        """Go on, once the end has been on the screen; until then, turn the page."""
        sheet = self.query_one("#page", VerticalScroll)
        if sheet.scroll_offset.y < sheet.max_scroll_y - 1:
            self.action_scroll(1)
        else:
            self.dismiss(True)

    def action_back(self) -> None:
        """Leave them unread."""
        self.dismiss(False)

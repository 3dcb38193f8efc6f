"""The cover: what is seen at once, while Today is loaded and the data file is opened.

It knows of nothing but the page's frame, so that nothing else is waited for.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from textual.binding import BindingType
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from trainer.tui.keymap import bind
from trainer.tui.screens.page import Page
from trainer.tui.widgets.sheet import plain


class Cover(Page[None]):
    """Stands where Today will lie."""

    HEADING = "Today"
    BINDINGS: ClassVar[list[BindingType]] = [bind("today.leave", "app.leave")]

    def titled(self, heading: str) -> Content:
        """Give the heading alone: whose file it is isn't known yet."""
        return plain(heading)

    def body(self) -> Iterator[Widget]:
        """Say what is waited for."""
        yield Static(plain("Opening the log …"))

    def on_mount(self) -> None:
        """Begin with the rest once this is seen."""
        self.call_after_refresh(self.trainer.open_log)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Offer leaving alone: nothing lies below, and the rest isn't there yet."""
        return action == "leave"

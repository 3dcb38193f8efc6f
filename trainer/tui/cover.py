"""The cover: what is seen at once, while Today is loaded and the data file is opened.

It knows of nothing but the page's frame, so that nothing else is waited for.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import ClassVar

from textual.binding import BindingType
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from trainer.tui.door import OPENED_FROM_TODAY
from trainer.tui.keymap import KEYS, bind
from trainer.tui.screens.page import Page
from trainer.tui.widgets.keyline import keys_by_id
from trainer.tui.widgets.sheet import plain

WAITING = "Opening the log …"


class Cover(Page[None]):
    """Stands where Today will lie.

    A key by which Today opens a page is kept until it can. One that starts something is
    not: what it would start isn't on the screen.

    Args:
        when_seen: begins with the rest.
    """

    HEADING = "Today"
    BINDINGS: ClassVar[list[BindingType]] = [
        bind("today.leave", "app.leave"),
        bind("today.start", "too_early", show=False),
        *(
            bind(f"today.{page}", f"begin_with('{page}')", show=False)
            for page in sorted(OPENED_FROM_TODAY)
        ),
    ]

    def __init__(self, when_seen: Callable[[], object]) -> None:
        super().__init__()
        self._when_seen = when_seen

    def titled(self, heading: str) -> Content:
        """Give the heading alone: whose file it is isn't known yet."""
        return plain(heading)

    def body(self) -> Iterator[Widget]:
        """Say what is waited for."""
        yield Static(plain(WAITING), id="waiting")

    def on_mount(self) -> None:
        """Begin with the rest once this is seen."""
        self.call_after_refresh(self._when_seen)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Offer leaving alone: nothing lies below, and the rest isn't there yet."""
        return action in ("leave", "begin_with", "too_early")

    def action_begin_with(self, page: str) -> None:
        """Open that page as soon as it can be; the last one that was asked for."""
        if self.trainer.begin_with(page):
            self._say(f"Then: {KEYS[f'today.{page}'].label}.")

    def action_too_early(self) -> None:
        """Say that nothing is started before the day is on the screen."""
        key = keys_by_id(self).get("today.start", "")
        self._say(f"Once the day stands here, {key} starts its session.")

    def _say(self, sentence: str) -> None:
        self.query_one("#waiting", Static).update(plain(f"{WAITING} {sentence}"))

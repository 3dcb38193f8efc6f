"""What a page and a slip have in common.

**Left once**, however often it is told to go. The framework takes away whatever lies on
top (textual 8.2, ``Screen.dismiss``): a second enter, on its way while the first closes
a slip, would take the page below, a session under way, say.

**Answered when seen.** Whoever types ahead, or presses a key twice, meets a page that
they haven't seen. There most keys do no harm; one that takes a caution as read, passes
the gate or leads into a hold does.
"""

from __future__ import annotations

import math
from collections.abc import Collection
from typing import TYPE_CHECKING, ClassVar, TypeVar, cast

from textual import events, on
from textual.await_complete import AwaitComplete
from textual.screen import Screen

if TYPE_CHECKING:
    from trainer.tui.program import Program

Result = TypeVar("Result")


class Paper(Screen[Result]):
    """A screen of ours."""

    SEEN_FIRST: ClassVar[Collection[str]] = ()
    """The ids of bindings that count only once it has been drawn."""

    _seen_at = math.inf
    """When it was drawn, on the framework's clock."""

    @property
    def trainer(self) -> Program:
        """Give the app, as what it is."""
        return cast("Program", self.app)

    def dismiss(self, result: Result | None = None) -> AwaitComplete:
        """Leave it, once."""
        left = self not in self.app.screen_stack
        return AwaitComplete() if left else super().dismiss(result)

    @on(events.Mount)
    def _wait_to_be_drawn(self) -> None:
        # What is laid out is drawn at once; what comes after waits for other messages.
        self.screen_layout_refresh_signal.subscribe(
            self, lambda _: self.note_seen(), immediate=True
        )
        self.call_after_refresh(self.note_seen)

    def note_seen(self) -> None:
        """Let keys count from now on: what they answer is on the screen."""
        self._seen_at = min(self._seen_at, events.Event().time)

    def needs_seeing(self, key_id: str) -> bool:
        """Tell whether the key of a binding answers what stands here."""
        return key_id in self.SEEN_FIRST

    def on_key(self, event: events.Key) -> None:
        """Let a key that was pressed too early mean nothing."""
        if event.time > self._seen_at:
            return
        bound = self.active_bindings.get(event.key)
        if bound is not None and self.needs_seeing(bound.binding.id or ""):
            event.stop()
            event.prevent_default()

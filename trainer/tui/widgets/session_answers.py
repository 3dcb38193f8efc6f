"""The log's one-key answers: a key in, an answer out, into the session at once."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import ClassVar

from textual import events
from textual.binding import BindingType
from textual.containers import Vertical

from trainer.core.model import Feet, StoppedBy
from trainer.core.session_events import (
    AnswerFeet,
    AnswerHeld,
    AnswerKept,
    AnswerRpe,
    AnswerStoppedBy,
    Event,
)
from trainer.core.session_state import HoldDraft, Phase, SessionState
from trainer.runner import SessionRunner
from trainer.tui.keymap import bind
from trainer.tui.widgets.session_log_rows import (
    STOPPED_KEYS,
    TAKES_FEET,
    ended_early,
)

_FEET = (None, *Feet)


class AnswerKeys(Vertical, can_focus=True):
    """What has the focus while a hold can be spoken of, and takes its keys.

    Args:
        runner: takes the answers.
        changed: called after something was said or opened.
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        bind("session.rpe", "rpe"),
        bind("session.half", "half"),
        bind("session.all-kept", "all_kept"),
        bind("session.less", "less"),
        bind("session.more", "more"),
        *(bind(id_, f"stopped_by('{why}')") for id_, why in STOPPED_KEYS),
        bind("session.feet", "feet"),
    ]

    def __init__(self, runner: SessionRunner, *, changed: Callable[[], None]) -> None:
        super().__init__(id="desk")
        self._runner = runner
        self._changed = changed
        self._digit = ""

    @property
    def state(self) -> SessionState:
        """Give the session as it stands."""
        return self._runner.state

    @property
    def draft(self) -> HoldDraft | None:
        """Give the hold that the log is about."""
        return self.state.open_hold

    def tell(self, event: Event) -> None:
        """Hand an answer on."""
        self._runner.send(event)
        self._changed()

    def on_key(self, event: events.Key) -> None:
        """Remember which figure it is; the binding says only that it is one."""
        self._digit = event.character or ""

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Offer a key only where the log has its line."""
        draft = self.draft
        if draft is None:
            asked = self.state.phase is Phase.INTERRUPTED
            return asked and action == "type_held"
        match action:
            case "half":
                return draft.rpe is not None
            case "stopped_by":
                return ended_early(draft)
            case "feet":
                return draft.exercise == TAKES_FEET
        return True

    def action_rpe(self) -> None:
        """How hard it was: 1 to 9, and 0 for ten."""
        if self.draft is not None and self._digit.isdigit():
            self.tell(AnswerRpe(self.draft.serial, float(self._digit) or 10.0))

    def action_half(self) -> None:
        """Add a half to the RPE; again takes it away."""
        draft = self.draft
        if draft is None or draft.rpe is None:
            return
        whole = math.floor(draft.rpe)
        rpe = float(whole) if draft.rpe > whole else min(10.0, whole + 0.5)
        self.tell(AnswerRpe(draft.serial, rpe))

    def action_all_kept(self) -> None:
        """The position was kept to the end."""
        if self.draft is not None:
            self.tell(AnswerKept(self.draft.serial, all_kept=True))

    def action_less(self) -> None:
        """A second less held."""
        if self.draft is not None:
            less_s = max(0.0, math.ceil(self.draft.held_s) - 1.0)
            self.tell(AnswerHeld(self.draft.serial, less_s))

    def action_more(self) -> None:
        """A second more held."""
        if self.draft is not None:
            more_s = math.floor(self.draft.held_s) + 1.0
            self.tell(AnswerHeld(self.draft.serial, more_s))

    def action_stopped_by(self, why: str) -> None:
        """Say what ended the hold; the same key again takes it back."""
        draft = self.draft
        if draft is not None:
            said = StoppedBy(why)
            answer = None if draft.stopped_by is said else said
            self.tell(AnswerStoppedBy(draft.serial, answer))

    def action_feet(self) -> None:
        """Say how much the feet took: the next of the three, then nothing."""
        draft = self.draft
        if draft is not None:
            at = _FEET.index(draft.feet)
            self.tell(AnswerFeet(draft.serial, _FEET[(at + 1) % len(_FEET)]))

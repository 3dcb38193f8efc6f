"""The live session: what its keys do.

What a session does with an event is decided in ``core.session``; what is seen of it is
in ``session_page.py``, the way out of it in ``session_end.py``. The log's keys are the
desk's.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import ClassVar

from textual import events
from textual.binding import BindingType

from trainer.core.model import Felt
from trainer.core.session_events import (
    AnyKey,
    DidNotHappen,
    EndSession,
    Event,
    FalseStart,
    OverridePain,
    PauseSession,
    Resolve,
    Resume,
    Skip,
    TakeBack,
)
from trainer.core.session_state import PauseReason, Phase, SessionEnd
from trainer.errors import ExitCode
from trainer.runner import SessionRunner
from trainer.tui.keymap import bind
from trainer.tui.screens.session_end import SessionEnding
from trainer.tui.screens.session_looks import STILL
from trainer.tui.screens.session_page import HANDS_TAKEN
from trainer.tui.widgets.keyline import KeyLine
from trainer.tui.widgets.session_hints import can_be_undone, down_earlier_counts

REPEATS_WITHIN_S = 0.7
"""Keys in set-up nearer than this are one key held down: a terminal repeats a key
after half a second, and each repeat would add its 30 s (our choice)."""

TOO_LATE = "There is nothing to undo any more: correct the seconds instead."
_PHASES: Mapping[str, frozenset[Phase]] = {
    "go_on": STILL,
    "turn": frozenset({Phase.SET_UP, Phase.HOLD}),
    "skip": frozenset({Phase.WARM_UP, Phase.SET_UP, Phase.LOG_AND_REST}),
    "pause": frozenset({Phase.WARM_UP, Phase.SET_UP, Phase.LOG_AND_REST, Phase.PAUSED}),
    "end": frozenset(Phase) - {Phase.READY, Phase.DONE},
}
"""Where the keys work that ask nothing of a hold."""
_BY_PAIN = (SessionEnd.PAIN, SessionEnd.DIZZY)


class SessionScreen(SessionEnding):
    """One session, from its start to its summary; gives the state that it ended in.

    Args:
        runner: leads the session; started when the screen opens.
        last_felt: by exercise, what was felt last time: shown, never taken.
        upside_down: exercises whose seconds stand upside down from the start.
        reduced_motion: the breathing line steps instead of gliding.
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        bind("session.anyway", "anyway"),
        bind("session.go-on", "go_on"),
        bind("session.out", "out"),
        bind("session.undo", "take_back"),
        bind("session.turn", "turn"),
        bind("session.skip", "skip"),
        bind("session.pause", "pause"),
        bind("session.end", "end"),
    ]

    def __init__(
        self,
        runner: SessionRunner,
        *,
        last_felt: Mapping[str, tuple[Felt, ...]] | None = None,
        upside_down: Collection[str] = (),
        reduced_motion: bool = False,
    ) -> None:
        super().__init__(
            runner,
            last_felt=last_felt,
            upside_down=upside_down,
            reduced_motion=reduced_motion,
        )
        self._any_key_at_s = float("-inf")

    def tell(self, event: Event, *, at_s: float | None = None) -> None:
        """Let something happen to the session, and show what came of it."""
        self.runner.send(event, at_s=at_s)
        self.show()

    def on_key(self, event: events.Key) -> None:
        """A key that is given to nothing here ends a hold, or means not yet."""
        bound = self.active_bindings.get(event.key)
        key_id = "" if bound is None or not bound.enabled else bound.binding.id or ""
        answers = key_id in ("session.end", "session.skip", "everywhere.leave")
        if self.asking and not answers:
            self.asking = ""
            if self.phase is not Phase.HOLD:
                event.stop()
                event.prevent_default()
                self.show()
                return
        # When it was pressed decides whether it is a false start, not when it is seen.
        out = self.phase is Phase.HOLD and event.key in self.keys_of("session.out")
        ours = key_id.startswith("session.") or key_id == "everywhere.leave"
        other = bound is not None and self.phase not in HANDS_TAKEN
        if (ours or other) and not out:
            return
        event.stop()
        event.prevent_default()
        if out:
            self.tell(FalseStart(), at_s=self._pressed_at_s(event))
        elif self.desk.is_open:
            return
        elif event.key in self.keys_of("session.undo") and self._too_late_to_undo():
            self.say_here(TOO_LATE)
            self.show()
        else:
            self._any_key(self._pressed_at_s(event))

    def _too_late_to_undo(self) -> bool:
        return (
            self.phase in (Phase.COME_OUT, Phase.LOG_AND_REST, Phase.DONE)
            and self.state.undo is None
            and not down_earlier_counts(self.state, self.now_s())
        )

    def on_click(self, event: events.Click) -> None:
        """In a hold and in a set-up the mouse is a key too."""
        on_keys = isinstance(event.widget, KeyLine)
        if self.phase in HANDS_TAKEN and not on_keys:
            self._any_key(self._pressed_at_s(event))

    def _pressed_at_s(self, event: events.Event) -> float:
        """Give the moment of a key or a click on the session's clock.

        A slow disk can hold the screen up between a key and its handling; the
        framework notes the time as it reads the key. An event made now gives the age
        on the framework's own clock, whichever that is.
        """
        age_s = max(0.0, events.Event().time - event.time)
        return self.now_s() - age_s

    def _any_key(self, at_s: float) -> None:
        repeated = at_s - self._any_key_at_s < REPEATS_WITHIN_S
        self._any_key_at_s = at_s
        if not (repeated and self.phase is Phase.SET_UP):
            self.tell(AnyKey(), at_s=at_s)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Offer a key only where it does something."""
        if action == "go_on" and self.phase is Phase.DONE:
            return not down_earlier_counts(self.state, self.now_s())
        if action in _PHASES:
            return self.phase in _PHASES[action]
        if action == "out":
            if self.phase is Phase.HOLD:
                return self.false_start_counts()
            return self.phase is Phase.INTERRUPTED or self._has_hold()
        if action == "take_back":
            return can_be_undone(self.state, self.now_s())
        if action == "anyway":
            left_out = bool(self.state.struck) or self.state.end in _BY_PAIN
            return left_out and self.phase not in (Phase.HOLD, Phase.INTERRUPTED)
        if action == "back":
            return self.desk.is_open
        # The page keys are a presenter's remote's: they must be free.
        return action not in ("scroll", "line")

    def _has_hold(self) -> bool:
        pause = self.state.pause
        if pause is not None and pause.reason is PauseReason.NOBODY:
            return bool(self.state.unconfirmed_running)
        return self.state.open_hold is not None

    def action_go_on(self) -> None:
        """Go on from where nothing runs."""
        match self.phase:
            case Phase.READY:
                self.runner.start()
                self.show()
            case Phase.PAUSED:
                self.tell(Resume())
            case Phase.INTERRUPTED if self.state.last_hold is not None:
                self.tell(Resolve(self.state.last_hold.held_s))
            case Phase.DONE:
                self.leave(lambda: self.dismiss(self.state))

    def action_back(self) -> None:
        """Close what is open over the log."""
        self.desk.close()

    def action_out(self) -> None:
        """A false start, or a hold that didn't happen."""
        if self.phase is Phase.HOLD:
            self.tell(FalseStart())
        elif self.phase is Phase.INTERRUPTED:
            self.tell(Resolve(None))
        else:
            self.desk.close()  # what is open there is about the hold that goes
            self.tell(DidNotHappen())

    def action_take_back(self) -> None:
        """Undo the last step."""
        self.tell(TakeBack())

    def action_turn(self) -> None:
        """Turn the seconds over, for this exercise from now on."""
        self.turned ^= {self.state.set.exercise.id}
        self.show()

    def action_skip(self) -> None:
        """Leave out what is under way; a set is asked for once."""
        asks = self.phase is Phase.SET_UP
        if not asks or self._confirmed("Leave this set out?"):
            self.tell(Skip())

    def action_pause(self) -> None:
        """Stand still, or go on."""
        self.tell(Resume() if self.phase is Phase.PAUSED else PauseSession())

    def action_anyway(self) -> None:
        """Do what pain left out after all."""
        self.tell(OverridePain())

    def action_end(self) -> None:
        """End the session; asked once."""
        if self._confirmed("End the session here? What was done is kept."):
            self.tell(EndSession())

    def may_leave(self) -> bool:
        """The way out of the program: asked once, then obeyed."""
        self._uncover()
        if self.phase is Phase.DONE or self._confirmed("Leave? What was done is kept."):
            self.desk.fold()
            self.runner.send(EndSession())
            self.show()
            self.leave(self._end_program)
        return False

    def _end_program(self) -> None:
        code = ExitCode.DATA if self.runner.unsaved else ExitCode.DONE
        self.app.exit(int(code))

    def _confirmed(self, question: str) -> bool:
        if self.asking.startswith(question):
            self.asking = ""
            return True
        self.asking = f"{question} The same key again: yes. Any other: no."
        self.show()
        return False

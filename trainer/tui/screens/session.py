"""The live session: one screen that changes its content in place, never its place.

It reads the runner's state, shows it, and hands the person's keys on. What a session
does is decided in ``core.session``; when it is heard is the runner's business. So a
stalled screen delays nothing: at the next look it shows what is true then.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import replace
from typing import ClassVar

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.timer import Timer
from textual.widgets import Static

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
from trainer.core.session_state import FALSE_START_S, Phase, SessionState
from trainer.errors import TrainerError
from trainer.runner import SessionRunner
from trainer.tui.keymap import KEYS, bind, shown
from trainer.tui.screens.page import Page, too_small
from trainer.tui.widgets.keyline import KeyLine
from trainer.tui.widgets.session_desk import Desk
from trainer.tui.widgets.session_log_rows import open_draft
from trainer.tui.widgets.session_stage import Stage, Words
from trainer.tui.widgets.session_words import FOOT_WORDS, Face, face, hint
from trainer.tui.widgets.sheet import plain

TICKS_PER_S = 10.0
"""Looks at the session in a second; deadlines never depend on it (our choice)."""
BREATHING_TICKS_PER_S = 20.0
"""The same while the breathing line glides (our choice)."""
STILL_TICKS_PER_S = 2.0
"""The same while nothing runs (our choice)."""
SAID_FOR_S = 8.0
"""How long a sentence stands, in seconds of the session's clock (our choice)."""
REPEATS_WITHIN_S = 0.7
"""Keys in set-up nearer than this are one key held down: a terminal repeats a key
after half a second, and each repeat would add its 30 s (our choice)."""
LOW_ROWS = 23
HIGH_ROWS = 28
TALL_ROWS = 45
"""Heights of the window from which the page is set closer or wider (our choice)."""

_RUNNING = frozenset({Phase.SET_UP, Phase.HOLD})
"""The hands are taken: keys mean little, and nothing may cover the page."""
_STILL = frozenset({Phase.READY, Phase.PAUSED, Phase.INTERRUPTED, Phase.DONE})
_AT_THE_DESK = frozenset(
    {Phase.COME_OUT, Phase.LOG_AND_REST, Phase.INTERRUPTED, Phase.DONE}
)
"""Somebody is, or may be, at the keyboard with something to say."""
_PHASES: Mapping[str, frozenset[Phase]] = {
    "go_on": _STILL,
    "turn": frozenset({Phase.SET_UP, Phase.HOLD}),
    "skip": frozenset({Phase.WARM_UP, Phase.SET_UP, Phase.LOG_AND_REST}),
    "pause": frozenset({Phase.WARM_UP, Phase.SET_UP, Phase.LOG_AND_REST, Phase.PAUSED}),
    "end": frozenset(Phase) - {Phase.READY, Phase.DONE},
}
"""Where the keys work that ask nothing of a hold."""


class SessionKeys(KeyLine):
    """The keys at the foot: in a hold only those that don't end it."""

    def live(self) -> list[Binding]:
        """Give the bindings to show."""
        screen = self.screen
        if not isinstance(screen, SessionScreen):
            return super().live()
        return [
            replace(each, description=words)
            if (words := FOOT_WORDS.get((screen.phase, each.action)))
            else each
            for each in super().live()
            if screen.phase not in _RUNNING or (each.id or "").startswith("session.")
        ]


class SessionScreen(Page[SessionState]):
    """One session, from its start to its summary; gives the state that it ended in.

    Args:
        runner: leads the session; started when the screen opens.
        last_felt: by exercise, what was felt last time: shown, never taken.
        upside_down: exercises whose seconds stand upside down from the start.
        reduced_motion: the breathing line steps instead of gliding.
    """

    HEADING = "Session"
    CSS_PATH = "session.tcss"
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
        super().__init__()
        self.runner = runner
        self._last_felt = dict(last_felt or {})
        self._turned = set(upside_down)
        self._reduced_motion = reduced_motion
        self._shown: tuple[Phase, int] | None = None
        self._offered: tuple[object, ...] = ()
        self._ticker: Timer | None = None
        self._asking = ""
        self._said: tuple[str, float] = ("", 0.0)
        self._any_key_at_s = float("-inf")

    # -- what there is ----------------------------------------------------------------

    @property
    def state(self) -> SessionState:
        """Give the session as it stands."""
        return self.runner.state

    @property
    def phase(self) -> Phase:
        """Give where the session is."""
        return self.runner.state.phase

    @property
    def desk(self) -> Desk:
        """Give the part of the page that the log stands on."""
        return self.query_one(Desk)

    def tell(self, event: Event) -> None:
        """Let something happen to the session, and show what came of it."""
        self.runner.send(event)
        self.show()

    def now_s(self) -> float:
        """Give the time on the session's clock."""
        return self.runner.clock.now_s()

    def compose(self) -> ComposeResult:
        """Lay the page out once; from then on its content changes in place."""
        with Horizontal(id="heading"):
            yield Words(id="title")
            yield Words(id="corner")
        with Vertical(id="session"):
            yield Stage(reduced_motion=self._reduced_motion)
            yield Desk(
                self.runner,
                key_of=self.key_of,
                last_felt=self._last_felt,
                changed=self.show,
            )
        with Horizontal(id="foot"):
            yield Words(id="said")
            yield Words(id="coming")
        yield SessionKeys()
        yield Static("", id="too-small")

    def on_mount(self) -> None:
        """Begin: this is the one key's doing."""
        if self.phase is Phase.READY:
            self.runner.start()
        self.look()

    def on_resize(self, event: events.Resize) -> None:
        """Set the page closer or wider; a tiny window still shows the seconds."""
        small = bool(too_small(event.size.width, event.size.height))
        self.set_class(small, "-too-small")
        rows = event.size.height
        self.set_class(rows <= LOW_ROWS, "-low")
        self.set_class(HIGH_ROWS <= rows < TALL_ROWS, "-high")
        self.set_class(rows >= TALL_ROWS, "-tall")
        self.call_after_refresh(self.look)

    # -- time -------------------------------------------------------------------------

    def look(self) -> None:
        """Let time pass, and show what is true now."""
        self.runner.tick()
        self.show()

    def show(self) -> None:
        """Show the session as it stands; only what changed is drawn."""
        for notice in self.runner.take_notices():
            self._said = (notice, self.now_s() + SAID_FOR_S)
        here = (self.phase, self.state.index)
        if here != self._shown:
            self._shown = here
            self._entered()
        self._offer_keys()
        seen = face(self.state, self.now_s(), self._turned)
        self._show_face(seen)

    def _show_face(self, seen: Face) -> None:
        self.query_one("#title", Words).put(seen.title)
        rehearsal = "REHEARSAL, nothing is logged   " if self.runner.rehearsal else ""
        self.query_one("#corner", Words).put(f"{rehearsal}{seen.place}")
        if self.has_class("-logging"):
            self.desk.show(seen)
        else:
            self.query_one(Stage).show(seen)
        self.query_one("#said", Words).put(self._sentence())
        self.query_one("#coming", Words).put(
            f"next: {seen.coming}" if seen.coming else ""
        )
        if self.has_class("-too-small"):
            small = self.query_one("#too-small", Static)
            small.update(plain(f"{seen.word}  {seen.figure}  {seen.line}"))

    def _sentence(self) -> str:
        """Give what is asked, else what was said, else what the keys mean."""
        if self._asking:
            return self._asking
        words, until_s = self._said
        if words and self.now_s() < until_s:
            return words
        if self.desk.is_open:
            return ""
        return hint(self.state, self.now_s(), self.key_of)

    def _entered(self) -> None:
        """A phase or a set began."""
        phase = self.phase
        if phase in _RUNNING:
            self._uncover()
            self.desk.fold()
        for each in Phase:
            self.set_class(each is phase, f"-{each}")
        at_desk = phase in _AT_THE_DESK or open_draft(self.state) is not None
        self.set_class(at_desk, "-logging")
        self._asking = ""
        self._pace()

    def _offer_keys(self) -> None:
        """Draw the keys again where others work than before."""
        state = self.state
        offered = (
            state.phase,
            state.undo is None,
            bool(state.struck),
            open_draft(state),
            self.desk.is_open,
            self._false_start_counts(),
        )
        if offered != self._offered:
            self._offered = offered
            self.refresh_bindings()

    def _false_start_counts(self) -> bool:
        held_s = self.state.held_so_far_s(self.now_s())
        return self.phase is Phase.HOLD and held_s < FALSE_START_S

    def _uncover(self) -> None:
        """Take away whatever lies over the page: nothing may hide a hold."""
        while self.app.screen is not self and self in self.app.screen_stack:
            self.app.pop_screen()

    def _pace(self) -> None:
        """Look as often as the phase needs."""
        rate = TICKS_PER_S
        if self.phase in _STILL:
            rate = STILL_TICKS_PER_S
        elif self.phase is Phase.HOLD and not self._reduced_motion:
            rate = BREATHING_TICKS_PER_S
        if self._ticker is not None:
            self._ticker.stop()
        self._ticker = self.set_interval(1 / rate, self.look)

    # -- keys -------------------------------------------------------------------------

    def key_of(self, key_id: str) -> str:
        """Give the key that does something, as it is on the keyboard now."""
        # Textual has no public way to read the keys that were set.
        keys = self.app._keymap.get(key_id, KEYS[key_id].keys)
        return shown(keys.split(",")[0])

    def on_key(self, event: events.Key) -> None:
        """A key that is given to nothing here ends a hold, or means not yet."""
        bound = self.active_bindings.get(event.key)
        key_id = "" if bound is None or not bound.enabled else bound.binding.id or ""
        answers = key_id in ("session.end", "everywhere.leave")
        if self._asking and not answers:
            self._asking = ""
            if self.phase is not Phase.HOLD:
                event.stop()
                event.prevent_default()
                self.show()
                return
        ours = key_id.startswith("session.") or key_id == "everywhere.leave"
        if ours or (bound is not None and self.phase not in _RUNNING):
            return
        event.stop()
        event.prevent_default()
        self._any_key()

    def on_click(self, event: events.Click) -> None:
        """In a hold and in a set-up the mouse is a key too."""
        on_keys = isinstance(event.widget, KeyLine)
        if self.phase in _RUNNING and not on_keys:
            self._any_key()

    def _any_key(self) -> None:
        repeated = self.now_s() - self._any_key_at_s < REPEATS_WITHIN_S
        self._any_key_at_s = self.now_s()
        if not (repeated and self.phase is Phase.SET_UP):
            self.tell(AnyKey())

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Offer a key only where it does something."""
        if action in _PHASES:
            return self.phase in _PHASES[action]
        if action == "out":
            if self.phase is Phase.HOLD:
                return self._false_start_counts()
            return self.phase is Phase.INTERRUPTED or self._has_hold()
        if action == "take_back":
            return self.state.undo is not None and self.phase is not Phase.HOLD
        if action == "anyway":
            hurt = any(draft.pain for draft in self.state.kept_holds)
            return bool(self.state.struck) and hurt and self.phase is not Phase.HOLD
        if action == "back":
            return self.desk.is_open
        return True

    def _has_hold(self) -> bool:
        if self.phase is Phase.PAUSED:
            return self.state.last_hold is not None
        return open_draft(self.state) is not None

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
                self._leave()

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
            self.tell(DidNotHappen())

    def action_take_back(self) -> None:
        """Undo the last step."""
        self.tell(TakeBack())

    def action_turn(self) -> None:
        """Turn the seconds over, for this exercise from now on."""
        self._turned ^= {self.state.set.exercise.id}
        self.show()

    def action_skip(self) -> None:
        """Leave out what is under way."""
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
        if self.phase is Phase.DONE or self._confirmed("Leave? What was done is kept."):
            self.runner.send(EndSession())
            return self._close()
        return False

    def _confirmed(self, question: str) -> bool:
        if self._asking.startswith(question):
            self._asking = ""
            return True
        self._asking = f"{question} The same key again: yes. Any other: no."
        self.show()
        return False

    # -- the end ----------------------------------------------------------------------

    def _leave(self) -> None:
        self.desk.fold()
        if self._close():
            self.dismiss(self.state)

    def _close(self) -> bool:
        try:
            self.runner.close()
        except TrainerError as error:
            self.complain(error)
            return False
        return True

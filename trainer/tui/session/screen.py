"""The live session: one page that changes its content in place, and its keys.

What a session does with an event is decided in ``core.session``, and so is what a key
may do just now; the page shows the runner's state and hands the keys on. When anything
is heard is the runner's business: a stalled screen delays nothing. The log's keys are
the desk's, the way out is in ``leaving.py``.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import replace
from typing import ClassVar

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.widget import Widget

from trainer.core import words
from trainer.core.clock import PacedClock
from trainer.core.model import Felt
from trainer.core.safety import pain_words
from trainer.core.session.answers import shown_s
from trainer.core.session.events import (
    AnyKey,
    DidNotHappen,
    EndSession,
    Event,
    FalseStart,
    OverridePain,
    PauseSession,
    Ready,
    Resolve,
    Resume,
    Skip,
    SkipWarmUp,
    TakeBack,
)
from trainer.core.session.machine import allowed
from trainer.core.session.state import (
    NOT_YET_S,
    Phase,
    SessionState,
)
from trainer.training.runner import SessionRunner
from trainer.tui.keymap import KEYS, bind, shown
from trainer.tui.screens.page import Page
from trainer.tui.session.face import (
    LAST_SET,
    Face,
    face,
    foot_words,
    heading,
    hint,
    unsaved_words,
)
from trainer.tui.session.leaving import Leaving
from trainer.tui.session.log import Desk
from trainer.tui.session.stage import Stage, Words
from trainer.tui.session.timers import STILL, Looks
from trainer.tui.widgets.keyline import KeyLine

SLOW_S = 0.2
"""A look that took longer was held up by something (our choice)."""
SAID_FOR_S = 8.0
"""How long a sentence stands, in seconds of the session's clock (our choice)."""
LOW_ROWS = 23
HIGH_ROWS = 28
TALL_ROWS = 45
TALLEST_ROWS = 56
"""Heights of the window from which the page is set closer or wider (our choice)."""

ASKED_TWICE = frozenset(
    {"session.end", "session.skip", "session.anyway", "everywhere.leave"}
)
"""What is asked about once: the same key again says yes, any other says no."""
HANDS_TAKEN = frozenset({Phase.SET_UP, Phase.HOLD})
"""Keys mean little, and nothing may cover the page."""
AT_THE_DESK = frozenset(
    {Phase.COME_OUT, Phase.LOG_AND_REST, Phase.INTERRUPTED, Phase.DONE}
)
"""Somebody is, or may be, at the keyboard with something to say."""
OURS = ("session.", "warm-up.", "set-up.")
"""What the names of the session's own keys begin with: these don't end a hold."""
TURNED_FOR_S = 3.0
"""So long a set-up shows at once what turning the seconds over did (our choice)."""
REPEATS_WITHIN_S = 0.7
"""Keys in set-up nearer than this are one key held down: a terminal repeats a key
after half a second, and each repeat would add its 30 s (our choice)."""

TOO_LATE = "There is nothing to undo any more: correct the seconds instead."


class SessionKeys(KeyLine):
    """The keys at the foot: in a hold only those that don't end it."""

    def live(self) -> list[Binding]:
        """Give the bindings to show, by the names that fit the phase."""
        screen = self.screen
        if not isinstance(screen, SessionScreen):
            return super().live()
        found = []
        for each in super().live():
            words = foot_words(screen.state, each.action, each.description)
            ends_it = not (each.id or "").startswith(OURS)
            if words and not (ends_it and screen.phase in HANDS_TAKEN):
                found.append(replace(each, description=words))
        return found


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
        bind("warm-up.skip", "skip_warm_up"),
        bind("set-up.ready", "ready"),
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
        self.turned = set(upside_down)
        self._reduced_motion = reduced_motion
        self._shown: tuple[Phase, int] | None = None
        self._logging = False
        self._offered: tuple[object, ...] = ()
        self._looks = Looks(self, self.look, now_s=self.now_s)
        self._leaving = Leaving(self, runner, uncover=self._uncover)
        self.asking = ""
        self._said: tuple[str, float] = ("", 0.0)
        self._any_key_at_s = float("-inf")
        self._turn_seen_until_s = float("-inf")

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
        yield Words(id="too-small")

    def on_mount(self) -> None:
        self._looks.start()
        if self.phase is Phase.READY:
            self.runner.start()
        self.look()

    def on_unmount(self) -> None:
        self._looks.end()

    def classes_for(self, columns: int, rows: int) -> dict[str, bool]:
        """Give the style classes that a window's size decides, each on or off."""
        return {
            **super().classes_for(columns, rows),
            "-low": rows <= LOW_ROWS,
            "-high": HIGH_ROWS <= rows < TALL_ROWS,
            "-tall": rows >= TALL_ROWS,
            "-tallest": rows >= TALLEST_ROWS,
        }

    def on_resize(self, event: events.Resize) -> None:
        """Set the page closer or wider; a tiny window still shows the seconds."""
        self.update_classes(self.classes_for(*event.size), animate=False)
        self.show_when_laid_out(self.look)

    # -- time -------------------------------------------------------------------------

    def look(self) -> None:
        """Let time pass, and show what is true now."""
        looked_s = self.trainer.clock.now_s()
        self.runner.tick()
        self.show()
        if self.trainer.clock.now_s() - looked_s > SLOW_S:
            # A key pressed meanwhile comes before the next look: it happened earlier.
            self._pace()

    def say_here(self, sentence: str) -> None:
        """Say a sentence at the foot, for a while."""
        self._said = (sentence, self.now_s() + SAID_FOR_S)

    def show(self) -> None:
        """Show the session as it stands; only what changed is drawn."""
        for notice in self.runner.take_notices():
            self.say_here(notice)
        # Folding the log may say something that leads on at once: pain ends a set-up.
        while self._shown != (here := (self.phase, self.state.index)):
            self._shown = here
            self._entered()
        self._await_deadline()
        self._offer_keys()
        now_s = self.now_s()
        at_once = now_s < self._turn_seen_until_s
        seen = face(self.state, now_s, self.turned, turned_at_once=at_once)
        self._show_face(self._with_unsaved(seen))
        self._leaving.look()

    def _show_face(self, seen: Face) -> None:
        self._show_heading(seen)
        if self._logging:
            self.desk.show(seen)
        else:
            self.query_one(Stage).show(seen)
        self._show_foot(self._sentence(), seen.coming)
        if self.has_class("-too-small"):
            words = f"{seen.word}  {seen.figure}  {seen.line}"
            self.query_one("#too-small", Words).put(words)

    def _with_unsaved(self, seen: Face) -> Face:
        """Say at the end of a session what still waits to be saved."""
        words = unsaved_words(self.runner.unsaved)
        if not words or self.phase is not Phase.DONE:
            return seen
        return replace(seen, line=f"{seen.line} {words}, tried again each second.")

    def _show_heading(self, seen: Face) -> None:
        """Show the exercise and the place; short where one would crowd the other."""
        room = self.query_one("#heading", Horizontal).content_size.width
        title, corner = heading(seen, room, rehearsal=self.runner.rehearsal)
        self.query_one("#title", Words).put(title)
        self.query_one("#corner", Words).put(corner)

    def _show_foot(self, sentence: str, coming: str) -> None:
        """Say a sentence; beside it what waits to be saved, else what comes next."""
        words = f"next: {coming}" if coming and coming != LAST_SET else coming
        room = self.query_one("#foot", Horizontal).content_size.width
        for shorter in (words.partition(", then")[0], ""):
            if sentence and len(sentence) + len(words) >= room:
                words = shorter
        words = unsaved_words(self.runner.unsaved) or words
        self.query_one("#said", Words).put(sentence)
        self.query_one("#coming", Words).put(words)

    def _sentence(self) -> str:
        """Give what is asked, else what was said, else what the keys mean."""
        if self.asking:
            return self.asking
        words, until_s = self._said
        if words and self.now_s() < until_s:
            return words
        if self.desk.is_open:
            return ""
        return hint(self.state, self.now_s(), self.key_of)

    def _entered(self) -> None:
        """A phase or a set began."""
        phase = self.phase
        if phase in HANDS_TAKEN:
            self._uncover()
            self.desk.fold()
        self._logging = phase in AT_THE_DESK or self.state.open_hold is not None
        self.query_one(Stage).display = not self._logging
        self.desk.display = self._logging
        # On the heading alone: a class of the page restyles all that stands on it, and
        # that takes longer than all else that a phase brings.
        rule = self.query_one("#heading", Horizontal)
        for each in Phase:
            rule.set_class(each is phase, f"-{each}", update=False)
        rule.update_node_styles()
        self.asking = ""
        self._pace()

    def _offer_keys(self) -> None:
        """Draw the keys again where others work than before."""
        state, now_s = self.state, self.now_s()
        offered = (
            state.phase,
            state.can_take_back(now_s),
            state.can_say_down_earlier(now_s),
            bool(state.struck),
            state.open_hold,
            self.desk.is_open,
            state.can_be_false_start(now_s),
        )
        if offered != self._offered:
            self._offered = offered
            self.refresh_bindings()

    def set_focus(
        self,
        widget: Widget | None,
        scroll_visible: bool = True,
        from_app_focus: bool = False,
    ) -> None:
        """Give the keys to the log only while it is on the page.

        A window that the person returns to would give them to a line out of sight.
        """
        allowed = widget if self._logging else None
        super().set_focus(allowed, scroll_visible, from_app_focus)

    def _uncover(self) -> None:
        """Take away whatever lies over the page: nothing may hide a hold."""
        while self.app.screen is not self and self in self.app.screen_stack:
            self.app.pop_screen()

    def _pace(self) -> None:
        """Look as often as the phase needs."""
        self._looks.pace(self.phase, glides=not self._reduced_motion)

    def _await_deadline(self) -> None:
        """Look at the moment the phase ends; a rehearsal's own clock can wait."""
        if not isinstance(self.runner.clock, PacedClock):
            self._looks.look_at(self.state.ends_at_s)

    def key_of(self, key_id: str) -> str:
        """Give the key that does something, as it is on the keyboard."""
        return shown(self.keys_of(key_id)[0])

    def keys_of(self, key_id: str) -> list[str]:
        """Give all the keys that do something, by the framework's names."""
        # Textual has no public way to read the keys that were set.
        keys = self.app._keymap.get(key_id, KEYS[key_id].keys)
        return [key.strip() for key in keys.split(",")]

    # -- keys -------------------------------------------------------------------------

    def tell(self, event: Event, *, at_s: float | None = None) -> None:
        """Let something happen to the session, and show what came of it."""
        self.runner.send(event, at_s=at_s)
        self.show()

    def on_key(self, event: events.Key) -> None:
        """A key that is given to nothing here ends a hold, or means not yet."""
        bound = self.active_bindings.get(event.key)
        key_id = "" if bound is None or not bound.enabled else bound.binding.id or ""
        answers = key_id in ASKED_TWICE
        if self.asking and not answers:
            self.asking = ""
            if self.phase is not Phase.HOLD:
                event.stop()
                event.prevent_default()
                self.show()
                return
        if event.key == "enter" and self._is_habit(event):
            event.stop()
            event.prevent_default()
            return
        # When it was pressed decides whether it is a false start, not when it is seen.
        out = self.phase is Phase.HOLD and event.key in self.keys_of("session.out")
        ours = key_id.startswith(OURS) or key_id == "everywhere.leave"
        other = bound is not None and self.phase not in HANDS_TAKEN
        if (ours or other) and not out:
            return
        event.stop()
        event.prevent_default()
        if out:
            self._false_start(self._pressed_at_s(event))
        elif self.desk.is_open:
            return
        elif event.key in self.keys_of("session.undo") and self._too_late_to_undo():
            self.say_here(TOO_LATE)
            self.show()
        else:
            self._any_key(self._pressed_at_s(event))

    def _is_habit(self, event: events.Key) -> bool:
        """Tell whether this enter means nothing.

        It follows at once on a hold that ended by itself, or on a figure that was
        taken without it.
        """
        if self.desk.enter_follows():
            return True
        return self.state.enter_is_habit(self._pressed_at_s(event))

    def _too_late_to_undo(self) -> bool:
        return (
            self.phase in (Phase.COME_OUT, Phase.LOG_AND_REST, Phase.DONE)
            and self.state.undo is None
            and not self.state.can_say_down_earlier(self.now_s())
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
        if repeated and self.phase is Phase.SET_UP:
            return
        before = self.state
        self.runner.send(AnyKey(), at_s=at_s)
        self._say_what_it_did(before)
        self.show()

    def _say_what_it_did(self, before: SessionState) -> None:
        """Say what a key that is bound to nothing came to, and how to take it back."""
        draft, undo = self.state.last_hold, self.key_of("session.undo")
        if self.state.not_yets > before.not_yets:
            self.say_here(f"Not yet: {NOT_YET_S:g} s more. {undo} takes it back.")
        if draft is None or draft == before.last_hold:
            return
        if before.phase is Phase.HOLD:
            self.say_here(f"Down at {shown_s(draft.key_s or 0)} s. {undo}: still up")
        else:
            self.say_here(
                f"Down earlier: {shown_s(draft.held_s)} s held. {undo} takes it back."
            )

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Offer a key only where it does something."""
        if action == "go_on" and self.phase is Phase.DONE:
            return not self.state.can_say_down_earlier(self.now_s())
        state = self.state
        match action:
            case "go_on":
                return self.phase in STILL
            case "turn":
                return self.phase in HANDS_TAKEN
            case "skip_warm_up":
                return allowed(self.phase, SkipWarmUp())
            case "ready":
                return allowed(self.phase, Ready())
            case "skip":
                return allowed(self.phase, Skip())
            case "pause":
                return allowed(self.phase, PauseSession()) or self.phase is Phase.PAUSED
            case "end":
                return allowed(self.phase, EndSession())
            case "out" if self.phase is Phase.HOLD:
                return state.can_be_false_start(self.now_s())
            case "out":
                return self.phase is Phase.INTERRUPTED or bool(state.holds_to_take_out)
            case "take_back":
                return state.can_take_back(self.now_s())
            case "anyway":
                return state.can_override_pain
            case "back":
                return self.desk.is_open
        # The page keys are a presenter's remote's: they must be free.
        return action not in ("scroll", "line")

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
            self._false_start()
        elif self.phase is Phase.INTERRUPTED:
            self.tell(Resolve(None))
        else:
            self.desk.close()  # what is open there is about the hold that goes
            out = words.count(len(self.state.holds_to_take_out), "hold")
            self.say_here(f"{out} out. {self.key_of('session.undo')} puts it back.")
            self.tell(DidNotHappen())

    def _false_start(self, at_s: float | None = None) -> None:
        """Set the hold up again, or come down where it is too late for that."""
        self.runner.send(FalseStart(), at_s=at_s)
        if self.phase is Phase.SET_UP:
            undo = self.key_of("session.undo")
            self.say_here(f"A false start: set up again. {undo}: it counts after all")
        self.show()

    def action_take_back(self) -> None:
        """Undo the last step."""
        self.tell(TakeBack())

    def action_turn(self) -> None:
        """Turn the seconds over, for this exercise from now on, and show it at once."""
        exercise = self.state.set.exercise
        self.turned ^= {exercise.id}
        self._turn_seen_until_s = self.now_s() + TURNED_FOR_S
        way = "upside down" if exercise.id in self.turned else "upright"
        self.say_here(f"{exercise.brief_name}: the seconds stand {way} once you go up.")
        self.show()

    def action_skip_warm_up(self) -> None:
        """Leave out what is left of the warm-up."""
        self.tell(SkipWarmUp())

    def action_ready(self) -> None:
        """Go to the go-up cue."""
        self.tell(Ready())

    def action_skip(self) -> None:
        """Leave out what is under way; a set is asked for once."""
        asks = self.phase is Phase.SET_UP
        if not asks or self._confirmed("Leave this set out?"):
            self.tell(Skip())

    def action_pause(self) -> None:
        """Stand still, or go on."""
        self.tell(Resume() if self.phase is Phase.PAUSED else PauseSession())

    def action_anyway(self) -> None:
        """Do what pain left out after all; asked once, with the reason."""
        signs = [sign for hold in self.state.kept_holds for sign in hold.pain]
        noted = f"There was {pain_words(signs[-1])}. " if signs else ""
        if self._confirmed(f"{noted}Put back what it left out, and keep that?"):
            self.tell(OverridePain())

    def action_end(self) -> None:
        """End the session; asked once."""
        if self._confirmed("End the session here? What was done is kept."):
            self.tell(EndSession())

    def _confirmed(self, question: str) -> bool:
        if self.asking.startswith(question):
            self.asking = ""
            return True
        self.asking = f"{question} The same key again: yes. Any other: no."
        self.show()
        return False

    # -- the way out ------------------------------------------------------------------

    def leave(self, go: Callable[[], object]) -> None:
        """Leave the session in good order, then GO; ask where that can't be."""
        self.desk.fold()
        self._keep_turned()
        self._leaving.leave(go)

    def leave_at_once(self) -> None:
        """Keep what is half said and leave, asking nothing: the system ends us."""
        self.desk.fold()
        self._keep_turned()
        self._leaving.leave_at_once()

    def _keep_turned(self) -> None:
        """Remember for which exercises the seconds were turned over."""
        settings = self.trainer.settings
        if self.turned != set(settings.upside_down):
            turned = tuple(sorted(self.turned))
            self.trainer.keep_settings(replace(settings, upside_down=turned))

    def may_leave(self) -> bool:
        """The way out of the program: asked once, then obeyed."""
        self._uncover()
        if self.phase is Phase.DONE or self._confirmed("Leave? What was done is kept."):
            self.desk.fold()
            self.runner.send(EndSession())
            self.show()
            self.leave(self.trainer.end)
        return False

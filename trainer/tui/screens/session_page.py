"""What is seen of a live session: one page that changes its content in place.

It reads the runner's state and shows it. When anything is heard is the runner's
business: a stalled screen delays nothing. What the keys do is in ``session.py``.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import replace

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Horizontal, Vertical
from textual.widget import Widget

from trainer.core.clock import PacedClock
from trainer.core.model import Felt
from trainer.core.session_state import FALSE_START_S, Phase, SessionState
from trainer.runner import SessionRunner
from trainer.tui.keymap import KEYS, shown
from trainer.tui.screens.page import Page, too_small
from trainer.tui.screens.session_looks import Looks
from trainer.tui.widgets.keyline import KeyLine
from trainer.tui.widgets.session_desk import Desk
from trainer.tui.widgets.session_hints import (
    can_be_undone,
    down_earlier_counts,
    foot_words,
    heading,
    hint,
    unsaved_words,
)
from trainer.tui.widgets.session_phrases import LAST_SET
from trainer.tui.widgets.session_stage import Stage, Words
from trainer.tui.widgets.session_words import Face, face

SLOW_S = 0.2
"""A look that took longer was held up by something (our choice)."""
SAID_FOR_S = 8.0
"""How long a sentence stands, in seconds of the session's clock (our choice)."""
LOW_ROWS = 23
HIGH_ROWS = 28
TALL_ROWS = 45
"""Heights of the window from which the page is set closer or wider (our choice)."""

HANDS_TAKEN = frozenset({Phase.SET_UP, Phase.HOLD})
"""Keys mean little, and nothing may cover the page."""
AT_THE_DESK = frozenset(
    {Phase.COME_OUT, Phase.LOG_AND_REST, Phase.INTERRUPTED, Phase.DONE}
)
"""Somebody is, or may be, at the keyboard with something to say."""


class SessionKeys(KeyLine):
    """The keys at the foot: in a hold only those that don't end it."""

    def live(self) -> list[Binding]:
        """Give the bindings to show, by the names that fit the phase."""
        screen = self.screen
        if not isinstance(screen, SessionPage):
            return super().live()
        found = []
        for each in super().live():
            words = foot_words(screen.state, each.action, each.description)
            ends_it = not (each.id or "").startswith("session.")
            if words and not (ends_it and screen.phase in HANDS_TAKEN):
                found.append(replace(each, description=words))
        return found


class SessionPage(Page[SessionState]):
    """The page of one session, from its start to its end.

    Args:
        runner: leads the session; started when the screen opens.
        last_felt: by exercise, what was felt last time: shown, never taken.
        upside_down: exercises whose seconds stand upside down from the start.
        reduced_motion: the breathing line steps instead of gliding.
    """

    HEADING = "Session"
    CSS_PATH = "session.tcss"

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
        self._offered: tuple[object, ...] = ()
        self._looks = Looks(self, self.look, now_s=self.now_s)
        self.asking = ""
        self._said: tuple[str, float] = ("", 0.0)

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
        seen = face(self.state, self.now_s(), self.turned)
        self._show_face(seen)

    def _show_face(self, seen: Face) -> None:
        self._show_heading(seen)
        if self.has_class("-logging"):
            self.desk.show(seen)
        else:
            self.query_one(Stage).show(seen)
        self._show_foot(self._sentence(), seen.coming)
        if self.has_class("-too-small"):
            words = f"{seen.word}  {seen.figure}  {seen.line}"
            self.query_one("#too-small", Words).put(words)

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
        if sentence and len(sentence) + len(words) >= room:
            words = ""
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
        at_desk = phase in AT_THE_DESK or self.state.open_hold is not None
        # Every change of a class restyles the whole page: once is enough.
        for each in Phase:
            self.set_class(each is phase, f"-{each}", update=False)
        self.set_class(at_desk, "-logging", update=False)
        self.update_node_styles()
        self.asking = ""
        self._pace()

    def _offer_keys(self) -> None:
        """Draw the keys again where others work than before."""
        state, now_s = self.state, self.now_s()
        offered = (
            state.phase,
            can_be_undone(state, now_s),
            down_earlier_counts(state, now_s),
            bool(state.struck),
            state.open_hold,
            self.desk.is_open,
            self.false_start_counts(),
        )
        if offered != self._offered:
            self._offered = offered
            self.refresh_bindings()

    def false_start_counts(self) -> bool:
        """Tell whether the hold under way can still be called a false start."""
        held_s = self.state.held_so_far_s(self.now_s())
        return self.phase is Phase.HOLD and held_s < FALSE_START_S

    def set_focus(
        self,
        widget: Widget | None,
        scroll_visible: bool = True,
        from_app_focus: bool = False,
    ) -> None:
        """Give the keys to the log only while it is on the page.

        A window that the person returns to would give them to a line out of sight.
        """
        allowed = widget if self.has_class("-logging") else None
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

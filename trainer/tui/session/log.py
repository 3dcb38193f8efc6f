"""The ten-second log with all that opens from it, the rest's seconds beside it.

Every answer goes to the session at once and so into the database; nothing waits to be
saved but a note that is half typed or a pain that is half said, and those are saved
when the log folds. A half-typed figure is no figure: it goes.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import ClassVar

from textual import events, on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, Vertical
from textual.widget import Widget
from textual.widgets import Input

from trainer.core.cues.breathing import lay
from trainer.core.exercises import stop_reasons
from trainer.core.model import Feet, Felt, StoppedBy
from trainer.core.session.events import (
    AnswerFeet,
    AnswerFelt,
    AnswerHeld,
    AnswerKept,
    AnswerNote,
    AnswerPain,
    AnswerRpe,
    AnswerStoppedBy,
    Event,
    Resolve,
)
from trainer.core.session.state import HoldDraft, Phase, SessionState
from trainer.core.text import NOTE_LIMIT
from trainer.training.runner import SessionRunner
from trainer.tui.keymap import bind
from trainer.tui.session.drawing import Drawing, FeltDrawing, HurtDrawing
from trainer.tui.session.face import Face
from trainer.tui.session.log_lines import (
    TAKES_FEET,
    KeyOf,
    LogLine,
    LogPanel,
    ended_early,
    log_lines,
)
from trainer.tui.session.stage import Head, Words

_FEET = (None, *Feet)
NOTE, HELD, LOST = "note", "seconds held", "lost"
"""What is typed."""
_FIGURES = r"[0-9]{0,3}([.,][0-9]?)?"
_COUNT = r"[0-9]{0,3}"
_TYPED = {NOTE: None, HELD: _FIGURES, LOST: _COUNT}
"""What each line takes: a breath is counted, in whole numbers."""
_OPEN = ("felt", "hurt", "typing")
ENTER_FOLLOWS_S = 3.0
"""Enter this soon after a figure that was taken without it still belongs to the figure
(our choice)."""
_ONE_FIGURE_BREATHS = 9
"""Up to this many breaths the first figure says all."""
_TINY = 1e-6


class Desk(Vertical, can_focus=True):
    """The log of the hold just done, and what is opened from it.

    It has the focus while a hold can be spoken of, and takes the keys.

    Args:
        runner: takes the answers.
        key_of: gives the key that a binding's id is on now.
        last_felt: by exercise, what was felt last time: shown, never taken.
        changed: called after something was said or opened.
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        bind("session.rpe", "rpe"),
        bind("session.half", "half"),
        bind("session.all-kept", "all_kept"),
        bind("session.lost", "lost"),
        bind("session.less", "less"),
        bind("session.more", "more"),
        bind("session.type-held", "type_held"),
        *(bind(f"session.{why}", f"stopped_by('{why}')") for why in StoppedBy),
        bind("session.feet", "feet"),
        bind("session.pain", "pain"),
        bind("session.felt", "felt"),
        bind("session.note", "note"),
    ]

    def __init__(
        self,
        runner: SessionRunner,
        *,
        key_of: KeyOf,
        last_felt: Mapping[str, tuple[Felt, ...]],
        changed: Callable[[], None],
    ) -> None:
        super().__init__(id="desk")
        self._runner = runner
        self._changed = changed
        self._digit = ""
        self._figure_taken_at_s = -math.inf
        self._key_of = key_of
        self._last_felt = dict(last_felt)
        self._typing = ""
        self._opened: Widget | None = None
        self._about: int | None = None
        """Serial number of the hold for which something was opened."""

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

    def compose(self) -> ComposeResult:
        yield Head()
        with Horizontal(id="desk-body"):
            yield LogPanel(id="log")
            yield FeltDrawing(id="felt")
            yield HurtDrawing(id="hurt")
        with Horizontal(id="typing"):
            yield Words(id="prompt")
            yield Input(id="typed", max_length=NOTE_LIMIT)

    def show(self, seen: Face) -> None:
        """Show one instant: the seconds, and the log as it stands."""
        self.query_one(Head).show(seen)
        draft = self.draft
        lines = () if draft is None else self._lines(draft)
        self.query_one(LogPanel).show(lines)
        if self.screen.focused is None:
            (self._opened if self.is_open and self._opened else self).focus()

    def _lines(self, draft: HoldDraft) -> tuple[LogLine, ...]:
        return log_lines(
            self.state,
            draft,
            key_of=self._key_of,
            last_felt=self._last_felt.get(draft.exercise, ()),
        )

    # -- answers of one key -----------------------------------------------------------

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
                family = self.state.program.sets[draft.index].exercise.family
                return ended_early(draft) and parameters[0] in stop_reasons(family)
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

    # -- opening and closing ----------------------------------------------------------

    def action_felt(self) -> None:
        """Open the drawing to say where the stretch was felt."""
        draft = self.draft
        if draft is not None:
            drawing = self.query_one(FeltDrawing)
            drawing.open(draft.felt, self._last_felt.get(draft.exercise, ()))
            self._open("felt", drawing)

    def action_pain(self) -> None:
        """Open the drawing to say what hurts."""
        if self.draft is not None:
            drawing = self.query_one(HurtDrawing)
            drawing.open()
            self._open("hurt", drawing)

    def action_note(self) -> None:
        """Write a note."""
        if self.draft is not None:
            self._type(NOTE, self.draft.note)

    def action_lost(self) -> None:
        """The position was lost: on which breath?"""
        if self.draft is None:
            return
        if self._breaths == 1:
            self.tell(AnswerKept(self.draft.serial, lost_on_breath=1))
        else:
            self._type(LOST, "")

    def action_type_held(self) -> None:
        """Type the seconds held."""
        self._type(HELD, "")

    @property
    def _breaths(self) -> int:
        """How many breaths the hold had that the log is about, the last one begun."""
        draft = self.draft
        if draft is None:
            return 0
        planned = self.state.program.sets[draft.index]
        led = lay(planned.target_s, planned.pattern)
        # Where no breath is led the pattern's are counted, as the log counts them.
        period_s = planned.pattern.period_s if led is None else led.period_s
        return max(1, math.ceil(draft.held_s / period_s - _TINY))

    def _prompt(self, what: str) -> str:
        """Say what is to be typed."""
        if what != LOST:
            return what
        enter = ", enter" if self._breaths > _ONE_FIGURE_BREATHS else ""
        return f"The position went on breath (1 to {self._breaths}{enter})"

    def _type(self, what: str, text: str) -> None:
        self._keep_note()
        self._typing = what
        self.query_one("#prompt", Words).put(self._prompt(what))
        typed = self.query_one("#typed", Input)
        typed.restrict = _TYPED[what]
        typed.value = text
        typed.cursor_position = len(text)
        self._open("typing", typed)

    def _open(self, what: str, widget: Drawing | Input) -> None:
        if what != "typing":
            self._keep_note()
        for each in _OPEN:
            self.screen.set_class(each == what, f"-{each}")
        self._opened = widget
        self._about = None if self.draft is None else self.draft.serial
        widget.focus()
        self._changed()

    @property
    def is_open(self) -> bool:
        """Tell whether something is open over the log."""
        return any(self.screen.has_class(f"-{each}") for each in _OPEN)

    def close(self) -> None:
        """Close what is open; a half-typed note is kept, a pain isn't noted."""
        self._keep_note()
        self._shut()
        if self.display:
            self.focus()
        self._changed()

    def fold(self) -> None:
        """Save what is half said and give the keys up: a set-up begins."""
        draft = self._spoken_of()
        if self.screen.has_class("-hurt") and draft is not None:
            pain = self.query_one(HurtDrawing).pain
            self._runner.send(AnswerPain(draft.serial, pain))
        self._keep_note()
        self._shut()
        self.screen.set_focus(None)

    def _shut(self) -> None:
        self._typing = ""
        self._opened = self._about = None
        for each in _OPEN:
            self.screen.remove_class(f"-{each}")

    # -- what is typed ----------------------------------------------------------------

    def _spoken_of(self) -> HoldDraft | None:
        """Give the hold for which something was opened, while it counts."""
        kept = self.state.kept_holds
        return next((each for each in kept if each.serial == self._about), None)

    def _keep_note(self) -> None:
        draft = self._spoken_of()
        text = self.query_one("#typed", Input).value
        if self._typing == NOTE and draft is not None and text != draft.note:
            self._runner.send(AnswerNote(draft.serial, text))

    def _take_figure(self, text: str) -> None:
        draft = self.state.last_hold
        try:
            figure = float(text.replace(",", "."))
        except ValueError:
            return
        if draft is None:
            return
        if self._typing == LOST:
            self._runner.send(AnswerKept(draft.serial, lost_on_breath=int(figure)))
        elif self.state.phase is Phase.INTERRUPTED:
            self._runner.send(Resolve(figure))
        else:
            self._runner.send(AnswerHeld(draft.serial, figure))

    def enter_follows(self) -> bool:
        """Tell, once, whether enter still belongs to a figure that was just taken."""
        since_s = self._runner.clock.now_s() - self._figure_taken_at_s
        self._figure_taken_at_s = -math.inf
        return since_s < ENTER_FOLLOWS_S

    @on(Input.Submitted)
    def _typed(self, event: Input.Submitted) -> None:
        event.stop()
        if self._typing in (HELD, LOST):
            self._take_figure(event.value)
        self.close()

    @on(Input.Changed)
    def _one_figure_is_enough(self, event: Input.Changed) -> None:
        """Take the breath at its first figure where there are few of them."""
        event.stop()
        draft = self.draft
        if self._typing != LOST or draft is None or not event.value:
            return
        if self._breaths <= _ONE_FIGURE_BREATHS:
            self._figure_taken_at_s = self._runner.clock.now_s()
            self._take_figure(event.value)
            self.close()

    # -- what the parts say -----------------------------------------------------------

    @on(FeltDrawing.Changed)
    def _felt_changed(self, event: FeltDrawing.Changed) -> None:
        event.stop()
        if self.draft is not None:
            self.tell(AnswerFelt(self.draft.serial, event.felt))

    @on(HurtDrawing.Noted)
    def _hurt_noted(self, event: HurtDrawing.Noted) -> None:
        event.stop()
        draft = self.draft
        self.close()
        if draft is not None:
            self.tell(AnswerPain(draft.serial, event.pain))

    @on(Drawing.Closed)
    def _drawing_closed(self, event: Drawing.Closed) -> None:
        event.stop()
        self.close()

    @on(LogPanel.Clicked)
    async def _clicked(self, event: LogPanel.Clicked) -> None:
        """Let the mouse do what the key does."""
        event.stop()
        there = self.screen if event.action == "anyway" else self
        await self.app.run_action(event.action, there)

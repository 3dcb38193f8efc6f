"""The gate on a screen: what speaks against a hold, and what the person says to it.

Every page that starts a hold comes through ``pass_gate``; Enter alone answers nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from enum import StrEnum
from typing import TYPE_CHECKING, ClassVar

from textual.binding import BindingType
from textual.widget import Widget

from trainer.core import words
from trainer.core.safety import OpenPain, pain_words, person_of, said_gone
from trainer.core.session.clearance import (
    Asked,
    Cleared,
    ask_gate,
    cleared,
    without_what_is_asked,
)
from trainer.core.session.program import SessionProgram
from trainer.errors import TrainerError
from trainer.tui.keymap import bind
from trainer.tui.widgets.sheet import Note, Sheet, note, styled
from trainer.tui.widgets.slip import Slip

if TYPE_CHECKING:
    from trainer.tui.program import Program


class Said(StrEnum):
    """What a person says to the gate."""

    GONE = "gone"
    """The pain asked about first is gone."""
    LEAVE_OUT = "leave-out"
    QUESTIONS = "questions"
    ANYWAY = "anyway"


class GateSlip(Slip[Said | None]):
    """The reasons, and what can be said to them; each by a key of its own.

    Args:
        title: what is asked about.
        reasons: why not, a sentence each.
        pain: the pain that may be gone.
        leaves: what remains if what the reasons are about is left out; empty: nothing.
        asks: whether a first-day question would settle some of it.
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        bind("gate.gone", "say('gone')"),
        bind("gate.leave-out", "say('leave-out')"),
        bind("gate.questions", "say('questions')"),
        bind("gate.anyway", "say('anyway')"),
    ]

    def __init__(
        self,
        title: str,
        reasons: Sequence[str],
        *,
        pain: OpenPain | None = None,
        leaves: str = "",
        asks: bool = False,
    ) -> None:
        super().__init__()
        self._title, self._reasons = title, tuple(reasons)
        self._pain, self._leaves, self._asks = pain, leaves, asks

    def question(self) -> str:
        """Say what is asked."""
        return self._title

    def body(self) -> Iterator[Widget]:
        """Give the reasons, then what each key comes to."""
        yield Sheet(id="gate-says")

    async def on_mount(self) -> None:
        why = [styled(each, "bold $text-warning") for each in self._reasons]
        await self.query_one("#gate-says", Sheet).show(
            [note("Why", *why), *self._answers()]
        )
        self.query_one("#slip").focus()

    def _answers(self) -> Iterator[Note]:
        key = self._key_of
        if self._pain is not None:
            yield note(
                key("gate.gone"),
                f"The {pain_words(self._pain)} is gone: that is noted with today's"
                " date.",
            )
        if self._leaves:
            yield note(key("gate.leave-out"), f"Leave it out: {self._leaves}.")
        if self._asks:
            yield note(key("gate.questions"), "Answer the first-day questions.")
        yield note(
            key("gate.anyway"),
            "Go on anyway, at your own risk: it is kept with the session and shown to"
            " a coach.",
        )

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Offer only what can be said here."""
        if action == "say":
            return {
                Said.GONE: self._pain is not None,
                Said.LEAVE_OUT: bool(self._leaves),
                Said.QUESTIONS: self._asks,
            }.get(Said(str(parameters[0])), True)
        return super().check_action(action, parameters)

    def action_say(self, said: str) -> None:
        """Give what was said."""
        self.dismiss(Said(said))

    def _key_of(self, ident: str) -> str:
        from trainer.tui.widgets.keyline import keys_by_id

        return keys_by_id(self).get(ident, "")


def pass_gate(
    app: Program,
    program: SessionProgram,
    then: Callable[[Cleared], None],
    *,
    anyway: bool = False,
    questions: Callable[[], None] | None = None,
) -> None:
    """Go on to THEN with the program once the gate lets it pass, or the person says so.

    Args:
        app: the program's app.
        program: what is to be led.
        then: what leads it.
        anyway: the person said so already, on the command line.
        questions: opens the first-day questions; None: they can't be asked from here.
    """
    try:
        asked = _ask(app, program)
    except TrainerError as error:
        app.notify(str(error), markup=False, severity="warning", timeout=12)
        return
    if asked.goes or anyway:
        then(cleared(asked, anyway=anyway))
        return
    rest = without_what_is_asked(asked)

    def again(changed: SessionProgram) -> None:
        pass_gate(app, changed, then, questions=questions)

    def answered(said: Said | None) -> None:
        if said is Said.GONE:
            if _note_gone(app, asked.pains[0]):
                again(program)
        elif said is Said.LEAVE_OUT and rest is not None:
            again(rest)
        elif said is Said.QUESTIONS and questions is not None:
            questions()
        elif said is Said.ANYWAY:
            then(cleared(asked, anyway=True))

    slip = GateSlip(
        "Before you start",
        asked.says,
        pain=next(iter(asked.pains), None),
        leaves=_remains(rest),
        asks=bool(asked.open_questions) and questions is not None,
    )
    app.push_screen(slip, answered)


def _ask(app: Program, program: SessionProgram) -> Asked:
    store, today = app.store, app.clock.wall().date()
    person = person_of(store.answers(), store.plan().top, store.history(), on=today)
    return ask_gate(program, person, on=today)


def _remains(rest: SessionProgram | None) -> str:
    """Say what a session is without what the gate asks about."""
    if rest is None:
        return ""
    names = dict.fromkeys(each.exercise.name for each in rest.sets)
    sets = words.count(len(rest.sets), "set")
    return f"{sets} of {' and '.join(names)} remain{'s' * (len(rest.sets) == 1)}"


def _note_gone(app: Program, pain: OpenPain) -> bool:
    """Note that a pain is gone, in every hold where it is open."""
    today = app.clock.wall().date()
    try:
        for hold in said_gone(app.store.history(), [pain], on=today):
            app.store.correct_hold(hold)
    except TrainerError as error:
        app.notify(str(error), markup=False, severity="warning", timeout=12)
        return False
    return True

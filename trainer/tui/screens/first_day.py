"""First day: a few questions, then a plan; what isn't answered is taken with care."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from enum import StrEnum
from typing import ClassVar

from textual import on
from textual.binding import BindingType
from textual.widget import Widget
from textual.widgets import Static

from trainer.core import words
from trainer.core.answers import (
    DAYS,
    NO,
    PRESS,
    QUESTION_OF,
    QUESTIONS,
    YES,
    applies,
    as_kept,
    said,
    still_open,
)
from trainer.core.exercises import BUILT_IN, Family, brief_name
from trainer.core.plan.first_day import (
    days_in,
    plan_from,
    possible_presses,
    press_in,
)
from trainer.core.plan.plan import Plan
from trainer.errors import TrainerError
from trainer.tui.keymap import bind
from trainer.tui.screens.page import Page
from trainer.tui.widgets.fields import Field, FieldList
from trainer.tui.widgets.sheet import Note, Sheet, note, plain

_YES_NO = (("", "not answered"), (NO, "no"), (YES, "yes"))


class FirstDayDone(StrEnum):
    """How the first day was left."""

    PLAN = "plan"
    """With a plan."""
    TEST = "test"
    """With a plan, and the wish to find the start by a test."""


ANSWERS_WIDTH = 24


def questions(
    answers: Mapping[str, str], *, on: date, planned: bool = False, asked: str = ""
) -> list[Field]:
    """Give the questions with what was answered before; those that apply.

    With a plan there already (PLANNED), its exercises stay; that is said. ASKED is the
    open question of safety that is pointed at.
    """
    return [
        *(
            Field(
                key=each.key,
                label=each.asks,
                value=_word(answers, each.key),
                choices=_YES_NO,
                warning=open_warning(each.key) if each.key == asked else "",
            )
            for each in QUESTIONS
            if applies(each.key, answers)
        ),
        _press_field(answers, on=on, planned=planned),
        Field(
            key=DAYS,
            label="On which days? 1 to 7 put a day in or take it out.",
            value=" ".join(str(day) for day in days_in(answers)),
            days=True,
        ),
    ]


def _word(answers: Mapping[str, str], key: str) -> str:
    return {True: YES, False: NO, None: ""}[said(answers, key)]


def _press_field(answers: Mapping[str, str], *, on: date, planned: bool) -> Field:
    """Ask for the first press among those that the other answers leave possible."""
    possible = possible_presses(answers, on=on)
    why_not = ""
    if "press-pike" not in possible:
        why_not = (
            "A pike is head-down too: it needs a no to the shoulder question and to the"
            " eye and blood question."
        )
    if planned:
        why_not = "The plan that you have keeps its press."
    return Field(
        key=PRESS,
        label="In which position do you press first?",
        value=press_in(answers, on=on),
        choices=tuple((each, brief_name(each)) for each in possible),
        hint=why_not,
    )


def open_warning(key: str) -> str:
    """Say that a question of safety is open, and what leaving it comes to."""
    return (
        "Not answered. Answer it, or press the same key again to leave it open:"
        f" then the careful way is taken, {QUESTION_OF[key].careful}."
    )


def plan_note(plan: Plan) -> Note:
    """Say in words what plan comes out."""
    rows = [
        f"{plan.exercise(each.exercise).name}: {each.sets} ×"
        f" {words.whole_seconds(each.start_s)}, rest {words.whole_seconds(each.rest_s)}"
        for each in plan.exercises
    ]
    hang, press = (BUILT_IN[plan.top[family]].name for family in Family)
    return note(
        "Your plan",
        f"{words.sentence(words.days(plan.days))} One set of each in turn.",
        *rows,
        f"The hardest that will be offered: {hang} and {press}.",
    )


class FirstDayScreen(Page[FirstDayDone | None]):
    """The questions, and the plan that they make, as it stands."""

    HEADING = "First day"
    BINDINGS: ClassVar[list[BindingType]] = [
        bind("first-day.make", "make"),
        bind("first-day.test", "test"),
    ]
    SEEN_FIRST = ("first-day.make", "first-day.test")

    KEY_PAIRS: ClassVar[Sequence[tuple[Sequence[str], str]]] = (
        (("fields.less", "fields.more"), "answer"),
        (("fields.up", "fields.down"), "move"),
    )

    def __init__(self) -> None:
        super().__init__()
        self._press = ""
        """The press last chosen: it comes back when it is possible again."""
        self._asked = ""
        """The open question that was last pointed at."""
        self._left: set[str] = set()
        """The questions of safety that were left open on purpose."""

    def body(self) -> Iterator[Widget]:
        """Give the questions, then the plan."""
        store = self.trainer.store
        answers = store.answers()
        self._press = answers.get(PRESS, "")
        yield FieldList(
            questions(answers, on=self._today, planned=store.has_plan()),
            id="questions",
            answers_width=ANSWERS_WIDTH,
        )
        yield Sheet(id="outcome")

    async def on_mount(self) -> None:
        self.query_one(FieldList).focus(scroll_visible=False)
        await self._show_outcome()

    @on(FieldList.Changed)
    async def _ask_anew(self, event: FieldList.Changed) -> None:
        """Ask for what the answer leaves possible, and show the plan."""
        if event.key == PRESS:
            self._press = event.value
        self._asked = ""
        self._left.discard(event.key)
        self._show_questions(self._answers() | {PRESS: self._press})
        await self._show_outcome()

    def _show_questions(self, answers: Mapping[str, str]) -> None:
        """Ask what applies after ANSWERS, with a warning where one is left open."""
        corner = "still open; again: the careful way" if self._asked else ""
        self.query_one("#corner", Static).update(plain(corner))
        planned = self.trainer.store.has_plan()
        self.query_one(FieldList).show(
            questions(answers, on=self._today, planned=planned, asked=self._asked)
        )

    async def _show_outcome(self) -> None:
        plan = self._plan()
        about = note(
            "A test",
            "Instead of starting there: hold each once, until one breath is left (a"
            " pike: two), 45 s at most, never upside down on the wall. Two thirds of it"
            " is where you start.",
            quiet=True,
        )
        await self.query_one("#outcome", Sheet).show([plan_note(plan), about])

    @property
    def _today(self) -> date:
        return self.trainer.clock.wall().date()

    def _answers(self) -> dict[str, str]:
        """Give what is answered here, as the store keeps it; what isn't asked stays."""
        before = self.trainer.store.answers()
        given = {
            key: as_kept(key, value, on=self._today, before=before.get(key, ""))
            for key, value in self.query_one(FieldList).values().items()
        }
        return before | given

    def _plan(self) -> Plan:
        store = self.trainer.store
        before = store.plan() if store.has_plan() else None
        return plan_from(self._answers(), on=self._today, before=before)

    def _keep(self) -> bool:
        fields = self.query_one(FieldList)
        fields.commit()
        store = self.trainer.store
        try:
            before = store.answers()
            for key, value in self._answers().items():
                if value != before.get(key, ""):
                    store.set_answer(key, value)
            store.save_plan(self._plan(), valid_from=self.trainer.clock.wall().date())
        except TrainerError as error:
            self.complain(error)
            return False
        return True

    async def _settled(self) -> bool:
        """Tell whether no question of safety is open, or lead to the first that is.

        Asked for a second time where the mark stands, it is left open on purpose.
        """
        fields = self.query_one(FieldList)
        marked = fields.marked
        if marked is not None and marked.key == self._asked:
            self._left.add(self._asked)
        self._asked = next(
            (key for key in still_open(self._answers()) if key not in self._left), ""
        )
        if self._asked:
            self._show_questions(self._answers())
            fields.mark(self._asked)
        return not self._asked

    async def action_make(self) -> None:
        """Keep the answers and the plan."""
        if await self._settled() and self._keep():
            self.dismiss(FirstDayDone.PLAN)

    async def action_test(self) -> None:
        """Keep them, and find the start by a test."""
        if await self._settled() and self._keep():
            self.dismiss(FirstDayDone.TEST)

    def action_back(self) -> None:
        """Leave without a plan."""
        self.dismiss(None)

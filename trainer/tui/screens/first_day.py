"""First day: a few questions, then a plan; what isn't answered is taken with care."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from enum import StrEnum
from typing import ClassVar

from textual import on
from textual.binding import BindingType
from textual.widget import Widget
from textual.widgets import Static

from trainer.core import words
from trainer.core.exercises import BUILT_IN, Family
from trainer.core.plan.first_day import (
    DAYS,
    HANG_WAS_EASY,
    HEAD_UP,
    NO,
    PRESS,
    WALL_UNHURRIED,
    YES,
    FirstAnswers,
    plan_from,
    possible_presses,
    still_open,
)
from trainer.core.plan.plan import Plan
from trainer.errors import TrainerError
from trainer.tui.keymap import bind
from trainer.tui.screens.page import Page
from trainer.tui.widgets.fields import Field, FieldList
from trainer.tui.widgets.sheet import Note, Sheet, note, plain, styled

_YES_NO = (("", "not answered"), (NO, "no"), (YES, "yes"))


class FirstDayDone(StrEnum):
    """How the first day was left."""

    PLAN = "plan"
    """With a plan."""
    TEST = "test"
    """With a plan, and the wish to find the start by a test."""


_PRESSES = {
    "press-pushup": "push-up position",
    "press-pike": "pike, feet on bench",
}
_CAREFUL = {
    HEAD_UP: "no press with the head down is offered",
    WALL_UNHURRIED: "the wall isn't offered",
}
"""What the careful way is where a question of safety is left open."""
ANSWERS_WIDTH = 24


def questions(answers: Mapping[str, str], *, planned: bool = False) -> list[Field]:
    """Give the questions with what was answered before.

    With a plan there already (PLANNED), its exercises stay; that is said.
    """
    given = FirstAnswers.of(answers)
    return [
        Field(
            key=HANG_WAS_EASY,
            label="Can you hang from a bar for 20 s with straight arms, easily?",
            value=answers.get(HANG_WAS_EASY, ""),
            choices=_YES_NO,
        ),
        Field(
            key=HEAD_UP,
            label="Do you have an eye or blood-pressure caution, such as glaucoma?",
            value=answers.get(HEAD_UP, ""),
            choices=_YES_NO,
        ),
        Field(
            key=WALL_UNHURRIED,
            label="Can you walk your feet up and down a wall without hurry, and have"
            " you done so with somebody by?",
            value=answers.get(WALL_UNHURRIED, ""),
            choices=_YES_NO,
        ),
        _press_field(given, planned=planned),
        Field(
            key=DAYS,
            label="On which days? 1 to 7 put a day in or take it out.",
            value=" ".join(str(day) for day in given.days),
            days=True,
        ),
    ]


def _press_field(given: FirstAnswers, *, planned: bool) -> Field:
    """Ask for the first press among those that the other answers leave possible."""
    possible = possible_presses(given)
    why_not = ""
    if "press-pike" not in possible:
        why_not = (
            "A pike is head-down too: it needs a no to the eye and blood question."
        )
    if planned:
        why_not = "The plan that you have keeps its press."
    return Field(
        key=PRESS,
        label="In which position do you press first?",
        value=given.press if given.press in possible else possible[0],
        choices=tuple((each, _PRESSES[each]) for each in possible),
        hint=why_not,
    )


def open_note(key: str) -> Note:
    """Say that a question of safety is open, and what leaving it comes to."""
    return note(
        "Still open",
        styled(
            "The marked question isn't answered. Answer it, or press the same key again"
            f" to leave it open: then the careful way is taken, {_CAREFUL[key]}.",
            "bold $text-warning",
        ),
    )


def plan_note(plan: Plan) -> Note:
    """Say in words what plan comes out."""
    rows = [
        f"{plan.exercise(each.exercise).name}: {each.sets} ×"
        f" {words.whole_seconds(each.start_s)}, rest {words.whole_seconds(each.rest_s)}"
        for each in plan.exercises
    ]
    top = BUILT_IN[plan.top[Family.PRESS]].name
    return note(
        "Your plan",
        f"{words.sentence(words.days(plan.days))} One set of each in turn.",
        *rows,
        f"The hardest press that will be offered: {top}.",
    )


class FirstDayScreen(Page[FirstDayDone | None]):
    """The questions, and the plan that they make, as it stands."""

    HEADING = "First day"
    BINDINGS: ClassVar[list[BindingType]] = [
        bind("first-day.make", "make"),
        bind("first-day.test", "test"),
    ]

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
            questions(answers, planned=store.has_plan()),
            id="questions",
            answers_width=ANSWERS_WIDTH,
        )
        yield Sheet(id="outcome")

    async def on_mount(self) -> None:
        """Show the plan as it would be."""
        self.query_one(FieldList).focus(scroll_visible=False)
        await self._show_outcome()

    @on(FieldList.Changed)
    async def _ask_anew(self, event: FieldList.Changed) -> None:
        """Ask for what the answer leaves possible, and show the plan."""
        if event.key == PRESS:
            self._press = event.value
        self._asked = ""
        self._left.discard(event.key)
        answers = event.fields.values() | {PRESS: self._press}
        event.fields.show(questions(answers, planned=self.trainer.store.has_plan()))
        await self._show_outcome()

    async def _show_outcome(self) -> None:
        plan = self._plan()
        # A narrow window may not reach down to the note: the corner says it as well.
        corner = "still open; again: the careful way" if self._asked else ""
        self.query_one("#corner", Static).update(plain(corner))
        about = note(
            "A test",
            "Instead of starting there: hold each once, to RPE 7 or 45 s at most,"
            " never upside down on the wall. Two thirds of it is where you start.",
            quiet=True,
        )
        await self.query_one("#outcome", Sheet).show(
            [
                *([open_note(self._asked)] if self._asked else []),
                plan_note(plan),
                about,
            ]
        )

    def _plan(self) -> Plan:
        given = FirstAnswers.of(self.query_one(FieldList).values())
        store = self.trainer.store
        return plan_from(given, before=store.plan() if store.has_plan() else None)

    def _keep(self) -> bool:
        fields = self.query_one(FieldList)
        fields.commit()
        store = self.trainer.store
        try:
            for key, value in fields.values().items():
                if value or store.answers().get(key):
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
            (key for key in still_open(fields.values()) if key not in self._left), ""
        )
        if self._asked:
            fields.mark(self._asked)
            await self._show_outcome()
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

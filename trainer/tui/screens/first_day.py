"""First day: a few questions, then a plan; what isn't answered is taken with care."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from enum import StrEnum
from typing import ClassVar

from textual import on
from textual.binding import BindingType
from textual.widget import Widget

from trainer.core.exercises import BUILT_IN, Family
from trainer.core.first_day import (
    DAYS,
    HANG_WAS_EASY,
    HEAD_UP,
    NO,
    PRESS,
    WALL_UNHURRIED,
    YES,
    FirstAnswers,
    plan_from,
)
from trainer.core.plan import Plan
from trainer.errors import TrainerError
from trainer.tui import words
from trainer.tui.keymap import bind
from trainer.tui.screens.page import Page
from trainer.tui.widgets.field import Field
from trainer.tui.widgets.fields import FieldList
from trainer.tui.widgets.sheet import Note, Sheet, note

_YES_NO = (("", "not answered"), (NO, "no"), (YES, "yes"))


class FirstDayDone(StrEnum):
    """How the first day was left."""

    PLAN = "plan"
    """With a plan."""
    TEST = "test"
    """With a plan, and the wish to find the start by a test."""


def questions(answers: Mapping[str, str]) -> list[Field]:
    """Give the questions with what was answered before."""
    given = FirstAnswers.of(answers)
    return [
        Field(
            key=HANG_WAS_EASY,
            label="20 s hang",
            value=answers.get(HANG_WAS_EASY, ""),
            choices=_YES_NO,
            hint="Was hanging from a bar for 20 s, arms straight, easy?",
        ),
        Field(
            key=HEAD_UP,
            label="Head down",
            value=answers.get(HEAD_UP, ""),
            choices=_YES_NO,
            hint="Is there an eye or blood-pressure caution, such as glaucoma?",
        ),
        Field(
            key=WALL_UNHURRIED,
            label="The wall",
            value=answers.get(WALL_UNHURRIED, ""),
            choices=_YES_NO,
            hint="Can you walk up and down it unhurried, and have with somebody by?",
        ),
        Field(
            key=PRESS,
            label="First press",
            value=given.press,
            choices=(
                ("press-pushup", "in a push-up position"),
                ("press-pike", "in a pike, feet on a bench"),
            ),
        ),
        Field(
            key=DAYS,
            label="Days",
            value=" ".join(str(day) for day in given.days),
            days=True,
            hint="1 to 7 put a day in or take it out",
        ),
    ]


def plan_note(plan: Plan) -> Note:
    """Say in words what plan comes out."""
    rows = [
        f"{plan.exercise(each.exercise).name}: {each.sets} ×"
        f" {words.seconds(each.start_s)}, rest {words.seconds(each.rest_s)}"
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

    def body(self) -> Iterator[Widget]:
        """Give the questions, then the plan."""
        answers = self.trainer.store.answers()
        yield FieldList(questions(answers), id="questions")
        yield Sheet(id="outcome")

    async def on_mount(self) -> None:
        """Show the plan as it would be."""
        self.query_one(FieldList).focus(scroll_visible=False)
        await self._show_outcome()

    @on(FieldList.Changed)
    async def _show_outcome(self) -> None:
        plan = self._plan()
        about = note(
            "A test",
            "Instead of starting there: hold each once, to RPE 7 or 45 s at most,"
            " never upside down on the wall. Two thirds of it is where you start.",
            quiet=True,
        )
        await self.query_one("#outcome", Sheet).show([plan_note(plan), about])

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

    def action_make(self) -> None:
        """Keep the answers and the plan."""
        if self._keep():
            self.dismiss(FirstDayDone.PLAN)

    def action_test(self) -> None:
        """Keep them, and find the start by a test."""
        if self._keep():
            self.dismiss(FirstDayDone.TEST)

    def action_back(self) -> None:
        """Leave without a plan."""
        self.dismiss(None)

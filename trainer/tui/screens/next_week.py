"""Next week: each exercise's target, the reasons, and one key that takes it."""

from __future__ import annotations

import asyncio
import uuid
from collections.abc import Iterator
from datetime import timezone
from typing import ClassVar

from textual import on, work
from textual.binding import BindingType
from textual.containers import Container
from textual.widget import Widget

from trainer.core import words
from trainer.core.capacity.calibration import score_of
from trainer.core.capacity.forecast import forecast
from trainer.core.model import LONGEST_HOLD_S, Author, History, TargetSet
from trainer.core.next_week.decide import next_week
from trainer.core.next_week.suggestion import Change, Suggestion, taken
from trainer.core.plan.plan import Plan
from trainer.core.review.load import Dose, dose
from trainer.core.safety import loads, open_pain
from trainer.core.weeks import IsoWeek
from trainer.errors import TrainerError
from trainer.training.shown import remember_shown
from trainer.tui.keymap import bind
from trainer.tui.screens.next_week_text import (
    detail_notes,
    headline,
    in_force,
    is_taken,
    own_hint,
)
from trainer.tui.screens.page import Page
from trainer.tui.widgets.fields import Field, FieldList
from trainer.tui.widgets.sheet import Sheet, note
from trainer.tui.widgets.slip import Slip


class TargetSlip(Slip[tuple[float, Author] | None]):
    """Another target, and who sets it."""

    BINDINGS: ClassVar[list[BindingType]] = [bind("correct.keep", "keep")]

    def __init__(self, name: str, target_s: float, week: IsoWeek) -> None:
        super().__init__()
        self._week = week
        self._exercise_name = name
        self._target_s = target_s

    def question(self) -> str:
        """Say what is set."""
        week = words.week(self._week)
        return f"{self._exercise_name}: another target, from {week} on"

    def body(self) -> Iterator[Widget]:
        """Give the target and its author."""
        yield FieldList(
            [
                Field(
                    key="target",
                    label="Target",
                    value=f"{self._target_s:g}",
                    step=1,
                    low=1,
                    high=LONGEST_HOLD_S,
                    unit="s",
                ),
                Field(
                    key="author",
                    label="Set by",
                    value=Author.PERSON.value,
                    choices=(
                        (Author.PERSON.value, "me"),
                        (Author.COACH.value, "the coach"),
                    ),
                ),
            ],
            label_width=10,
        )

    def on_mount(self) -> None:
        self.query_one(FieldList).focus(scroll_visible=False)

    def action_keep(self) -> None:
        """Give the target."""
        fields = self.query_one(FieldList)
        fields.commit()
        values = fields.values()
        self.dismiss((float(values["target"]), Author(values["author"])))


NAME_COLUMNS = 18
"""Columns of the longest short name of a rung."""


class NextWeekScreen(Page[None]):
    """The suggestions for one week; the marked one in full."""

    HEADING = "Next week"
    BINDINGS: ClassVar[list[BindingType]] = [
        bind("next-week.take", "take"),
        bind("next-week.set", "set"),
        bind("next-week.back", "take_back"),
        bind("next-week.lighter", "lighter"),
    ]

    def __init__(self, week: IsoWeek) -> None:
        super().__init__()
        self._week = week
        self._suggestions: tuple[Suggestion, ...] = ()
        self._history = History()
        self._plan = Plan()
        self._forecasts: dict[str, str] = {}

    def corner(self) -> str:
        """Say which week it is."""
        monday, sunday = self._week.monday, self._week.sunday
        dates = f"{words.near_date(monday)} to {words.near_date(sunday)}"
        return f"{dates} · {self._week}"

    def body(self) -> Iterator[Widget]:
        """Give the exercises, and the marked one in full."""
        with Container(classes="spread"):
            yield FieldList([], id="suggestions", label_width=NAME_COLUMNS)
            yield Sheet(id="detail", classes="leaf second")

    async def on_mount(self) -> None:
        await self._show()
        self.query_one(FieldList).focus(scroll_visible=False)

    async def _show(self) -> None:
        store, now = self.trainer.store, self.trainer.clock.wall()
        try:
            self._history, self._plan = store.history(), store.plan()
            self._suggestions = next_week(
                self._history,
                self._plan,
                today=now.date(),
                week=self._week,
                answers=store.answers(),
            )
        except TrainerError as error:
            self.complain(error)
            return
        self._forecasts = {}
        self.query_one(FieldList).show(
            [
                Field(
                    key=one.exercise,
                    label=self._name_of(one.exercise),
                    value=headline(one),
                    hint=own_hint(one, self._history),
                )
                for one in self._suggestions
            ]
        )
        await self._show_detail()
        remember_shown(store, self._suggestions, now=now)

    def _name_of(self, exercise: str) -> str:
        return self._plan.exercise(exercise).brief_name

    @on(FieldList.Marked)
    async def _show_detail(self) -> None:
        one = self._marked()
        sheet = self.query_one("#detail", Sheet)
        if one is None:
            await sheet.show(
                [note("Nothing", "The plan has no exercise to suggest for.")]
            )
            return
        pain = open_pain(self._history, on=self.trainer.clock.wall().date())
        exercise = self._plan.exercise(one.exercise)
        await sheet.show(
            detail_notes(
                one,
                name=exercise.name,
                pain=pain,
                loads_it=any(loads(exercise, each) for each in pain),
                history=self._history,
                forecast=self._forecasts.get(one.exercise, ""),
                dose=self._dose(one),
                score=score_of(self._history),
            )
        )
        self.refresh_bindings()
        if one.exercise not in self._forecasts:
            self._look_ahead(one.exercise)

    @work(exclusive=True)
    async def _look_ahead(self, exercise: str) -> None:
        """Work the forecast out beside the screen: it may take a moment."""
        today = self.trainer.clock.wall().date()
        found = await asyncio.to_thread(
            forecast, self._history, self._plan, exercise, today=today
        )
        self._forecasts[exercise] = found.sentence() if found else ""
        if found is not None and not self.was_left:
            await self._show_detail()

    def _dose(self, one: Suggestion) -> Dose | None:
        """Set the week that is suggested beside the published figures."""
        if one.target_s is None:
            return None
        week_s = [one.sets * one.target_s] * len(self._plan.days)
        return dose(one.exercise, one.week, week_s)

    def _marked(self) -> Suggestion | None:
        field = self.query_one(FieldList).marked
        for one in self._suggestions:
            if field is not None and one.exercise == field.key:
                return one
        return None

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Offer only what applies to the marked one."""
        if not self.is_mounted or not self.query(FieldList):
            return super().check_action(action, parameters)
        one = self._marked()
        if action == "take":
            return one is not None and one.change is not Change.REST
        if action == "take_back":
            return one is not None and in_force(self._history, one.exercise) is not None
        if action == "lighter":
            return one is not None and one.lighter_sets is not None
        if action == "set":
            return one is not None
        return super().check_action(action, parameters)

    async def action_take(self) -> None:
        """Put the marked suggestion in force for that week."""
        one = self._marked()
        if one is None or one.target_s is None or is_taken(one, self._history):
            return
        await self._put(self._taken(one), f"Taken: {headline(one)}.")

    async def action_lighter(self) -> None:
        """Take a lighter week: one set fewer, the same target."""
        one = self._marked()
        if one is None or one.lighter_sets is None or one.target_s is None:
            return
        target = self._taken(one)
        await self._put(
            TargetSet(
                uid=target.uid,
                exercise=target.exercise,
                target_s=one.current_s,
                author=target.author,
                set_at=target.set_at,
                local_date=target.local_date,
                week=target.week,
                sets=one.lighter_sets,
                rule=target.rule,
            ),
            "Taken: a lighter week.",
        )

    def _taken(self, one: Suggestion) -> TargetSet:
        now = self.trainer.clock.wall()
        return taken(
            one,
            uid=str(uuid.uuid4()),
            set_at=now.astimezone(timezone.utc),
            local_date=now.date(),
        )

    async def _put(self, target: TargetSet, words_for_it: str) -> None:
        try:
            self.trainer.store.set_target(target)
        except TrainerError as error:
            self.complain(error)
            return
        self.say(words_for_it)
        await self._show()

    async def action_take_back(self) -> None:
        """Take back the target that was set last for the marked exercise."""
        one = self._marked()
        target = in_force(self._history, one.exercise) if one else None
        if target is None:
            return
        try:
            self.trainer.store.take_back_target(target.uid)
        except TrainerError as error:
            self.complain(error)
            return
        self.say(f"Taken back: {words.whole_seconds(target.target_s)}.")
        await self._show()

    def action_set(self) -> None:
        """Set another target, as the person or the coach."""
        one = self._marked()
        if one is None:
            return
        now = self.trainer.clock.wall()

        async def given(answer: tuple[float, Author] | None) -> None:
            if answer is None:
                return
            target_s, author = answer
            target = TargetSet(
                uid=str(uuid.uuid4()),
                exercise=one.exercise,
                target_s=target_s,
                author=author,
                set_at=now.astimezone(timezone.utc),
                local_date=now.date(),
                week=self._week,
            )
            said = f"Set: {words.whole_seconds(target_s)}, from {self._week} on."
            await self._put(target, said)

        start_s = one.target_s or one.current_s
        self.app.push_screen(
            TargetSlip(self._name_of(one.exercise), start_s, self._week), given
        )

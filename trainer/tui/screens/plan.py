"""The plan: every figure of it, the ladders, and the change before it is taken."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import ClassVar

from textual import on
from textual.binding import BindingType
from textual.containers import Container
from textual.widget import Widget
from textual.widgets import Static

from trainer.core.evidence import target_in_force
from trainer.core.first_day import FirstAnswers, hardest_press
from trainer.core.plan import Plan, default_entry
from trainer.core.weeks import IsoWeek
from trainer.errors import TrainerError
from trainer.planchanges import plan_changes
from trainer.tui import words
from trainer.tui.keymap import bind
from trainer.tui.screens.first_day import FirstDayScreen
from trainer.tui.screens.page import Page
from trainer.tui.screens.plan_fields import ladder_lines, plan_lines, plan_of
from trainer.tui.widgets.fields import FieldList
from trainer.tui.widgets.sheet import Note, Sheet, note, plain


class PlanScreen(Page[None]):
    """The plan in force, and a draft of another one beside it."""

    HEADING = "Plan"
    BINDINGS: ClassVar[list[BindingType]] = [
        bind("plan.take", "take"),
        bind("plan.undo", "undo"),
        bind("plan.exercise", "exercise"),
        bind("plan.rest-week", "rest_week"),
        bind("plan.questions", "questions"),
    ]

    def __init__(self) -> None:
        super().__init__()
        self._plan = Plan()
        self._draft = Plan()

    def body(self) -> Iterator[Widget]:
        """Give what the draft changes, the ladders, then the lines."""
        with Container(classes="spread"):
            yield FieldList([], id="lines")
            yield Sheet(id="beside", classes="leaf second")

    async def on_mount(self) -> None:
        """Read the plan."""
        await self._read()
        self.query_one(FieldList).focus(scroll_visible=False)

    async def _read(self) -> None:
        try:
            self._plan = self._draft = self.trainer.store.plan()
        except TrainerError as error:
            self.complain(error)
            return
        await self._show()

    async def _show(self) -> None:
        given = FirstAnswers.of(self.trainer.store.answers())
        lines = plan_lines(
            self._draft, hardest_press=hardest_press(given), in_force_s=self._in_force()
        )
        self.query_one(FieldList).show(lines)
        await self._show_beside()

    def _in_force(self) -> dict[str, float]:
        """Give the targets of what was trained or set; the rest is at its start."""
        history = self.trainer.store.history()
        week = IsoWeek.of(self.trainer.clock.wall().date())
        known = {target.exercise for target in history.targets}
        known |= {hold.exercise for each in history.sessions for hold in each.holds}
        return {
            each.exercise: target_in_force(
                history, self._plan, each.exercise, week=week
            )
            for each in self._draft.exercises
            if each.exercise in known
        }

    async def _show_beside(self) -> None:
        changes = plan_changes(self._plan, self._draft)
        state = f"{words.count(len(changes), 'change')}, not taken" if changes else ""
        self.query_one("#corner", Static).update(plain(state))
        await self.query_one("#beside", Sheet).show(self._beside(changes))
        self.refresh_bindings()

    def _beside(self, changes: tuple[str, ...]) -> list[Note]:
        coming = self._coming()
        resting = coming in self.trainer.store.history().rest_weeks
        return [
            note("Changes", *(changes or ("None.",))),
            note(
                "Ladders",
                *ladder_lines(self._draft),
                "CAPITALS: in the plan. In brackets: not offered yet.",
            ),
            note(
                "Rest week",
                f"{coming} is a rest week."
                if resting
                else f"{coming} is for training.",
            ),
        ]

    def _coming(self) -> IsoWeek:
        return IsoWeek.of(self.trainer.clock.wall().date()).plus(1)

    @on(FieldList.Changed)
    async def _redraft(self, event: FieldList.Changed) -> None:
        try:
            self._draft = plan_of(self._draft, event.fields.values())
        except ValueError as error:
            self.say(words.sentence(str(error)))
            await self._show()
            return
        await self._show_beside()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Offer to take or undo only where something changed."""
        if action in ("take", "undo"):
            return self._draft != self._plan
        return super().check_action(action, parameters)

    def _changes(self) -> tuple[str, ...]:
        """Give the changes, with the figure that is still being typed."""
        fields = self.query_one(FieldList)
        fields.commit()
        try:
            self._draft = plan_of(self._draft, fields.values())
        except ValueError as error:
            self.say(words.sentence(str(error)))
        return plan_changes(self._plan, self._draft)

    def _save(self) -> bool:
        today = self.trainer.clock.wall().date()
        try:
            self.trainer.store.save_plan(self._draft, valid_from=today)
        except TrainerError as error:
            self.complain(error)
            return False
        self.say("The plan is in force from today.")
        return True

    def action_back(self) -> None:
        """Go back; with a change not taken, ask what becomes of it first."""
        changes = self._changes()
        if not changes:
            self.dismiss()
            return

        def answered(answer: str | None) -> None:
            if answer == "drop" or (answer == "take" and self._save()):
                self.dismiss()

        question = (
            f"{words.count(len(changes), 'change')} not taken: {'; '.join(changes)}."
        )
        choices = [
            ("take", "Take, from today"),
            ("drop", "Drop"),
            ("stay", "Stay"),
        ]
        self.ask(question, choices, answered)

    def action_take(self) -> None:
        """Show the change, and take it."""
        changes = self._changes()
        if not changes:
            return
        question = "Take this plan? " + "; ".join(changes) + "."

        async def answered(answer: str | None) -> None:
            if answer == "take" and self._save():
                await self._read()

        choices = [("take", "Take it, from today"), ("keep", "Not yet")]
        self.ask(question, choices, answered)

    async def action_undo(self) -> None:
        """Put the plan back as it is in force."""
        await self._read()

    def action_exercise(self) -> None:
        """Put an exercise in the plan, or take one out."""
        known = self._draft.known_ids()
        choices = []
        for each in known:
            name = self._draft.exercise(each).name
            word = "take out" if self._draft.entry(each) else "put in"
            choices.append((each, f"{name}: {word}"))

        async def chosen(exercise: str | None) -> None:
            if exercise is not None:
                self._turn(exercise)
                await self._show()

        self.ask("Exercises in the plan", choices, chosen)

    def _turn(self, exercise: str) -> None:
        if self._draft.entry(exercise) is None:
            self._draft = self._draft.with_entry(default_entry(exercise))
            return
        left = tuple(e for e in self._draft.exercises if e.exercise != exercise)
        if not left:
            self.say("A plan needs at least one exercise.")
            return
        self._draft = replace(self._draft, exercises=left)

    async def action_rest_week(self) -> None:
        """Make the coming week a rest week, or no longer."""
        week, store = self._coming(), self.trainer.store
        on = week not in store.history().rest_weeks
        try:
            store.set_rest_week(week, on)
        except TrainerError as error:
            self.complain(error)
            return
        self.say(f"{week} is {'a rest week' if on else 'for training'}.")
        await self._show_beside()

    def action_questions(self) -> None:
        """Ask the first day's questions again; they make a plan of their own."""
        if self._changes():
            self.say("Take the change or undo it first.")
            return

        async def answered(_: object) -> None:
            await self._read()

        self.app.push_screen(FirstDayScreen(), answered)

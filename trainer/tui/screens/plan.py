"""The plan: every figure of it, the ladders, and the change before it is taken."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from typing import ClassVar

from textual import on
from textual.binding import BindingType
from textual.containers import Container
from textual.widget import Widget
from textual.widgets import Static

from trainer.core import words
from trainer.core.cues.breathing import OFFERED, Pattern
from trainer.core.exercises import BUILT_IN, LADDERS, Exercise, Family, brief_name
from trainer.core.model import LONGEST_HOLD_S, EndOfHold
from trainer.core.next_week.days import target_in_force
from trainer.core.plan.changes import plan_changes
from trainer.core.plan.plan import (
    LARGEST_STEP_S,
    LONGEST_REST_S,
    MOST_SETS,
    SHORTEST_TARGET_S,
    Grip,
    Order,
    Plan,
    PlanExercise,
    default_entry,
    rest_after,
)
from trainer.core.safety import top
from trainer.core.session.clearance import past_the_gate
from trainer.core.weeks import IsoWeek
from trainer.errors import TrainerError
from trainer.tui.door import open_screen
from trainer.tui.keymap import bind
from trainer.tui.screens.gate import GateSlip, Said
from trainer.tui.screens.page import Page
from trainer.tui.widgets.fields import Field, FieldList
from trainer.tui.widgets.sheet import Note, Sheet, note, plain

ORDER_WORDS = (
    (Order.IN_TURN.value, "one of each in turn"),
    (Order.HANG_FIRST.value, "all hangs first"),
    (Order.PRESS_FIRST.value, "all presses first"),
)
LONGEST_WARM_UP_S = 1800.0


def plan_lines(
    plan: Plan,
    *,
    hardest: Mapping[Family, str],
    in_force_s: Mapping[str, float] | None = None,
) -> list[Field]:
    """Give the plan's lines.

    Args:
        plan: the plan.
        hardest: up to which rung of each family may be offered at all.
        in_force_s: the target in force, by exercise, where there is one.
    """
    targets = in_force_s or {}
    lines = [
        Field(
            key="days",
            label="Days",
            value=" ".join(str(day) for day in plan.days),
            days=True,
        ),
        Field(key="order", label="Order", value=plan.order.value, choices=ORDER_WORDS),
        _number("warm_up", "Warm-up", plan.warm_up_s, 30, 0, LONGEST_WARM_UP_S),
    ]
    for entry in plan.exercises:
        target_s = targets.get(entry.exercise)
        lines += _entry_lines(entry, plan.exercise(entry.exercise), target_s)
    lines += [
        Field(key="ladders", label="", value="Moving on", heading=True),
        *(_top_line(plan, family, hardest[family]) for family in Family),
    ]
    return lines


def _top_line(plan: Plan, family: Family, hardest: str) -> Field:
    ladder = LADDERS[family]
    allowed = ladder[: ladder.index(hardest) + 1]
    now = plan.top.get(family, hardest)
    choices = allowed if now in allowed else (*allowed, now)
    return Field(
        key=f"top:{family.value}",
        label=f"{family.value.capitalize()} up to",
        value=now,
        choices=tuple((each, BUILT_IN[each].brief_name) for each in choices),
    )


def _rest_used(entry: PlanExercise, target_s: float) -> str:
    """Say which rest will run where the plan's is too short for the target."""
    used_s = rest_after(entry.rest_s, target_s)
    if used_s <= entry.rest_s:
        return ""
    return f"{words.whole_seconds(used_s)} will be used: at least twice the target"


def _entry_lines(
    entry: PlanExercise, exercise: Exercise, target_s: float | None
) -> list[Field]:
    def key(name: str) -> str:
        return f"{entry.exercise}:{name}"

    ends = [(EndOfHold.STOP.value, "stop: ends by itself")]
    if exercise.may_stay:
        ends.append((EndOfHold.STAY.value, "stay: counts on"))
    patterns = [str(each) for each in OFFERED]
    if str(entry.pattern) not in patterns:
        patterns.append(str(entry.pattern))
    lines = [
        Field(key=key("name"), label="", value=exercise.name, heading=True),
        _number(key("sets"), "Sets", entry.sets, 1, 1, MOST_SETS, ""),
        replace(
            _number(key("start_s"), "Start", entry.start_s, 5, 1, LONGEST_HOLD_S),
            hint=""
            if target_s is None
            else f"target now {words.whole_seconds(target_s)}",
        ),
        replace(
            _number(key("rest_s"), "Rest", entry.rest_s, 15, 0, LONGEST_REST_S),
            hint=_rest_used(entry, target_s or entry.start_s),
        ),
        _number(key("step_s"), "Step", entry.step_s, 1, 0.5, LARGEST_STEP_S),
        _number(key("cap_s"), "Cap", entry.cap_s, 5, SHORTEST_TARGET_S, LONGEST_HOLD_S),
        _number(key("floor_s"), "Floor", entry.floor_s, 1, 1, LONGEST_HOLD_S),
        Field(
            key=key("end_of_hold"),
            label="End of hold",
            value=entry.end_of_hold.value,
            choices=tuple(ends),
        ),
        Field(
            key=key("pattern"),
            label="Breathing",
            value=str(entry.pattern),
            choices=tuple((each, f"{each} s in : out") for each in patterns),
        ),
    ]
    if exercise.family is not Family.HANG:
        grips = (("", "not said"), *((each.value, each.value) for each in Grip))
        value = entry.grip.value if entry.grip else ""
        lines.append(Field(key=key("grip"), label="Grip", value=value, choices=grips))
    lines.append(Field(key=key("cue"), label="Coach's cue", value=entry.cue, text=True))
    return lines


def _number(
    key: str,
    label: str,
    value: float,
    step: float,
    low: float,
    high: float,
    unit: str = "s",
) -> Field:
    return Field(
        key=key,
        label=label,
        value=f"{value:g}",
        step=step,
        low=low,
        high=high,
        unit=unit,
    )


def plan_of(plan: Plan, values: Mapping[str, str]) -> Plan:
    """Give PLAN with the lines' values.

    Raises:
        ValueError: figures that don't go together; the message names them.
    """
    entries = []
    for entry in plan.exercises:
        mine = {
            key.partition(":")[2]: value
            for key, value in values.items()
            if key.startswith(f"{entry.exercise}:")
        }
        called = plan.brief_name(entry.exercise)
        entries.append(_entry_of(entry, mine, called) if mine else entry)
    top = dict(plan.top)
    for family in Family:
        if f"top:{family.value}" in values:
            top[family] = values[f"top:{family.value}"]
    return replace(
        plan,
        days=tuple(int(day) for day in values["days"].split()),
        order=Order(values["order"]),
        warm_up_s=float(values["warm_up"]),
        exercises=tuple(entries),
        top=top,
    )


def _entry_of(
    entry: PlanExercise, values: Mapping[str, str], called: str
) -> PlanExercise:
    grip = values.get("grip", entry.grip.value if entry.grip else "")
    try:
        return replace(
            entry,
            sets=int(float(values["sets"])),
            start_s=float(values["start_s"]),
            rest_s=float(values["rest_s"]),
            step_s=float(values["step_s"]),
            cap_s=float(values["cap_s"]),
            floor_s=float(values["floor_s"]),
            end_of_hold=EndOfHold(values["end_of_hold"]),
            pattern=Pattern.parse(values["pattern"]),
            grip=Grip(grip) if grip else None,
            cue=values["cue"],
        )
    except ValueError as error:
        raise ValueError(f"{called}: {error}") from None


def ladder_lines(plan: Plan, hardest: Mapping[Family, str]) -> list[str]:
    """Draw both ladders: easier to harder, what is planned, what may be offered.

    Args:
        plan: the plan.
        hardest: up to which rung of each family may be offered to the person.
    """
    planned = {entry.exercise for entry in plan.exercises}
    drawn = []
    for family, ladder in LADDERS.items():
        limits = (plan.top.get(family), hardest.get(family))
        reach = min(
            (ladder.index(limit) for limit in limits if limit in ladder),
            default=len(ladder) - 1,
        )
        rungs = []
        for at, rung in enumerate(ladder):
            name = brief_name(rung)
            word = name.upper() if rung in planned else name
            rungs.append(word if at <= reach else f"({word})")
        drawn.append(f"{family.value:<6} {' → '.join(rungs)}")
    return drawn


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
        self._hardest: Mapping[Family, str] = {}

    def body(self) -> Iterator[Widget]:
        """Give what the draft changes, the ladders, then the lines."""
        with Container(classes="spread"):
            yield FieldList([], id="lines")
            yield Sheet(id="beside", classes="leaf second")

    async def on_mount(self) -> None:
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
        today = self.trainer.clock.wall().date()
        answers = self.trainer.store.answers()
        hardest = {family: top(family, answers, on=today) for family in Family}
        self._hardest = hardest
        lines = plan_lines(self._draft, hardest=hardest, in_force_s=self._in_force())
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
        draft = self._draft
        coach = [note("Coach", draft.coach)] if draft.coach else []
        return [
            note("Changes", *(changes or ("None.",))),
            *coach,
            *([note("Note", draft.note)] if draft.note else []),
            note(
                "Ladders",
                *ladder_lines(self._draft, self._hardest),
                "CAPITALS: in the plan. In brackets: not offered yet.",
            ),
            note(
                "Rest week",
                words.sentence(
                    f"{words.week(coming)} is"
                    f" {'a rest week' if resting else 'for training'}"
                ),
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

    def _take_through_gate(self, then: Callable[[], object]) -> None:
        """Save the draft and go on, after a question where it is past the gate."""
        store, today = self.trainer.store, self.trainer.clock.wall().date()
        past = past_the_gate(self._plan, self._draft, store.answers(), {}, on=today)
        if not past:
            if self._save():
                then()
            return

        def answered(said: Said | None) -> None:
            if said is Said.ANYWAY and self._save():
                then()

        reasons = tuple(dict.fromkeys(each.says for each in past))
        self.app.push_screen(GateSlip("Before this plan is taken", reasons), answered)

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
            if answer == "drop":
                self.dismiss()
            elif answer == "take":
                self._take_through_gate(self.dismiss)

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

        def answered(answer: str | None) -> None:
            if answer == "take":
                self._take_through_gate(lambda: self.call_later(self._read))

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
        what = "a rest week" if on else "for training"
        self.say(words.sentence(f"{words.week(week)} is {what}"))
        await self._show_beside()

    def action_questions(self) -> None:
        """Ask the first day's questions again; they make a plan of their own."""
        if self._changes():
            self.say("Take the change or undo it first.")
            return

        async def answered(_: object) -> None:
            await self._read()

        open_screen(self.app, "first-day", then=answered)

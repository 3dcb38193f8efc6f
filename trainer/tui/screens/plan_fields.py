"""The plan as lines that can be changed, and back again: pure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from trainer.core.breathing import OFFERED, Pattern
from trainer.core.exercises import LADDERS, Exercise, Family
from trainer.core.model import LONGEST_HOLD_S, EndOfHold
from trainer.core.plan import (
    LARGEST_STEP_S,
    LONGEST_REST_S,
    MOST_SETS,
    SHORTEST_TARGET_S,
    Grip,
    Order,
    Plan,
    PlanExercise,
)
from trainer.tui import words
from trainer.tui.widgets.field import Field

ORDER_WORDS = (
    (Order.IN_TURN.value, "one of each in turn"),
    (Order.HANG_FIRST.value, "all hangs first"),
    (Order.PRESS_FIRST.value, "all presses first"),
)
LONGEST_WARM_UP_S = 1800.0


def plan_lines(
    plan: Plan,
    *,
    hardest_press: str,
    in_force_s: Mapping[str, float] | None = None,
) -> list[Field]:
    """Give the plan's lines.

    Args:
        plan: the plan.
        hardest_press: up to which rung a press may be offered at all.
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
        _top_line(plan, Family.HANG, LADDERS[Family.HANG][-1]),
        _top_line(plan, Family.PRESS, hardest_press),
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
        choices=tuple((each, each) for each in choices),
    )


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
            hint="" if target_s is None else f"target now {words.seconds(target_s)}",
        ),
        _number(key("rest_s"), "Rest", entry.rest_s, 15, 0, LONGEST_REST_S),
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
        entries.append(_entry_of(entry, mine) if mine else entry)
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


def _entry_of(entry: PlanExercise, values: Mapping[str, str]) -> PlanExercise:
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
        raise ValueError(f"{entry.exercise}: {error}") from None


def ladder_lines(plan: Plan) -> list[str]:
    """Draw both ladders: easier to harder, what is planned, what may be offered."""
    planned = {entry.exercise for entry in plan.exercises}
    drawn = []
    for family, ladder in LADDERS.items():
        top = plan.top.get(family, ladder[-1])
        reach = ladder.index(top) if top in ladder else len(ladder) - 1
        rungs = []
        for at, rung in enumerate(ladder):
            word = rung.upper() if rung in planned else rung
            rungs.append(word if at <= reach else f"({word})")
        drawn.append(f"{family.value:<6} {' → '.join(rungs)}")
    return drawn

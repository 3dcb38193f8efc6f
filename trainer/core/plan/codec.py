"""A plan as plain values, for the data file and the export, and back."""

from __future__ import annotations

from typing import Any

from trainer.core.cues.breathing import Pattern
from trainer.core.exercises import Exercise, Family
from trainer.core.model import EndOfHold, Site
from trainer.core.plan.plan import Grip, Order, Plan, PlanExercise
from trainer.core.record import Record, RecordError
from trainer.core.text import clean


def plan_to_dict(plan: Plan) -> dict[str, Any]:
    """Give PLAN as plain values that JSON can hold."""
    return {
        "days": list(plan.days),
        "order": plan.order.value,
        "warm_up_s": plan.warm_up_s,
        "exercises": [_entry_to_dict(entry) for entry in plan.exercises],
        "top": {
            family.value: plan.top[family] for family in Family if family in plan.top
        },
        "own": [_exercise_to_dict(exercise) for exercise in plan.own],
    }


def plan_from_dict(value: object, where: str = "plan") -> Plan:
    """Read a plan that ``plan_to_dict`` gave.

    Raises:
        RecordError: something is missing or out of bounds; the text says where.
    """
    record = Record(value, where)
    top = record.record("top")
    try:
        return Plan(
            days=_days(record),
            order=record.choice("order", Order),
            warm_up_s=record.number("warm_up_s"),
            exercises=tuple(_entry(entry) for entry in record.records("exercises")),
            top={
                family: top.text(family.value)
                for family in Family
                if top.has(family.value)
            },
            own=tuple(_exercise(own) for own in record.records("own")),
        )
    except RecordError:
        raise
    except ValueError as error:
        raise RecordError(f"{where}: {error}") from None


def _days(record: Record) -> tuple[int, ...]:
    days = []
    for day in record.items("days"):
        if isinstance(day, bool) or not isinstance(day, int) or not 1 <= day <= 7:
            raise record.fault("days", f"has {day!r:.20}: 1 (Monday) to 7, please")
        days.append(day)
    return tuple(days)


def _entry_to_dict(entry: PlanExercise) -> dict[str, Any]:
    return {
        "exercise": entry.exercise,
        "sets": entry.sets,
        "start_s": entry.start_s,
        "rest_s": entry.rest_s,
        "step_s": entry.step_s,
        "cap_s": entry.cap_s,
        "floor_s": entry.floor_s,
        "end_of_hold": entry.end_of_hold.value,
        "in_s": entry.pattern.in_s,
        "out_s": entry.pattern.out_s,
        "grip": entry.grip.value if entry.grip else None,
        "cue": entry.cue,
    }


def _entry(record: Record) -> PlanExercise:
    try:
        return PlanExercise(
            exercise=record.text("exercise"),
            sets=record.integer("sets"),
            start_s=record.number("start_s"),
            rest_s=record.number("rest_s"),
            step_s=record.number("step_s"),
            cap_s=record.number("cap_s"),
            floor_s=record.number("floor_s"),
            end_of_hold=record.choice("end_of_hold", EndOfHold),
            pattern=Pattern(record.number("in_s"), record.number("out_s")),
            grip=record.maybe_choice("grip", Grip),
            cue=record.text("cue", ""),
        )
    except RecordError:
        raise
    except ValueError as error:
        raise RecordError(f"{record.where}: {error}") from None


def _exercise_to_dict(exercise: Exercise) -> dict[str, Any]:
    return {
        "id": exercise.id,
        "name": exercise.name,
        "family": exercise.family.value if exercise.family else None,
        "setup_s": exercise.setup_s,
        "go_up_lead_s": exercise.go_up_lead_s,
        "allowance_s": exercise.allowance_s,
        "come_out_s": exercise.come_out_s,
        "overhead": exercise.overhead,
        "upside_down": exercise.upside_down,
        "may_stay": exercise.may_stay,
        "loads": sorted(site.value for site in exercise.loads),
        "instructions": list(exercise.instructions),
        "position_lost": exercise.position_lost,
        "caution": exercise.caution,
    }


def _exercise(record: Record) -> Exercise:
    known = {site.value for site in Site}
    loads = record.items("loads")
    for site in loads:
        if site not in known:
            raise record.fault("loads", f"has {site!r:.40}, no known site")
    return Exercise(
        id=record.text("id"),
        name=record.text("name"),
        family=record.maybe_choice("family", Family),
        setup_s=record.number("setup_s"),
        go_up_lead_s=record.number("go_up_lead_s"),
        allowance_s=record.number("allowance_s"),
        come_out_s=record.number("come_out_s"),
        overhead=record.flag("overhead", default=True),
        upside_down=record.flag("upside_down", default=False),
        may_stay=record.flag("may_stay", default=True),
        loads=frozenset(Site(str(site)) for site in loads),
        instructions=tuple(clean(str(line)) for line in record.items("instructions")),
        position_lost=record.text("position_lost", ""),
        caution=record.text("caution", ""),
    )

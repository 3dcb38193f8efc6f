"""What a new plan would change, in plain lines: shown before it is taken. Pure."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

from trainer.core.exercises import Exercise, Family
from trainer.core.plan.plan import Plan, PlanExercise
from trainer.core.text import clean
from trainer.core.words import short_days

_WORDS = {
    "sets": "sets",
    "start_s": "start",
    "rest_s": "rest",
    "step_s": "step",
    "cap_s": "cap",
    "floor_s": "floor",
    "end_of_hold": "end of hold",
    "pattern": "breathing",
    "grip": "grip",
    "cue": "cue",
}
"""A plan's figure, and what it is called in a line."""


def plan_changes(
    old: Plan,
    new: Plan,
    *,
    old_targets: Mapping[str, float] | None = None,
    new_targets: Mapping[str, float] | None = None,
) -> tuple[str, ...]:
    """List what NEW changes against OLD, one line each; nothing for equal plans.

    Args:
        old: the plan in force.
        new: the plan that is offered.
        old_targets: the targets in force, by exercise.
        new_targets: the targets that come with the new plan, by exercise.
    """
    return (
        *_frame(old, new),
        *_entries(old, new),
        *_targets(old_targets or {}, new_targets or {}, new),
        *_own(old, new),
    )


def keeping_own(old: Plan, new: Plan) -> Plan:
    """Give NEW with OLD's own exercises that it lacks: the log may name them."""
    brought = {exercise.id for exercise in new.own}
    kept = tuple(exercise for exercise in old.own if exercise.id not in brought)
    return replace(new, own=(*new.own, *kept))


def taking_in(old: Plan, named: Sequence[PlanExercise]) -> tuple[PlanExercise, ...]:
    """Return OLD's lines with those that a file names, in the file's order.

    A line that isn't named keeps its place; what is new comes last. So a file that
    names one exercise changes that one alone, and one that names all orders them.
    """
    waiting = list(named)
    names = {entry.exercise for entry in named}
    lines = [
        waiting.pop(0) if entry.exercise in names else entry for entry in old.exercises
    ]
    return (*lines, *waiting)


def _frame(old: Plan, new: Plan) -> Iterator[str]:
    if old.coach != new.coach:
        yield f"coach: {_arrow(old.coach, new.coach, '')}"
    if old.note != new.note:
        yield f"note: {_shown(new.note)}"
    if old.days != new.days:
        yield f"days: {_days(old)} → {_days(new)}"
    if old.order is not new.order:
        yield f"order: {old.order} → {new.order}"
    if old.warm_up_s != new.warm_up_s:
        yield f"warm-up: {_arrow(old.warm_up_s, new.warm_up_s, 's')}"
    for family in Family:
        before, after = old.top.get(family), new.top.get(family)
        if before != after:
            was, now = (
                _name(plan, rung) for plan, rung in ((old, before), (new, after))
            )
            yield f"hardest {family}: {was} → {now}"
    order_before = [e.exercise for e in old.exercises if new.entry(e.exercise)]
    order_after = [e.exercise for e in new.exercises if old.entry(e.exercise)]
    if order_before != order_after:
        was, now = (
            ", ".join(_name(plan, each) for each in order)
            for plan, order in ((old, order_before), (new, order_after))
        )
        yield f"sequence: {was} → {now}"


def _name(plan: Plan, exercise_id: str | None) -> str:
    return "none" if exercise_id is None else plan.brief_name(exercise_id)


def _entries(old: Plan, new: Plan) -> Iterator[str]:
    for entry in new.exercises:
        before = old.entry(entry.exercise)
        if before is None:
            yield (
                f"{_name(new, entry.exercise)}: added,"
                f" {entry.sets} × {entry.start_s:g} s, rest {entry.rest_s:g} s"
            )
            continue
        yield from _figures(before, entry, _name(new, entry.exercise))
    for entry in old.exercises:
        if new.entry(entry.exercise) is None:
            yield f"{_name(old, entry.exercise)}: taken out of the plan"


def _figures(before: PlanExercise, after: PlanExercise, called: str) -> Iterator[str]:
    for name, word in _WORDS.items():
        was, now = getattr(before, name), getattr(after, name)
        if was != now:
            unit = "s" if name.endswith("_s") else ""
            yield f"{called}: {word} {_arrow(was, now, unit)}"


def _targets(
    old: Mapping[str, float], new: Mapping[str, float], plan: Plan
) -> Iterator[str]:
    for exercise, target_s in new.items():
        if old.get(exercise) != target_s:
            was = old.get(exercise, "none")
            entry = plan.entry(exercise)
            over = entry is not None and target_s > entry.cap_s
            past = f", over its cap, {entry.cap_s:g} s" if entry and over else ""
            called = _name(plan, exercise)
            yield f"{called}: target {_arrow(was, target_s, 's')}{past}"


def _own(old: Plan, new: Plan) -> Iterator[str]:
    before = {exercise.id: exercise for exercise in old.own}
    after = {exercise.id: exercise for exercise in new.own}
    for ident, exercise in after.items():
        if ident not in before:
            yield f"{clean(exercise.name)}: a new exercise, {ident} in commands"
        elif before[ident] != exercise:
            changed = ", ".join(_differing(before[ident], exercise))
            yield f"{_name(new, ident)}: the exercise itself changes ({changed})"
    for ident in before:
        if ident not in after:
            yield f"{_name(old, ident)}: the exercise itself is dropped"


def _differing(before: Exercise, after: Exercise) -> Iterator[str]:
    for name in Exercise.__slots__:
        if getattr(before, name) != getattr(after, name):
            yield name.removesuffix("_s").replace("_", " ")


def _days(plan: Plan) -> str:
    return short_days(plan.days, " ")


def _arrow(was: Any, now: Any, unit: str) -> str:
    """Write ``30 → 35 s``; an empty value is called none."""
    tail = f" {unit}" if unit else ""
    return f"{_shown(was)} → {_shown(now)}{tail}"


def _shown(value: Any) -> str:
    if value is None or value == "":
        return "none"
    return f"{value:g}" if isinstance(value, float) else clean(str(value))

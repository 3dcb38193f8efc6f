"""A plan as plain values, for the data file, the export and the plan file, and back.

A line of the plan and an own exercise are written and read field by field, from the
dataclasses themselves: a new field is kept everywhere or nowhere.
"""

from __future__ import annotations

from dataclasses import MISSING, fields
from enum import StrEnum
from functools import cache, partial
from typing import Any, get_args, get_origin, get_type_hints

from trainer.core.cues.breathing import Pattern
from trainer.core.exercises import Exercise, Family, bounds_of
from trainer.core.plan.plan import Order, Plan, PlanExercise
from trainer.core.record import KeyPath, Record, RecordError, in_words
from trainer.core.text import clean

LONGEST_LINE = 200
"""Characters of a name, a cue or an instruction in a plan file (our choice)."""


def plan_to_dict(plan: Plan) -> dict[str, Any]:
    """Return PLAN as plain values that JSON can hold."""
    return {
        "days": list(plan.days),
        "order": plan.order.value,
        "warm_up_s": plan.warm_up_s,
        "exercises": [plain_values(entry) for entry in plan.exercises],
        "top": {
            family.value: plan.top[family] for family in Family if family in plan.top
        },
        "own": [plain_values(exercise) for exercise in plan.own],
        # Not in plans that nobody signed, which stay as they were written.
        **({"coach": plan.coach} if plan.coach else {}),
        **({"note": plan.note} if plan.note else {}),
    }


def plain_values(value: PlanExercise | Exercise) -> dict[str, Any]:
    """Return each field as a plain value; a pattern as its two parts."""
    plain: dict[str, Any] = {}
    for each in fields(value):
        held = getattr(value, each.name)
        if isinstance(held, Pattern):
            plain["in_s"], plain["out_s"] = held.in_s, held.out_s
        elif isinstance(held, frozenset):
            plain[each.name] = sorted(str(item) for item in held)
        elif isinstance(held, tuple):
            plain[each.name] = list(held)
        else:
            plain[each.name] = held.value if isinstance(held, StrEnum) else held
    return plain


def plan_from_dict(value: object, path: KeyPath = ("plan",)) -> Plan:
    """Read a plan that ``plan_to_dict`` gave.

    Raises:
        RecordError: something is missing or out of bounds; the text says where.
    """
    record = Record.of(value, path)
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
            own=tuple(
                Exercise(**field_values(own, Exercise)) for own in record.records("own")
            ),
            coach=record.text("coach", ""),
            note=record.text("note", ""),
        )
    except RecordError:
        raise
    except ValueError as error:
        raise RecordError(f"{in_words(path)}: {error}") from None


def _days(record: Record) -> tuple[int, ...]:
    days = []
    for day in record.items("days"):
        if isinstance(day, bool) or not isinstance(day, int) or not 1 <= day <= 7:
            raise record.fault("days", f"has {day!r:.20}: 1 (Monday) to 7, please")
        days.append(day)
    return tuple(days)


def _entry(record: Record) -> PlanExercise:
    values = field_values(record, PlanExercise)
    try:
        pattern = Pattern(record.number("in_s"), record.number("out_s"))
        return PlanExercise(**values, pattern=pattern)
    except RecordError:
        raise
    except ValueError as error:
        raise RecordError(f"{record.where}: {error}") from None


def field_values(
    record: Record,
    kind: type[Any],
    usual: PlanExercise | Exercise | None = None,
) -> dict[str, Any]:
    """Return what RECORD says of each field of KIND but a pattern, by their types.

    With USUAL, what is missing is as there, figures keep to their bounds and texts to
    one line. Without it the record is one of our own: figures and words have to be
    there; texts, lists, flags and what may be None needn't, for documents of before
    don't have them all.
    """
    strict = usual is not None
    bounds = bounds_of(kind) if strict else {}
    values: dict[str, Any] = {}
    for name, (hint, default) in _FIELDS[kind].items():
        if strict:
            default = getattr(usual, name)
        read = partial(_field, record, name, hint, default, strict=strict)
        values[name] = record.attempt(partial(read, bounds.get(name, ())), default)
    return values


def _field(
    record: Record,
    name: str,
    hint: Any,
    default: Any,
    bounds: tuple[float, ...],
    *,
    strict: bool,
) -> Any:
    """Return what RECORD says of one field, by its type."""
    longest = LONGEST_LINE if strict else None
    within = dict(zip(("low", "high"), bounds, strict=False))
    if hint is str:
        return record.text(name, default, longest=longest)
    if hint is bool:
        return record.flag(name, default=default)
    if hint is int:
        return record.integer(name, default if strict else None, **within)
    if hint is float:
        return record.number(name, default if strict else None, **within)
    if get_origin(hint) is tuple:
        lines = record.texts(name, default)
        return tuple(clean(line, limit=longest or 2000) for line in lines)
    if get_origin(hint) is frozenset:
        (word,) = get_args(hint)
        given = record.has(name) or not strict
        return record.choices(name, word) if given else default
    if isinstance(hint, type):
        return record.choice(name, hint, default if strict else None)
    word = next(part for part in get_args(hint) if part is not type(None))
    said = record.maybe_choice(name, word)
    return default if said is None and strict else said


@cache
def _fields_of(
    kind: type[Any],
) -> dict[str, tuple[Any, Any]]:
    """Return each field but a pattern: its type, and its default or None."""
    hints = get_type_hints(kind)
    return {
        each.name: (
            hints[each.name],
            None if each.default is MISSING else each.default,
        )
        for each in fields(kind)
        if hints[each.name] is not Pattern
    }


_FIELDS = {kind: _fields_of(kind) for kind in (PlanExercise, Exercise)}

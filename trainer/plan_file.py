"""A plan as a TOML file that a coach can write and send, and back.

Errors name the file, the line, the key and the nearest valid key. A plan file is read
whole or not at all; taking it is somebody else's step, after its difference was shown
(``core.plan.changes``).
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from enum import StrEnum
from pathlib import Path
from typing import Any

from trainer.core.cues.breathing import Pattern
from trainer.core.exercises import BUILT_IN, LADDERS, Exercise, Family
from trainer.core.model import EndOfHold, Site
from trainer.core.plan.codec import field_values
from trainer.core.plan.plan import (
    IN_ORDER,
    TARGET_BOUNDS_S,
    Order,
    Plan,
    PlanExercise,
    default_entry,
    order_fault,
)
from trainer.core.record import Record
from trainer.core.words import SHORT_DAY_NAMES
from trainer.errors import ConfigError
from trainer.settings.settings import write_atomically
from trainer.settings.toml import TomlFile, read

LARGEST_BYTES = 1_000_000
"""A plan file above this is refused (our choice)."""
DAYS = tuple(name.lower() for name in SHORT_DAY_NAMES)
LONGEST_WARM_UP_S = 1800.0
MOST_EXERCISES = 40

_TOP = ("days", "order", "warm_up_s", "top", "exercise", "own")
_ENTRY = (*(each.name for each in fields(PlanExercise)), "target_s")
_ENTRY_KEYS = tuple("id" if name == "exercise" else name for name in _ENTRY)
_OWN_KEYS = tuple(each.name for each in fields(Exercise))


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanFile:
    """What a plan file says."""

    plan: Plan
    targets: Mapping[str, float] = field(default_factory=dict)
    """Exercise to the target that whoever wrote the file sets from now on."""


def read_plan_file(path: Path) -> PlanFile:
    """Read a plan file.

    Raises:
        ConfigError: it can't be read, or says something that can't be used.
    """
    return plan_from(read(path, largest_bytes=LARGEST_BYTES))


def plan_from(file: TomlFile) -> PlanFile:
    """Turn a file's values into a plan.

    Raises:
        ConfigError: an unknown key, or a value that can't be used.
    """
    top = file.record()
    top.refuse_unknown(_TOP)
    default = Plan()
    own = tuple(_own(table) for table in top.records("own", most=MOST_EXERCISES))
    _refuse_twice(top, "own", [exercise.id for exercise in own])
    known = (*BUILT_IN, *(exercise.id for exercise in own))
    entries, targets = [], {}
    for table in top.records("exercise", most=MOST_EXERCISES):
        entry = _entry(table, known)
        entries.append(entry)
        if table.has("target_s"):
            low_s, high_s = TARGET_BOUNDS_S
            targets[entry.exercise] = table.number("target_s", low=low_s, high=high_s)
    _refuse_twice(top, "exercise", [entry.exercise for entry in entries])
    if not entries:
        raise file.fault((), ": the plan has no exercise", "Add one: [[exercise]]")
    _refuse_stay(file, entries, own)
    plan = Plan(
        days=_days(top) if top.has("days") else default.days,
        order=top.choice("order", Order, default.order),
        warm_up_s=top.number(
            "warm_up_s", default.warm_up_s, low=0, high=LONGEST_WARM_UP_S
        ),
        exercises=tuple(entries),
        top=_hardest(top, default.top),
        own=own,
    )
    return PlanFile(plan=plan, targets=targets)


def _days(top: Record) -> tuple[int, ...]:
    numbers = []
    for word in top.texts("days"):
        key = word.strip().lower()[:3]
        if key not in DAYS:
            raise top.no_such_word("days", word, DAYS, kind="a weekday")
        numbers.append(DAYS.index(key) + 1)
    if not numbers:
        raise top.fault("days", "the plan has no day", 'Such as ["mon", "wed", "fri"]')
    return tuple(sorted(set(numbers)))


def _hardest(top: Record, default: Mapping[Family, str]) -> Mapping[Family, str]:
    if not top.has("top"):
        return default
    table = top.record("top")
    table.refuse_unknown(tuple(Family))
    return {
        family: table.one_of(family, LADDERS[family], default[family])
        for family in Family
    }


def _entry(table: Record, known: tuple[str, ...]) -> PlanExercise:
    table.refuse_unknown(_ENTRY_KEYS)
    usual = default_entry(table.one_of("id", known))
    values = field_values(table, PlanExercise, usual)
    if table.has("pattern"):
        values["pattern"] = table.made("pattern", Pattern.parse)
    for lower, upper in IN_ORDER:
        said = order_fault(lower, values[lower], upper, values[upper])
        if said:
            raise table.fault(lower if table.has(lower) else upper, said)
    return PlanExercise(**values)


def _own(table: Record) -> Exercise:
    table.refuse_unknown(_OWN_KEYS)
    ident = table.text("id", longest=40)
    if not ident.replace("-", "").isalnum() or ident != ident.lower():
        raise table.fault("id", "lower-case letters, figures and hyphens, please")
    if ident in BUILT_IN:
        raise table.fault("id", f"{ident} is built in", "Choose another id")
    family = table.maybe_choice("family", Family)
    usual = Exercise(
        id=ident,
        name=ident,
        family=family,
        setup_s=10.0,
        go_up_lead_s=3.0,
        allowance_s=3.0,
        loads=_usual_loads(family),
    )
    own = Exercise(**field_values(table, Exercise, usual))
    if own.go_up_lead_s > own.setup_s:
        said = f"it is longer than the set-up, {own.setup_s:g}"
        raise table.fault("go_up_lead_s", said)
    return own


def _usual_loads(family: Family | None) -> frozenset[Site]:
    """Return what its family loads, or every site to be safe."""
    if family is None:
        return frozenset(Site)
    return BUILT_IN[LADDERS[family][-1]].loads


def _refuse_stay(
    file: TomlFile, entries: list[PlanExercise], own: tuple[Exercise, ...]
) -> None:
    by_id = {**BUILT_IN, **{exercise.id: exercise for exercise in own}}
    for index, entry in enumerate(entries):
        stays = entry.end_of_hold is EndOfHold.STAY
        if stays and not by_id[entry.exercise].may_stay:
            raise file.fault(
                ("exercise", index, "end_of_hold"),
                f"{entry.exercise} may not go on past its target",
                'Write "stop"',
            )


def _refuse_twice(top: Record, name: str, ids: list[str]) -> None:
    for index, ident in enumerate(ids):
        if ident in ids[:index]:
            raise top.source.fault((name, index, "id"), f"{ident} is there twice")


def plan_text(content: PlanFile) -> str:
    """Write a plan file's text: complete, with a few words for whoever edits it."""
    import tomlkit

    plan = content.plan
    document = tomlkit.document()
    document.add(tomlkit.comment("A plan for the hold trainer. Times are in seconds."))
    document.add(tomlkit.comment("See what it would change: trainer plan use FILE"))
    document.add("days", [DAYS[day - 1] for day in plan.days])
    document.add("order", plan.order.value)
    document["order"].comment(", ".join(Order))
    document.add("warm_up_s", _number(plan.warm_up_s))
    top = tomlkit.table()
    top.comment("the hardest that may be offered")
    for family in Family:
        if family in plan.top:
            top.add(family.value, plan.top[family])
    document.add("top", top)
    exercises = tomlkit.aot()
    for entry in plan.exercises:
        exercises.append(_entry_table(entry, content.targets.get(entry.exercise)))
    document.add("exercise", exercises)
    if plan.own:
        own = tomlkit.aot()
        for exercise in plan.own:
            own.append(_own_table(exercise))
        document.add("own", own)
    return tomlkit.dumps(document)


def _entry_table(entry: PlanExercise, target_s: float | None) -> Any:
    import tomlkit

    table = tomlkit.table()
    table.add("id", entry.exercise)
    if target_s is not None:
        table.add("target_s", _number(target_s))
        table["target_s"].comment("in force from now on; leave it out to change none")
    for each in fields(PlanExercise)[1:]:
        value = getattr(entry, each.name)
        if value is None or value == "":
            continue
        table.add(each.name, _toml(value))
    return table


def _own_table(exercise: Exercise) -> Any:
    import tomlkit

    table = tomlkit.table()
    for each in fields(Exercise):
        value = getattr(exercise, each.name)
        if value is None or value == "":
            continue
        if each.name == "loads":
            value = sorted(value)
        table.add(each.name, _toml(value))
    return table


def _toml(value: Any) -> Any:
    if isinstance(value, StrEnum):
        return value.value
    if isinstance(value, Pattern):
        return str(value)
    if isinstance(value, list | tuple):
        return [str(item) for item in value]
    if isinstance(value, bool | int | str):
        return value
    return _number(value)


def _number(value: float) -> float | int:
    """Give whole seconds without a point."""
    return int(value) if float(value).is_integer() else value


def write_plan_file(path: Path, content: PlanFile, *, replace: bool) -> None:
    """Write a plan file.

    Raises:
        ConfigError: there is one already and REPLACE is off, or it can't be written.
    """
    if os.path.lexists(path) and not replace:
        raise ConfigError(f"{path} is there already", "Add --yes to replace it")
    write_atomically(path, plan_text(content))

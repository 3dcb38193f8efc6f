"""A plan as a TOML file that a coach can write and send, and back.

Errors name the file, the line, the key and the nearest valid key. A plan file is read
whole or not at all; taking it is somebody else's step, after its difference was shown
(``planchanges``).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from pathlib import Path
from typing import Any

from trainer.core.breathing import Pattern
from trainer.core.exercises import BUILT_IN, LADDERS, Exercise, Family
from trainer.core.model import LONGEST_HOLD_S, EndOfHold, Site
from trainer.core.plan import (
    IN_ORDER,
    LARGEST_STEP_S,
    LONGEST_REST_S,
    MOST_SETS,
    SHORTEST_TARGET_S,
    Grip,
    Order,
    Plan,
    PlanExercise,
    default_entry,
    order_fault,
)
from trainer.core.text import clean
from trainer.planfields import Fields
from trainer.tomllines import TomlFile, read

LARGEST_BYTES = 1_000_000
"""A plan file above this is refused (our choice)."""
DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
LONGEST_WARM_UP_S = 1800.0
LONGEST_PART_S = 120.0
"""Set-up, go-up lead, allowance and come-out of an own exercise (our choice)."""
SMALLEST_STEP_S = 0.5
MOST_EXERCISES = 40
LONGEST_LINE = 200
"""Characters of a name, a cue or an instruction (our choice)."""

_BOUNDS = {
    "start_s": (SHORTEST_TARGET_S, LONGEST_HOLD_S),
    "rest_s": (0.0, LONGEST_REST_S),
    "step_s": (SMALLEST_STEP_S, LARGEST_STEP_S),
    "cap_s": (SHORTEST_TARGET_S, LONGEST_HOLD_S),
    "floor_s": (SHORTEST_TARGET_S, LONGEST_HOLD_S),
}
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
    top = Fields(file, (), file.values)
    top.refuse_unknown(_TOP)
    default = Plan()
    own = tuple(_own(table) for table in top.tables("own", most=MOST_EXERCISES))
    _refuse_twice(top, "own", [exercise.id for exercise in own])
    known = (*BUILT_IN, *(exercise.id for exercise in own))
    entries, targets = [], {}
    for table in top.tables("exercise", most=MOST_EXERCISES):
        entry = _entry(table, known)
        entries.append(entry)
        if table.has("target_s"):
            targets[entry.exercise] = table.number(
                "target_s", SHORTEST_TARGET_S, LONGEST_HOLD_S
            )
    _refuse_twice(top, "exercise", [entry.exercise for entry in entries])
    if not entries:
        raise file.fault((), ": the plan has no exercise", "Add one: [[exercise]]")
    _refuse_stay(top, entries, own)
    plan = Plan(
        days=_days(top) if top.has("days") else default.days,
        order=top.choice("order", Order, default.order),
        warm_up_s=top.number("warm_up_s", 0, LONGEST_WARM_UP_S, default.warm_up_s),
        exercises=tuple(entries),
        top=_hardest(top, default.top),
        own=own,
    )
    return PlanFile(plan=plan, targets=targets)


def _days(top: Fields) -> tuple[int, ...]:
    numbers = []
    for word in top.words("days"):
        key = word.strip().lower()[:3]
        if key not in DAYS:
            raise top.unknown("days", word, DAYS, "a weekday")
        numbers.append(DAYS.index(key) + 1)
    if not numbers:
        raise top.fault("days", "the plan has no day", 'Such as ["mon", "wed", "fri"]')
    return tuple(sorted(set(numbers)))


def _hardest(top: Fields, default: Mapping[Family, str]) -> Mapping[Family, str]:
    if not top.has("top"):
        return default
    table = top.table("top")
    table.refuse_unknown(tuple(Family))
    return {
        family: table.one_of(family, LADDERS[family], default[family])
        for family in Family
    }


def _entry(table: Fields, known: tuple[str, ...]) -> PlanExercise:
    table.refuse_unknown(_ENTRY_KEYS)
    exercise = table.one_of("id", known)
    default = default_entry(exercise)
    values: dict[str, Any] = {"exercise": exercise}
    for name, (low, high) in _BOUNDS.items():
        values[name] = table.number(name, low, high, getattr(default, name))
    values["sets"] = table.whole("sets", 1, MOST_SETS, default.sets)
    values["end_of_hold"] = table.choice("end_of_hold", EndOfHold, default.end_of_hold)
    if table.has("grip"):
        values["grip"] = table.choice("grip", Grip, Grip.FLOOR)
    values["cue"] = clean(table.text("cue", "", longest=LONGEST_LINE))
    if table.has("pattern"):
        values["pattern"] = table.made("pattern", Pattern.parse)
    for lower, upper in IN_ORDER:
        said = order_fault(lower, values[lower], upper, values[upper])
        if said:
            raise table.fault(lower if table.has(lower) else upper, said)
    return PlanExercise(**values)


def _own(table: Fields) -> Exercise:
    table.refuse_unknown(_OWN_KEYS)
    ident = table.text("id", longest=40)
    if not ident.replace("-", "").isalnum() or ident != ident.lower():
        raise table.fault("id", "lower-case letters, figures and hyphens, please")
    if ident in BUILT_IN:
        raise table.fault("id", f"{ident} is built in", "Choose another id")
    family = table.choice("family", Family, None) if table.has("family") else None
    lead_s = table.number("go_up_lead_s", 0, LONGEST_PART_S, 3.0)
    setup_s = table.number("setup_s", 4, LONGEST_PART_S, 10.0)
    if lead_s > setup_s:
        raise table.fault("go_up_lead_s", f"it is longer than the set-up, {setup_s:g}")
    return Exercise(
        id=ident,
        name=clean(table.text("name", ident, longest=LONGEST_LINE)),
        family=family,
        setup_s=setup_s,
        go_up_lead_s=lead_s,
        allowance_s=table.number("allowance_s", 0, LONGEST_PART_S, 3.0),
        come_out_s=table.number("come_out_s", 0, LONGEST_PART_S, 4.0),
        overhead=table.flag("overhead", True),
        upside_down=table.flag("upside_down", False),
        may_stay=table.flag("may_stay", True),
        loads=_loads(table, family),
        instructions=tuple(
            clean(line, limit=LONGEST_LINE) for line in table.words("instructions", ())
        ),
        position_lost=clean(table.text("position_lost", "", longest=LONGEST_LINE)),
        caution=clean(table.text("caution", "", longest=LONGEST_LINE)),
    )


def _loads(table: Fields, family: Family | None) -> frozenset[Site]:
    """Give what it loads; unsaid, what its family loads, or every site to be safe."""
    if not table.has("loads"):
        if family is None:
            return frozenset(Site)
        return BUILT_IN[LADDERS[family][-1]].loads
    sites = set()
    for word in table.words("loads"):
        if word not in tuple(Site):
            raise table.unknown("loads", word, tuple(Site), "a site")
        sites.add(Site(word))
    return frozenset(sites)


def _refuse_stay(
    top: Fields, entries: list[PlanExercise], own: tuple[Exercise, ...]
) -> None:
    by_id = {**BUILT_IN, **{exercise.id: exercise for exercise in own}}
    for index, entry in enumerate(entries):
        stays = entry.end_of_hold is EndOfHold.STAY
        if stays and not by_id[entry.exercise].may_stay:
            raise top.file.fault(
                ("exercise", index, "end_of_hold"),
                f"{entry.exercise} may not go on past its target",
                'Write "stop"',
            )


def _refuse_twice(top: Fields, name: str, ids: list[str]) -> None:
    for index, ident in enumerate(ids):
        if ident in ids[:index]:
            raise top.file.fault((name, index, "id"), f"{ident} is there twice")

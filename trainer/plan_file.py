"""A plan as a TOML file that a coach can write and send, and back.

Errors name the file, the line, the key and what would be right, all of them at once. A
plan file is read whole or not at all, and what it doesn't name stays as it was; taking
it is somebody else's step, after its difference was shown (``core.plan.changes``).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, fields
from enum import StrEnum
from pathlib import Path
from typing import Any, TypeVar

from trainer.core.cues.breathing import Pattern
from trainer.core.exercises import BUILT_IN, LADDERS, Exercise, Family
from trainer.core.model import EndOfHold, Site
from trainer.core.plan.changes import taking_in
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
from trainer.core.text import NOTE_LIMIT, clean
from trainer.core.weeks import IsoWeek
from trainer.core.words import SHORT_DAY_NAMES
from trainer.errors import ConfigError
from trainer.settings.toml import TomlFile, read

Read = TypeVar("Read")

LARGEST_BYTES = 1_000_000
"""A plan file above this is refused (our choice)."""
DAYS = tuple(name.lower() for name in SHORT_DAY_NAMES)
LONGEST_WARM_UP_S = 1800.0
MOST_EXERCISES = 40

LONGEST_COACH = 60
"""Characters of a coach's name (our choice)."""
MOST_REST_WEEKS = 52

_TOP = (
    "coach",
    "note",
    "first_week",
    "rest_weeks",
    "days",
    "order",
    "warm_up_s",
    "top",
    "exercise",
    "take_out",
    "own",
)
_ENTRY = (*(each.name for each in fields(PlanExercise)), "target_s")
_ENTRY_KEYS = tuple("id" if name == "exercise" else name for name in _ENTRY)
_OWN_KEYS = tuple(each.name for each in fields(Exercise))


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanFile:
    """What a plan file says."""

    plan: Plan
    targets: Mapping[str, float] = field(default_factory=dict)
    """Exercise to the target that whoever wrote the file sets from now on."""
    rest_weeks: frozenset[IsoWeek] = frozenset()
    """Weeks off that are meant."""
    first_week: IsoWeek | None = None
    """The week from which the plan counts; None: from the day it is taken."""


def read_plan_file(path: Path, usual: Plan | None = None) -> PlanFile:
    """Read a plan file (- for stdin); what it doesn't name is as in the plan USUAL.

    Raises:
        ConfigError: it can't be read, or says something that can't be used.
    """
    return plan_from(read(path, largest_bytes=LARGEST_BYTES), usual)


def plan_from(file: TomlFile, usual: Plan | None = None) -> PlanFile:
    """Turn a file's values into a plan; what they don't name is as in USUAL.

    Raises:
        ConfigError: an unknown key, or a value that can't be used: all there are.
    """
    top = file.record()
    top.refuse_unknown(_TOP)
    base = Plan() if usual is None else usual
    own = tuple(_read_each(top, "own", lambda table: _own(table, base)))
    _refuse_twice(top, "own", [exercise.id for exercise in own])
    brought = {exercise.id for exercise in own}
    own = (*own, *(each for each in base.own if each.id not in brought))
    known = (*BUILT_IN, *(exercise.id for exercise in own))
    tables: list[tuple[PlanExercise, float | None]] = list(
        _read_each(top, "exercise", lambda table: _line(table, known, base))
    )
    named = [entry for entry, _ in tables]
    _refuse_twice(top, "exercise", [entry.exercise for entry in named])
    _refuse_stay(top, named, own)
    attempt = top.attempt
    first_week = attempt(lambda: _first_week(top), None)
    targets = {entry.exercise: each for entry, each in tables if each is not None}
    if first_week is not None and targets:
        top.refuse(
            top.fault(
                "first_week",
                "a target counts at once and can't wait for a week",
                "Leave first_week out, or target_s",
            )
        )
    none_gone: frozenset[str] = frozenset()
    gone = attempt(lambda: _taken_out(top, base, named), none_gone)
    lines = [e for e in taking_in(base, named) if e.exercise not in gone]
    if not lines:
        error = file.fault((), ": the plan has no exercise", "Add one: [[exercise]]")
        top.refuse(error)
    coach = attempt(lambda: top.text("coach", base.coach, longest=LONGEST_COACH), "")
    note = attempt(lambda: top.text("note", base.note, longest=NOTE_LIMIT), "")
    plan_values: dict[str, Any] = {
        "coach": coach,
        "note": note,
        "days": attempt(lambda: _days(top, base.days), base.days),
        "order": attempt(lambda: top.choice("order", Order, base.order), base.order),
        "warm_up_s": attempt(
            lambda: top.number(
                "warm_up_s", base.warm_up_s, low=0, high=LONGEST_WARM_UP_S
            ),
            base.warm_up_s,
        ),
        "exercises": tuple(lines),
        "top": attempt(lambda: _hardest(top, base.top), base.top),
        "own": own,
    }
    no_weeks: frozenset[IsoWeek] = frozenset()
    rest_weeks = attempt(lambda: _rest_weeks(top), no_weeks)
    file.settle()
    return PlanFile(
        plan=Plan(**plan_values),
        targets=targets,
        rest_weeks=rest_weeks,
        first_week=first_week,
    )


def _read_each(
    top: Record, name: str, read: Callable[[Record], Read]
) -> Iterator[Read]:
    """Yield what READ makes of each table of a list, but of those at fault."""
    none: list[Record] = []
    tables = top.attempt(lambda: list(top.records(name, most=MOST_EXERCISES)), none)
    for table in tables:
        try:
            yield read(table)
        except ConfigError as error:
            table.refuse(error)


def _days(top: Record, usual: tuple[int, ...]) -> tuple[int, ...]:
    if not top.has("days"):
        return usual
    numbers = []
    for word in top.texts("days"):
        key = word.strip().lower()[:3]
        if key not in DAYS:
            top.refuse(top.no_such_word("days", word, DAYS, kind="a weekday"))
            continue
        numbers.append(DAYS.index(key) + 1)
    if not top.texts("days"):
        raise top.fault("days", "the plan has no day", 'Such as ["mon", "wed", "fri"]')
    return tuple(sorted(set(numbers)))


def _weeks(top: Record, key: str, texts: Sequence[str]) -> Iterator[IsoWeek]:
    for text in texts:
        try:
            week = IsoWeek.parse(text)
        except ValueError:
            said = f"{clean(text, limit=40)!r} is no week"
            top.refuse(top.fault(key, said, "Write it as in 2026-W09"))
            continue
        top.check_year(key, week.year)
        yield week


def _first_week(top: Record) -> IsoWeek | None:
    if not top.has("first_week"):
        return None
    return next(_weeks(top, "first_week", [top.text("first_week")]), None)


def _rest_weeks(top: Record) -> frozenset[IsoWeek]:
    texts = top.texts("rest_weeks", ())
    if len(texts) > MOST_REST_WEEKS:
        said = f"{len(texts)} of them; {MOST_REST_WEEKS} at most"
        raise top.fault("rest_weeks", said)
    return frozenset(_weeks(top, "rest_weeks", texts))


def _taken_out(
    top: Record, base: Plan, named: Sequence[PlanExercise]
) -> frozenset[str]:
    """Return the exercises that leave the plan: those in it, and not named as well."""
    planned = [entry.exercise for entry in base.exercises]
    for ident in top.texts("take_out", ()):
        if any(entry.exercise == ident for entry in named):
            said = f"{clean(ident, limit=40)} is put in and taken out"
            top.refuse(top.fault("take_out", said, "Leave it in one place only"))
        elif ident not in planned:
            error = top.no_such_word("take_out", ident, planned, kind="in the plan")
            top.refuse(error)
    return frozenset(top.texts("take_out", ()))


def _hardest(top: Record, default: Mapping[Family, str]) -> Mapping[Family, str]:
    if not top.has("top"):
        return default
    table = top.record("top")
    table.refuse_unknown(tuple(Family))
    return {
        family: _rung(table, family, default)
        for family in Family
        if table.has(family) or family in default
    }


def _rung(table: Record, family: Family, default: Mapping[Family, str]) -> str:
    usual = default.get(family, LADDERS[family][0])
    return table.attempt(lambda: table.one_of(family, LADDERS[family], usual), usual)


def _line(
    table: Record, known: tuple[str, ...], base: Plan
) -> tuple[PlanExercise, float | None]:
    """Read a line of the plan, and the target that comes with it."""
    table.refuse_unknown(_ENTRY_KEYS)
    unknown = None
    try:
        ident = table.one_of("id", known)
    except ConfigError as error:
        # The figures beside it are looked at all the same, by any exercise's bounds.
        ident, unknown = known[0], error
    usual = base.entry(ident) or default_entry(ident)
    values = field_values(table, PlanExercise, usual)
    values["pattern"] = usual.pattern
    if table.has("pattern"):
        values["pattern"] = table.attempt(
            lambda: table.made("pattern", Pattern.parse), usual.pattern
        )
    low_s, high_s = TARGET_BOUNDS_S
    target_s = table.attempt(
        lambda: table.maybe_number("target_s", low=low_s, high=high_s), None
    )
    if unknown is not None:
        raise unknown
    for lower, upper in IN_ORDER:
        said = order_fault(lower, values[lower], upper, values[upper])
        if said:
            raise table.fault(lower if table.has(lower) else upper, said)
    return PlanExercise(**values), target_s


def _own(table: Record, base: Plan) -> Exercise:
    table.refuse_unknown(_OWN_KEYS)
    ident = table.text("id", longest=40)
    if not ident.replace("-", "").isalnum() or ident != ident.lower():
        raise table.fault("id", "lower-case letters, figures and hyphens, please")
    if ident in BUILT_IN:
        raise table.fault("id", f"{ident} is built in", "Choose another id")
    before = next((each for each in base.own if each.id == ident), None)
    family = table.maybe_choice("family", Family)
    usual = before or Exercise(
        id=ident,
        name=ident,
        family=family,
        setup_s=10.0,
        go_up_lead_s=3.0,
        allowance_s=3.0,
        loads=_usual_loads(family),
    )
    values = field_values(table, Exercise, usual)
    if values["go_up_lead_s"] > values["setup_s"]:
        said = f"it is longer than the set-up, {values['setup_s']:g}"
        raise table.fault("go_up_lead_s", said)
    return Exercise(**values)


def _usual_loads(family: Family | None) -> frozenset[Site]:
    """Return what its family loads, or every site to be safe."""
    if family is None:
        return frozenset(Site)
    return BUILT_IN[LADDERS[family][-1]].loads


def _refuse_stay(
    top: Record, entries: Sequence[PlanExercise], own: tuple[Exercise, ...]
) -> None:
    by_id = {**BUILT_IN, **{exercise.id: exercise for exercise in own}}
    for index, value in enumerate(top.items("exercise")):
        ident = value.get("id") if isinstance(value, Mapping) else None
        entry = next((each for each in entries if each.exercise == ident), None)
        if entry is None or entry.end_of_hold is not EndOfHold.STAY:
            continue
        if not by_id[entry.exercise].may_stay:
            top.refuse(
                top.source.fault(
                    ("exercise", index, "end_of_hold"),
                    f"{entry.exercise} may not go on past its target",
                    'Write "stop"',
                )
            )


def _refuse_twice(top: Record, name: str, ids: Sequence[str]) -> None:
    for index, ident in enumerate(ids):
        if ident in ids[:index]:
            path = (name, index, "id")
            top.refuse(top.source.fault(path, f"{ident} is there twice"))


TEMPLATE = """\
# A plan for the hold trainer, to begin from. Take the "# " away from the lines that you
# want, and change them. What a plan file doesn't name stays as it is in the trainee's
# plan. Times are in seconds; a text stands in straight quotes.
#
# The trainee sees what it would change, and takes it or leaves it:
#     trainer plan use FILE

# coach = "Your name"
# note = "A sentence or two for the trainee."

# first_week = "2026-W50"              # from this week on; not together with target_s
# rest_weeks = ["2026-W52"]            # weeks off that are meant
# days = ["mon", "wed", "fri"]
# order = "in-turn"                    # in-turn, hang-first, press-first
# warm_up_s = 240

# take_out = ["press-pushup"]          # out of the plan; the log keeps it

# The hardest that may be offered, by family. What the trainee answered on the first day
# holds back more than this.
# [top]
# hang = "hang"                        # hang-supported, hang
# press = "press-pike"                 # press-pushup, press-pike, press-wall

# One table for each exercise that you change or put in.
# [[exercise]]
# id = "hang"
# target_s = 25                        # in force from now on; leave it out to keep it
# sets = 3
# start_s = 20                         # the first target of somebody new to it
# rest_s = 60                          # at least twice the target is taken
# step_s = 5                           # what a clean week adds
# cap_s = 60                           # no step goes past it
# floor_s = 10                         # nothing goes under it
# end_of_hold = "stop"                 # stop, or stay: count on past the target
# pattern = "4:6"                      # breath in : out
# grip = "floor"                       # floor, fists, handles, wedge
# cue = "Ribs down."                   # shown and heard of first in the hold

# An exercise of your own; it needs an [[exercise]] with its id as well.
# [[own]]
# id = "doorway"
# name = "Doorway lean"
# family = "hang"                      # hang or press; leave it out for neither
# setup_s = 10                         # to get in place before a hold
# go_up_lead_s = 3                     # "go up" is said so long before the hold
# allowance_s = 2                      # from letting go to reaching a key
# come_out_s = 4
# overhead = false                     # whether its time counts as overhead
# upside_down = false
# may_stay = true
# loads = ["pecs", "front-shoulder"]   # pain there holds it back
# instructions = ["Lean in.", "Breathe out, ribs down."]
"""
"""What ``trainer plan save --template`` writes."""


def plan_text(content: PlanFile) -> str:
    """Write a plan file's text: complete, with a few words for whoever edits it."""
    import tomlkit

    plan = content.plan
    document = tomlkit.document()
    document.add(tomlkit.comment("A plan for the hold trainer. Times are in seconds."))
    document.add(tomlkit.comment("See what it would change: trainer plan use FILE"))
    if plan.coach:
        document.add("coach", plan.coach)
    if plan.note:
        document.add("note", plan.note)
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

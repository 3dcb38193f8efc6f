"""A plan as a TOML file that a coach can write and send, and back.

Errors name the file, the line, the key and the nearest valid key. A plan file is read
whole or not at all; taking it is somebody else's step, after its difference was shown
(``planchanges``).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, fields
from enum import StrEnum
from pathlib import Path
from typing import Any, Final, TypeVar

from trainer.core.cues.breathing import Pattern
from trainer.core.exercises import BUILT_IN, LADDERS, Exercise, Family
from trainer.core.model import LONGEST_HOLD_S, EndOfHold, Site
from trainer.core.plan.plan import (
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
from trainer.core.text import clean, did_you_mean
from trainer.errors import ConfigError
from trainer.settings.settings import write_atomically
from trainer.settings.toml import KeyPath, TomlFile, read

# One table of a plan file, read key by key with errors that say where.

Word = TypeVar("Word", bound=StrEnum)
Made = TypeVar("Made")


class _Needed:
    """Stands for "there is no default"."""


NEEDED: Final = _Needed()


@dataclass(frozen=True, slots=True)
class Fields:
    """One table, and where in the file it stands."""

    file: TomlFile
    path: KeyPath
    values: Mapping[str, Any]

    def has(self, name: str) -> bool:
        """Tell whether the key is there."""
        return name in self.values

    def fault(self, name: str, what: str, hint: str = "") -> ConfigError:
        """Give the error about one key."""
        return self.file.fault((*self.path, name), what, hint)

    def unknown(
        self, name: str, word: object, valid: Iterable[str], what: str
    ) -> ConfigError:
        """Give the error about a word that isn't valid, with the nearest that is."""
        said = clean(str(word), limit=40)
        return self.fault(name, f"{said!r} is not {what}", did_you_mean(said, valid))

    def refuse_unknown(self, known: Sequence[str]) -> None:
        """Refuse a key that there isn't."""
        for name in self.values:
            if name not in known:
                raise self.fault(
                    name, "there is no such key", did_you_mean(name, known)
                )

    def table(self, name: str) -> Fields:
        """Give the table under a key."""
        value = self.values[name]
        if not isinstance(value, Mapping):
            raise self.fault(name, "it is a table", f"Write it as [{name}]")
        return Fields(self.file, (*self.path, name), value)

    def tables(self, name: str, *, most: int) -> list[Fields]:
        """Give the tables of an array; none is an empty list."""
        value = self.values.get(name, [])
        if not isinstance(value, list) or not all(
            isinstance(item, Mapping) for item in value
        ):
            raise self.fault(name, "it is a list of tables", f"Write it as [[{name}]]")
        if len(value) > most:
            raise self.fault(name, f"{len(value)} of them; {most} at most")
        return [
            Fields(self.file, (*self.path, name, index), item)
            for index, item in enumerate(value)
        ]

    def number(
        self, name: str, low: float, high: float, default: float | _Needed = NEEDED
    ) -> float:
        """Give a number within bounds."""
        value = self._value(name, default)
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise self.fault(name, "it is a number, without quotes")
        if math.isnan(value) or not low <= value <= high:
            raise self.fault(
                name, f"{value:g} is out of bounds", f"It goes from {low:g} to {high:g}"
            )
        return float(value)

    def whole(self, name: str, low: int, high: int, default: int) -> int:
        """Give a whole number within bounds."""
        value = self.number(name, low, high, float(default))
        if not value.is_integer():
            raise self.fault(name, f"{value:g} is not whole")
        return int(value)

    def text(self, name: str, default: str | _Needed = NEEDED, *, longest: int) -> str:
        """Give a text that isn't too long."""
        value = self._value(name, default)
        if not isinstance(value, str):
            raise self.fault(name, "it is a text in quotes")
        if len(value) > longest:
            raise self.fault(name, f"it has {len(value)} characters; {longest} at most")
        return value

    def flag(self, name: str, default: bool) -> bool:
        """Give true or false."""
        value = self._value(name, default)
        if not isinstance(value, bool):
            raise self.fault(name, "it is true or false, without quotes")
        return value

    def words(
        self, name: str, default: Sequence[str] | _Needed = NEEDED
    ) -> Sequence[str]:
        """Give a list of texts."""
        value = self._value(name, default)
        if not isinstance(value, list | tuple) or not all(
            isinstance(item, str) for item in value
        ):
            raise self.fault(name, 'it is a list of texts, such as ["one", "two"]')
        return value

    def choice(self, name: str, kind: type[Word], default: Word | None) -> Word:
        """Give one word of an enumeration."""
        value = self._value(name, NEEDED if default is None else default)
        if value not in tuple(kind):
            raise self.unknown(name, value, tuple(kind), "one of them")
        return kind(value)

    def one_of(
        self, name: str, valid: Sequence[str], default: str | _Needed = NEEDED
    ) -> str:
        """Give one of several texts."""
        value = self._value(name, default)
        if value not in valid:
            raise self.unknown(name, value, valid, "one of them")
        return str(value)

    def made(self, name: str, make: Callable[[str], Made]) -> Made:
        """Give what MAKE makes of a text; its ValueError is the fault."""
        text = self.text(name, longest=40)
        try:
            return make(text)
        except ValueError as error:
            said = clean(str(error)).removesuffix(", please")
            raise self.fault(name, said) from None

    def _value(self, name: str, default: object) -> Any:
        if name in self.values:
            return self.values[name]
        if isinstance(default, _Needed):
            raise self.file.fault(self.path, f"the key {name} is missing")
        return default


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


# Writing a plan as a TOML file: complete, with a few words for whoever edits it.


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
    if path.exists() and not replace:
        raise ConfigError(f"{path} is there already", "Add --yes to replace it")
    write_atomically(path, plan_text(content))

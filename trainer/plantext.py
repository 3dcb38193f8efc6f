"""Writing a plan as a TOML file: complete, with a few words for whoever edits it."""

from __future__ import annotations

from dataclasses import fields
from enum import StrEnum
from pathlib import Path
from typing import Any

from trainer.config import write_atomically
from trainer.core.breathing import Pattern
from trainer.core.exercises import Exercise, Family
from trainer.core.plan import Order, PlanExercise
from trainer.errors import ConfigError
from trainer.planfile import DAYS, PlanFile


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

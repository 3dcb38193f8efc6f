"""One page for a coach: everything in it, nothing fetched, no script, printable."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined

from trainer.core.answers import MADE_UP
from trainer.core.cautions import CAUTIONS
from trainer.core.charts.body import map_rows
from trainer.core.next_week.days import target_in_force
from trainer.core.next_week.suggestion import Suggestion
from trainer.core.plan.plan import Order
from trainer.core.review import sentences as say
from trainer.core.review.felt import keeps_turning_up, moved, with_enough
from trainer.core.review.review import Review, name_of
from trainer.core.review.sections import Table, sections
from trainer.core.text import clean
from trainer.core.words import number, short_date, short_days, whole_seconds
from trainer.report.drawings import (
    Drawing,
    calendar_drawing,
    felt_drawing,
    kept_drawing,
    points_with_rpe,
    rpe_drawing,
    weekly_drawing,
)

PLAN_COLUMNS = (
    "exercise",
    "sets",
    "target now",
    "start",
    "rest",
    "step",
    "cap",
    "breathing",
    "grip",
    "cue",
)
ORDER_WORDS = {
    Order.IN_TURN: "hang and press in turn",
    Order.HANG_FIRST: "hang first",
    Order.PRESS_FIRST: "press first",
}
MOST_ROWS = 400
"""Rows of a table on the page; the data file keeps the rest (our choice)."""


@dataclass(frozen=True, slots=True)
class Figure:
    """A picture under its sentences."""

    drawing: Drawing
    sentences: tuple[str, ...]


def render_page(found: Review) -> str:
    """Give the whole page as HTML."""
    environment = Environment(
        loader=PackageLoader("trainer.report"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters["clean"] = clean
    environment.filters["figure"] = lambda value: f"{value:.1f}".removesuffix(".0")
    return environment.get_template("review.html").render(_values(found)).lstrip()


def _values(found: Review) -> dict[str, Any]:
    told = with_enough(found.felt)
    names = {one.exercise: one.name for one in found.exercises}
    titles = {f"kept-{ident}": f"Kept: {name}" for ident, name in names.items()}
    return {
        "found": found,
        "made_up": MADE_UP if found.made_up else "",
        "period": (f"{short_date(found.first.monday)} to {short_date(found.today)}"),
        "plan": _plan_table(found),
        "order": ORDER_WORDS[found.plan.order],
        "plan_days": short_days(found.plan.days, ", "),
        "next": [_next_row(found, one) for one in found.suggestions],
        "weeks": Figure(
            calendar_drawing(found),
            (
                say.streak_sentence(found.streaks),
                say.days_sentence(found.streaks),
            ),
        )
        if found.sessions
        else None,
        "kept": [
            Figure(
                kept_drawing(found, one),
                (say.kept_sentence(one, found.last), say.trend_sentence(one.trend)),
            )
            for one in found.exercises
        ],
        "over_time": _weekly(found),
        "rpe": [
            Figure(rpe_drawing(found, one), (say.rpe_sentence(one),))
            for one in found.exercises
            if points_with_rpe(one.points)
        ],
        "felt_sentence": moved(found.felt),
        "felt_cautions": keeps_turning_up(found.felt),
        "felt": [
            (title.capitalize(), [felt_drawing(block, moment) for block in told])
            for title, moment in map_rows(told)
        ],
        # The RPE stands in the tables of what was kept already.
        "tables": [
            (titles.get(part.id, part.title), _in_names(_cut(part.table), names))
            for part in sections(found)
            if not part.id.startswith("rpe-")
        ],
        "notes": [(short_date(day), note) for day, note in found.notes],
        "cautions": CAUTIONS,
    }


def _cut(table: Table) -> Table:
    return Table(table.headers, table.rows[:MOST_ROWS])


def _in_names(table: Table, names: Mapping[str, str]) -> Table:
    """Say an exercise's name where a row begins with its id."""
    return replace(
        table,
        rows=tuple((names.get(row[0], row[0]), *row[1:]) for row in table.rows),
    )


def _plan_table(found: Review) -> Table:
    plan = found.plan
    return Table(
        PLAN_COLUMNS,
        tuple(
            (
                # The sentences of the page say the id, so it is explained here.
                f"{name_of(plan, entry.exercise)} ({entry.exercise})",
                str(entry.sets),
                whole_seconds(target_in_force(found.history, plan, entry.exercise)),
                whole_seconds(entry.start_s),
                whole_seconds(entry.rest_s),
                f"{number(entry.step_s)} s",
                whole_seconds(entry.cap_s),
                f"in {number(entry.pattern.in_s)} s, out"
                f" {number(entry.pattern.out_s)} s",
                "" if entry.grip is None else entry.grip.value,
                entry.cue,
            )
            for entry in plan.entries_in_order()
        ),
    )


def _next_row(found: Review, one: Suggestion) -> tuple[str, str, str, str]:
    target = (
        "rest"
        if one.target_s is None
        else f"{one.sets} × {whole_seconds(one.target_s)}"
    )
    return (
        name_of(found.plan, one.exercise),
        f"{one.week}: {target}",
        one.change.value,
        " ".join(one.reasons),
    )


def _weekly(found: Review) -> list[Figure]:
    if not found.sessions:
        return []
    overhead = [
        (family.value, {week: value / 60 for week, value in by_week.items()})
        for family, by_week in found.overhead.items()
    ]
    loads = {
        week: load.load for week, load in found.loads.items() if load.load is not None
    }
    over, load = (
        say.overhead_sentence(found),
        say.load_sentence(found.loads, found.last),
    )
    return [
        Figure(
            weekly_drawing(
                found,
                overhead,
                id="overhead",
                title="Time overhead",
                sentence=over,
                unit=" min",
            ),
            (over,),
        ),
        Figure(
            weekly_drawing(
                found,
                [("load: top RPE × minutes kept", loads)],
                id="load",
                title="Load",
                sentence=load,
                unit="",
            ),
            (load,),
        ),
    ]

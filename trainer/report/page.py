"""One page for a coach: everything in it, nothing fetched, no script, printable."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any, TypeVar

from jinja2 import Environment, PackageLoader, StrictUndefined

from trainer.core import words
from trainer.core.answers import MADE_UP
from trainer.core.cautions import CAUTIONS
from trainer.core.charts.body import MOMENT_TITLES, block_title, moments_noted
from trainer.core.charts.pages import families
from trainer.core.model import Moment
from trainer.core.next_week.days import target_in_force
from trainer.core.next_week.suggestion import Suggestion
from trainer.core.plan.plan import Order, PlanExercise
from trainer.core.review import sentences as say
from trainer.core.review.answers import ASKED, answers, change_said
from trainer.core.review.felt import Block, keeps_turning_up, moved, with_enough
from trainer.core.review.pain import by_place, how_it_ends, named, what_it_did
from trainer.core.review.review import Review, brief_name_of, name_of
from trainer.core.review.tables import (
    Table,
    anyway_table,
    felt_table,
    kept_table,
    outlook_table,
    score_table,
    weeks_table,
)
from trainer.core.text import clean
from trainer.core.words import number, short_date, short_days, whole_seconds
from trainer.report.angle_drawings import STYLE, angle_parts
from trainer.report.drawings import (
    calendar_drawing,
    felt_drawing,
    felt_named,
    kept_drawing,
    pain_drawing,
    weekly_drawing,
)
from trainer.report.photos import PagePhoto
from trainer.report.shapes import Drawing

ORDER_WORDS = {
    Order.IN_TURN: "hang and press in turn",
    Order.HANG_FIRST: "hang first",
    Order.PRESS_FIRST: "press first",
}
MOST_ROWS = 400
"""Rows of a table on the page; the data file keeps the rest (our choice)."""
MOST_NOTES = 40
"""Notes on the page, the newest first; the data file keeps the rest (our choice)."""


Said = TypeVar("Said")


@dataclass(frozen=True, slots=True)
class Figure:
    """A picture under its sentences."""

    drawing: Drawing
    sentences: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class NextWeek:
    """What is suggested for one exercise."""

    exercise: str
    says: str
    reasons: tuple[str, ...]
    would_change: tuple[str, ...]
    cautions: tuple[str, ...]


def render_group(group: Sequence[tuple[str, Review]]) -> str:
    """Return one page with the five answers of several trainees, by what to call them.

    On top a line for each: the first of the answers, which is pain where any is open.
    """
    told = [
        {
            "whose": whose,
            "made_up": MADE_UP if found.made_up else "",
            "period": f"{short_date(found.first.monday)} to {short_date(found.today)}",
            "answers": [(ASKED[one.question], one) for one in answers(found)],
        }
        for whose, found in group
    ]
    return _environment().get_template("group.html").render(group=told).lstrip()


def render_page(found: Review, photos: Sequence[PagePhoto] = ()) -> str:
    """Return the whole page as HTML; no photo is on it but PHOTOS."""
    values = _values(found) | {"photos": photos}
    return _environment().get_template("review.html").render(values).lstrip()


@cache  # a template is compiled once for all pages
def _environment() -> Environment:
    environment = Environment(
        loader=PackageLoader("trainer.report"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters["clean"] = clean
    environment.filters["figure"] = lambda value: f"{value:.1f}".removesuffix(".0")
    return environment


def _values(found: Review) -> dict[str, Any]:
    told = with_enough(found.felt)
    pains = by_place(found.pain)
    return {
        "found": found,
        "whose": clean(found.name) if found.name else "",
        "made_up": MADE_UP if found.made_up else "",
        "period": (f"{short_date(found.first.monday)} to {short_date(found.today)}"),
        "answers": [(ASKED[one.question], one) for one in answers(found)],
        "pain": _by_day((day, (says, is_open)) for day, says, is_open in _pains(found)),
        "pain_picture": pain_drawing(pains) if pains else None,
        "pain_caution": (
            say.SEE_SOMEBODY if any(one.open and one.came_back for one in pains) else ""
        ),
        "pain_sides": _sides(found, hurt=True),
        "overrides": _by_day(
            (day, f"{exercise}: {says}")
            for day, exercise, says in anyway_table(found).rows
        ),
        "next_week": (
            words.dated_week(found.suggestions[0].week) if found.suggestions else ""
        ),
        "next": [_next(found, one) for one in found.suggestions],
        "plan_days": short_days(found.plan.days, ", "),
        "order": ORDER_WORDS[found.plan.order],
        "plan": [_plan_line(found, one) for one in found.plan.entries_in_order()],
        "coach": found.plan.coach,
        "plan_note": found.plan.note,
        "notes": _by_day(
            (short_date(day), note) for day, note in found.notes[:MOST_NOTES]
        ),
        "older_notes": max(0, len(found.notes) - MOST_NOTES),
        "pictures": _pictures(found) if found.sessions else [],
        "angle_style": STYLE,
        "felt_sentence": moved(found.felt),
        "felt_sides": _sides(found, hurt=False),
        "felt_cautions": keeps_turning_up(found.felt),
        "felt": [
            (
                MOMENT_TITLES[moment].capitalize(),
                [_felt_map(block, moment) for block in told],
            )
            for moment in (moments_noted(told) if told else ())
        ],
        "tables": [_cut(table) for table in _tables(found) if table.rows],
        "score": say.score_sentence(found.score),
        "brier": found.score.brier,
        "cautions": CAUTIONS,
    }


def _felt_map(block: Block, moment: Moment | None) -> Figure:
    return Figure(
        felt_drawing(block, moment), (block_title(block), felt_named(block, moment))
    )


def _by_day(dated: Iterable[tuple[str, Said]]) -> list[tuple[str, list[Said]]]:
    """Put what was said of each day together, the days as they came."""
    found: dict[str, list[Said]] = {}
    for day, said in dated:
        found.setdefault(day, []).append(said)
    return list(found.items())


def _pains(found: Review) -> list[tuple[str, str, bool]]:
    """Say each pain: its day, all the rest in a line, and whether it is open."""
    return [
        (
            short_date(one.day),
            f"{named(one.place)}; {brief_name_of(found.plan, one.exercise)}, set"
            f" {one.set_number}; {what_it_did(one)}; {how_it_ends(one)}",
            one.open,
        )
        for one in reversed(found.pain)
    ]


def _sides(found: Review, *, hurt: bool) -> list[str]:
    return [say.one_sided_sentence(one) for one in found.one_sided if one.hurt is hurt]


def _next(found: Review, one: Suggestion) -> NextWeek:
    exercise = name_of(found.plan, one.exercise)
    if one.target_s is None:
        says = "rest"
    else:
        says = f"{one.sets} × {words.seconds(one.target_s)}, {change_said(one)}"
    if one.chance is not None:
        says += f"; chance that all sets are made {words.chance(one.chance)}"
    mind = (*one.open_pain, *one.cautions)
    return NextWeek(exercise, says, one.reasons, one.would_change, mind)


def _plan_line(found: Review, entry: PlanExercise) -> tuple[str, str, str]:
    """Say a line of the plan in words: the exercise, its figures, the coach's cue."""
    target_s = target_in_force(found.history, found.plan, entry.exercise)
    grip = "" if entry.grip is None else f"; on {entry.grip.value}"
    said = (
        f"{words.count(entry.sets, 'set')} of {whole_seconds(target_s)}, rest"
        f" {whole_seconds(entry.rest_s)}; start {whole_seconds(entry.start_s)}, step"
        f" {number(entry.step_s)} s, cap {whole_seconds(entry.cap_s)}; breath in"
        f" {number(entry.pattern.in_s)} s, out {number(entry.pattern.out_s)} s{grip}"
    )
    return brief_name_of(found.plan, entry.exercise), said, entry.cue


def _pictures(found: Review) -> list[Figure]:
    return [
        *(
            Figure(
                kept_drawing(found, name, shown),
                tuple(
                    sentence
                    for one in shown
                    for sentence in say.exercise_sentences(one, found.last)
                ),
            )
            for name, shown in families(found)
        ),
        Figure(
            calendar_drawing(found),
            (
                say.streak_sentence(found.streaks),
                say.days_sentence(found.streaks, found.first),
            ),
        ),
        *_overhead(found),
        *(Figure(drawing, said) for drawing, said in angle_parts(found.angle_checks)),
    ]


def _overhead(found: Review) -> list[Figure]:
    if not found.overhead:
        return []
    said = say.overhead_sentence(found)
    drawing = weekly_drawing(
        found,
        [
            (family.value, {week: value / 60 for week, value in by_week.items()})
            for family, by_week in found.overhead.items()
        ],
        id="overhead",
        title="Time overhead",
        sentence=said,
        unit=" min",
    )
    return [Figure(drawing, (said,))]


def _tables(found: Review) -> list[Table]:
    scored = bool(say.score_sentence(found.score))
    return [
        outlook_table(found),
        weeks_table(found),
        *(kept_table(one) for one in found.exercises),
        felt_table(found),
        *([score_table(found)] if scored else []),
    ]


def _cut(table: Table) -> Table:
    return Table(table.title, table.columns, table.rows[:MOST_ROWS])

"""A review's figures as tables: what stands behind each picture, in words.

A column says whether it holds figures, so that nothing has to guess from a text.
"""

from __future__ import annotations

from dataclasses import dataclass

from trainer.core import words
from trainer.core.capacity.forecast import HORIZON, Forecast
from trainer.core.model import Moment
from trainer.core.review.felt import Block, Mark, marks_of_moment, name
from trainer.core.review.pain import PainNoted, site_named, what_it_did
from trainer.core.review.progress import CouldHold
from trainer.core.review.review import ExerciseReview, Review, brief_name_of, name_of
from trainer.core.weeks import IsoWeek
from trainer.core.words import minutes_and_seconds, number, short_date, whole_seconds


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a table."""

    header: str
    figures: bool = False
    """Figures with their units: they stand at the right, under each other."""


@dataclass(frozen=True, slots=True)
class Table:
    """Figures in rows under their columns' headers."""

    title: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]


def texts(*headers: str) -> tuple[Column, ...]:
    """Return columns of words and dates."""
    return tuple(Column(header) for header in headers)


def figures(*headers: str) -> tuple[Column, ...]:
    """Return columns of figures."""
    return tuple(Column(header, figures=True) for header in headers)


def anyway_table(found: Review) -> Table:
    """Return what was done although the gate had said why not, newest first."""
    return Table(
        "Held back for safety, and done all the same",
        texts("day", "exercise", "what was said against it"),
        tuple(
            (
                short_date(session.local_date),
                name_of(found.plan, each.exercise),
                each.says,
            )
            for session in reversed(found.sessions)
            for each in session.overrides
        ),
    )


def weeks_table(found: Review) -> Table:
    """Return each week's days, its time overhead and its load, newest first."""
    families = tuple(found.overhead)
    rows = []
    for week in reversed(found.streaks.weeks):
        if week.week < found.first:
            break
        load = found.loads.get(week.week)
        rows.append(
            (
                short_date(week.week.monday),
                f"{week.days_done} of {week.planned_days}",
                week.state.value,
                *(_minutes(found.overhead[each].get(week.week)) for each in families),
                "" if load is None or load.load is None else number(load.load),
            )
        )
    return Table(
        "Week by week",
        (
            *texts("week of"),
            *figures("days"),
            *texts(""),
            *figures(*(f"{each.value} overhead" for each in families), "load"),
        ),
        tuple(rows),
    )


def _minutes(kept_s: float | None) -> str:
    return "" if kept_s is None else minutes_and_seconds(kept_s)


def kept_table(one: ExerciseReview) -> Table:
    """Return each session of an exercise, newest first."""
    return Table(
        one.name,
        (
            *texts("day"),
            *figures("sets", "target", "kept, mean", "best", "early", "top RPE"),
        ),
        tuple(
            (
                short_date(point.day),
                str(point.sets),
                "" if point.target_s is None else whole_seconds(point.target_s),
                whole_seconds(point.kept_s),
                whole_seconds(point.best_s),
                str(point.early or ""),
                "" if point.rpe is None else number(point.rpe),
            )
            for point in reversed(one.points)
        ),
    )


def outlook_table(found: Review) -> Table:
    """Return for each exercise its bests, what could be held, and when its cap comes.

    The forecasts are missing until they have been worked out.
    """
    by_exercise = {one.exercise: one for one in found.forecasts}
    return Table(
        "Bests and what lies ahead",
        (
            *texts("exercise"),
            *figures("best", "ever", "could hold now", "cap"),
            *texts("cap likely", "80 % range"),
        ),
        tuple(
            (
                one.brief_name,
                whole_seconds(one.best.kept_s),
                whole_seconds(one.best_ever.kept_s),
                "" if one.progress is None else _held(one.progress.now),
                *_cap(by_exercise.get(one.exercise)),
            )
            for one in found.exercises
        ),
    )


def _held(held: CouldHold) -> str:
    low, middle, high = held.shown
    return f"{middle} s ({low} to {high})"


def _cap(one: Forecast | None) -> tuple[str, str, str]:
    if one is None:
        return "", "", ""
    cap = whole_seconds(one.cap_s)
    if one.reached:
        return cap, "reached", ""
    if one.low is None:
        return cap, BEYOND, ""
    if one.high is None:
        return cap, _week(one.median), f"not before {_week(one.low)}"
    return cap, _week(one.median), f"{_week(one.low)} to {_week(one.high)}"


BEYOND = f"after {HORIZON}"


def _week(week: IsoWeek | None) -> str:
    return BEYOND if week is None else short_date(week.monday)


def score_table(found: Review) -> Table:
    """Return how often the chances that were shown came true."""
    return Table(
        "Chances said, and made",
        figures("chance said", "times", "mean chance", "made"),
        tuple(
            (
                f"{words.percent(row.low)} to {words.percent(row.high)}",
                str(row.count),
                "" if row.mean_chance is None else words.chance(row.mean_chance),
                "" if row.share_made is None else words.percent(row.share_made),
            )
            for row in found.score.table
            if row.count
        ),
    )


def felt_table(found: Review) -> Table:
    """Return each site of each four weeks, by moment and side, newest first."""
    return Table(
        "Felt, by four weeks",
        (
            *texts("four weeks from", "site", "came"),
            *figures("sessions", "strength", "left", "right"),
        ),
        tuple(
            _felt_row(block, moment, mark)
            for block in reversed(found.felt)
            for moment in (*Moment, None)
            for mark in marks_of_moment(block, moment)
        ),
    )


def _felt_row(block: Block, moment: Moment | None, mark: Mark) -> tuple[str, ...]:
    sided = bool(mark.left or mark.right)
    return (
        short_date(block.first.monday),
        name(mark.site),
        "" if moment is None else moment.value,
        f"{mark.sessions} of {block.sessions}",
        "" if mark.strength is None else number(mark.strength),
        str(mark.left) if sided else "",
        str(mark.right) if sided else "",
    )


def pain_table(found: Review) -> Table:
    """Return every pain with what became of it, newest first."""
    return Table(
        "Every pain that was noted",
        (
            *texts("day", "exercise"),
            *figures("set"),
            *texts("site", "kind", "then", "gone"),
        ),
        tuple(_pain_row(found, one) for one in reversed(found.pain)),
    )


def _pain_row(found: Review, one: PainNoted) -> tuple[str, ...]:
    return (
        short_date(one.day),
        brief_name_of(found.plan, one.exercise),
        str(one.set_number),
        "not noted" if one.site is None else site_named(one.site, one.side),
        one.kind.value,
        what_it_did(one),
        "open" if one.gone_on is None else short_date(one.gone_on),
    )

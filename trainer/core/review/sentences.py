"""The plain sentences over each picture of a review."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from statistics import median

from trainer.core import words
from trainer.core.capacity.calibration import ENOUGH, Score
from trainer.core.review.days import exercise_of
from trainer.core.review.felt import BLOCK_WEEKS
from trainer.core.review.kept import Best, KeptPoint
from trainer.core.review.pain import PainAt, named
from trainer.core.review.review import ExerciseReview, Review
from trainer.core.review.sides import OneSided
from trainer.core.review.streaks import Streaks, WeekState, run_of_weeks
from trainer.core.review.trends import LEAST_POINTS, Direction
from trainer.core.weeks import IsoWeek
from trainer.core.words import (
    minutes_and_seconds,
    month_name,
    number,
    short_date,
    whole_seconds,
)

RPE_SAME = 0.5
"""A median RPE that moved less than this is unchanged (our choice: its own grain)."""


def day_and_month(day: date, *, brief: bool = False) -> str:
    """Say a date whose year is plain: ``4 March``; BRIEF: ``4 Mar``."""
    month = month_name(day)
    return f"{day.day} {month[:3] if brief else month}"


def one_sided_in_short(one: OneSided) -> str:
    """Say that four weeks are one-sided; up to when, where they are over.

    As in ``Felt in the left lats, 6 to 0: more than chance.``
    """
    more, fewer = max(one.left, one.right), min(one.left, one.right)
    what = "Hurts" if one.hurt else "Felt"
    when = "" if one.running else f" up to {day_and_month(one.last.sunday)}"
    return (
        f"{what} in the {one.side} {one.site.value.replace('-', ' ')}, {more} to"
        f" {fewer}{when}: more than chance."
    )


def one_sided_sentence(one: OneSided) -> str:
    """Say that four weeks are one-sided, with the figures by side and which weeks."""
    what = "hurt" if one.hurt else "felt"
    where = one.site.value.replace("-", " ").capitalize()
    begin, end = day_and_month(one.first.monday), day_and_month(one.last.sunday)
    when = f"since {begin}" if one.running else f"{begin} to {end}"
    return (
        f"{where} {what} on the left alone in {words.count(one.left, 'session')}, on"
        f" the right alone in {one.right}, {when}: one-sided beyond chance."
    )


def streak_sentence(found: Streaks) -> str:
    """Say how many weeks stand in a row, and where the running week is."""
    if not found.weeks:
        return "No session yet."
    now = found.weeks[-1]
    run = run_of_weeks(found.current)
    this_week = (
        f"{now.days_done} of {words.count(now.planned_days, 'day')}"
        if now.state is not WeekState.REST
        else "a rest week"
    )
    return f"{run}, the longest {found.longest}; this week {this_week}."


def days_sentence(found: Streaks, since: IsoWeek) -> str:
    """Say how many days were done of those that were due so far."""
    done, due = found.adherence(since)
    if not due:
        return "No day was due yet."
    return f"{done} of {words.count(due, 'day')} done that were due so far."


def kept_sentence(found: ExerciseReview, last: IsoWeek) -> str:
    """Say the best of the last four weeks, against the four before, and the RPE."""
    recent = _between(found.points, last.plus(1 - BLOCK_WEEKS), last)
    before = _between(
        found.points, last.plus(1 - 2 * BLOCK_WEEKS), last.plus(-BLOCK_WEEKS)
    )
    if not recent:
        ever = _best(found.best)
        return f"{found.name}: not in the last four weeks; best kept {ever}."
    best = max(point.best_s for point in recent)
    said = f"{found.name}: best kept {whole_seconds(best)} in four weeks"
    if before:
        change = int(best) - int(max(point.best_s for point in before))
        if change == 0:
            said += ", the same as in the four before"
        else:
            said += (
                f", {'up' if change > 0 else 'down'} {abs(change)} s on the four before"
            )
    return f"{said}{_rpe_change(recent, before)}."


def _best(best: Best) -> str:
    return f"{whole_seconds(best.kept_s)} on {short_date(best.day)}"


def _between(
    points: Sequence[KeptPoint], first: IsoWeek, last: IsoWeek
) -> list[KeptPoint]:
    return [point for point in points if first.monday <= point.day <= last.sunday]


def _rpe_change(recent: Sequence[KeptPoint], before: Sequence[KeptPoint]) -> str:
    now = [point.rpe for point in recent if point.rpe is not None]
    then = [point.rpe for point in before if point.rpe is not None]
    if not now:
        return "; no RPE noted"
    if not then:
        return f"; RPE {number(median(now))}"
    change = median(now) - median(then)
    if abs(change) < RPE_SAME:
        return f"; RPE unchanged at {number(median(now))}"
    direction = "up" if change > 0 else "down"
    return f"; RPE {direction} from {number(median(then))} to {number(median(now))}"


def trend_sentence(found: ExerciseReview) -> str:
    """Say whether what was kept rose or fell, and whether the target did the same."""
    trend = found.trend
    if trend.slope is None:
        return (
            f"Whether more is kept can't be told yet:"
            f" {words.count(trend.points, 'week')} of it, {LEAST_POINTS} are needed."
        )
    low, high = number(trend.slope.low), number(trend.slope.high)
    figures = f"{number(trend.slope.slope)} s a week, {low} to {high}"
    if trend.direction not in (Direction.UP, Direction.DOWN):
        same = "about the same" if trend.direction is Direction.FLAT else "up or down"
        verb = "stayed" if trend.direction is Direction.FLAT else "can't be told"
        return f"What was kept {verb} {same} ({figures})."
    way = "rose" if trend.direction is Direction.UP else "fell"
    targets = [point.target_s for point in found.points if point.target_s is not None]
    moved_s = int(targets[-1]) - int(targets[0]) if targets else 0
    if moved_s and (moved_s > 0) is (trend.direction is Direction.UP):
        return (
            f"What was kept {way} with the target, from {whole_seconds(targets[0])} to"
            f" {whole_seconds(targets[-1])} ({figures})."
        )
    return f"What was kept {way} ({figures})."


def progress_sentence(found: ExerciseReview) -> str:
    """Say whether more could be held than at the start; empty where it isn't known."""
    progress = found.progress
    if progress is None:
        return ""
    low, middle, high = progress.now.shown
    now = f"Could be held now: {middle} s, {low} to {high}"
    if progress.then is None:
        return f"{now}; whether that is more can't be told yet."
    was_low, was_middle, was_high = progress.then.shown
    then = (
        f"{was_middle} s, {was_low} to {was_high}, on {day_and_month(progress.then.on)}"
    )
    if progress.direction is Direction.UNKNOWN:
        return f"{now}; can't be told from {then}."
    return f"{now}; {progress.direction.value} from {then}."


def exercise_sentences(found: ExerciseReview, last: IsoWeek) -> tuple[str, ...]:
    """Say all that there is to say of what was kept of an exercise, and could be."""
    said = [kept_sentence(found, last)]
    if found.progress is not None:
        said += [progress_sentence(found), trend_sentence(found)]
    return tuple(said)


SEE_SOMEBODY = "Pain that comes back or stays is for a clinician to look at."
"""Said where open pain was noted more than once."""


def pain_sentence(pains: Sequence[PainAt]) -> str:
    """Say how many pains there were, how many are open, and which came back."""
    is_open = [one for one in pains if one.open]
    said = f"{words.count(len(pains), 'pain')} noted, {len(is_open) or 'none'} open"
    back = [named(one.place) for one in pains if one.came_back]
    return f"{said}; came back: {words.listed(back)}." if back else f"{said}."


def overhead_sentence(found: Review) -> str:
    """Say the time overhead of the last whole week against the four before it."""
    if not found.overhead:
        return "No time overhead yet: the push-up position doesn't count as overhead."
    week = found.last.plus(-1)
    now, before = [], []
    for family, by_week in found.overhead.items():
        earlier = [by_week.get(week.plus(-n), 0.0) for n in range(1, BLOCK_WEEKS + 1)]
        now.append(f"{family.value} {minutes_and_seconds(by_week.get(week, 0.0))}")
        before.append(minutes_and_seconds(sum(earlier) / BLOCK_WEEKS))
    aside = (
        " The push-up position doesn't count."
        if any(not counts_overhead(found, one.exercise) for one in found.exercises)
        else ""
    )
    return (
        f"Kept overhead last week: {words.listed(now)}; a week in the four before:"
        f" {words.listed(before)}.{aside}"
    )


def counts_overhead(found: Review, exercise_id: str) -> bool:
    """Tell whether an exercise counts toward the time overhead."""
    known = exercise_of(found.plan, exercise_id)
    return known is not None and known.overhead


def score_sentence(found: Score) -> str:
    """Say how often the chances that were shown came true; empty until enough are."""
    if found.count < ENOUGH or found.share_made is None:
        return ""
    expected = sum(
        row.count * row.mean_chance
        for row in found.table
        if row.mean_chance is not None
    )
    return (
        f"Of {found.count} targets that were suggested and trained,"
        f" {round(found.share_made * found.count)} were made; by the chances said"
        f" beforehand it would have been {round(expected)}."
    )

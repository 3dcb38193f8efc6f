"""The plain sentences over each picture of a review."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from statistics import median

from trainer.core import words
from trainer.core.charts.series import KeptPoint
from trainer.core.exercises import Family
from trainer.core.review.felt import BLOCK_WEEKS
from trainer.core.review.load import WeekLoad
from trainer.core.review.review import Best, ExerciseReview, Review
from trainer.core.review.streaks import Streaks, WeekState
from trainer.core.review.trends import LEAST_POINTS, Direction, Trend
from trainer.core.weeks import IsoWeek
from trainer.core.words import minutes_and_seconds, number, short_date, whole_seconds

RPE_SAME = 0.5
"""A median RPE that moved less than this is unchanged (our choice: its own grain)."""


def streak_sentence(found: Streaks) -> str:
    """Say how many weeks stand in a row, and where the running week is."""
    if not found.weeks:
        return "No session yet."
    now = found.weeks[-1]
    run = (
        "No week in a row at the moment"
        if found.current == 0
        else f"{words.count(found.current, 'week')} done in a row"
    )
    this_week = (
        f"{now.days_done} of {words.count(now.planned_days, 'day')}"
        if now.state is not WeekState.REST
        else "a rest week"
    )
    return f"{run}, the longest {found.longest}; this week {this_week}."


def days_sentence(found: Streaks) -> str:
    """Say how many days were done against the plan in the last four weeks."""
    recent = [
        week
        for week in found.weeks[-BLOCK_WEEKS:]
        if week.state not in (WeekState.REST, WeekState.PAIN)
    ]
    done = sum(week.days_done for week in recent)
    planned = sum(week.planned_days for week in recent)
    return (
        f"{done} of {words.count(planned, 'planned day')} in the last"
        f" {words.count(len(recent), 'week')} that weren't rest weeks."
    )


def kept_sentence(found: ExerciseReview, last: IsoWeek) -> str:
    """Say the best of the last four weeks, against the four before, and the RPE."""
    recent = _between(found.points, last.plus(1 - BLOCK_WEEKS), last)
    before = _between(
        found.points, last.plus(1 - 2 * BLOCK_WEEKS), last.plus(-BLOCK_WEEKS)
    )
    if not recent:
        return (
            f"No {found.exercise} in the last four weeks; best kept"
            f" {_best(found.best)}."
        )
    best = max(point.best_s for point in recent)
    said = f"Best kept {found.exercise} {whole_seconds(best)} in four weeks"
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


def trend_sentence(trend: Trend) -> str:
    """Say the verdict with the figures that it rests on, or what it lacks."""
    told = words.count(trend.points, "weekly value")
    if trend.slope is None:
        return (
            f"Trend: {Direction.UNKNOWN.value}. {words.count(trend.points, 'week')}"
            f" with a session; at least {LEAST_POINTS} are needed."
        )
    low, high = number(trend.slope.low), number(trend.slope.high)
    return (
        f"Trend: {trend.direction.value}. {number(trend.slope.slope)} s a week"
        f" ({low} to {high} with 95 % confidence), from {told}."
    )


def rpe_sentence(found: ExerciseReview) -> str:
    """Say the usual top RPE of the period and the last one."""
    noted = [point.rpe for point in found.points if point.rpe is not None]
    if not noted:
        return f"No RPE noted for {found.exercise}."
    return (
        f"Top RPE of a session with {found.exercise}: {number(median(noted))} as a"
        f" rule, {number(noted[-1])} the last time."
    )


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
        if any(one.exercise == "press-pushup" for one in found.exercises)
        or Family.PRESS not in found.overhead
        else ""
    )
    return (
        f"Kept overhead last week: {words.listed(now)}; a week in the four before:"
        f" {words.listed(before)}.{aside}"
    )


def load_sentence(loads: Mapping[IsoWeek, WeekLoad], last: IsoWeek) -> str:
    """Describe the last whole week's load, monotony and strain; no alarm is raised."""
    week = loads.get(last.plus(-1))
    tail = " A description: no limits are drawn from it."
    if week is None:
        return f"No load to describe: no session last week.{tail}"
    if week.load is None:
        return f"Load of last week: undefined, no RPE was noted.{tail}"
    return (
        f"Load of last week: {number(week.load)} (top RPE × minutes kept, from"
        f" {words.count(week.sessions, 'session')}); monotony"
        f" {or_undefined(week.monotony)} (the mean of the seven days, rest days as 0,"
        f" over their spread), strain {or_undefined(week.strain)} (load times"
        f" monotony).{tail}"
    )


def or_undefined(value: float | None) -> str:
    """Say a figure, or that it is undefined."""
    return "undefined" if value is None else number(value)

"""Everything that a review says about a period, put together once as frozen data.

The screens, the command line, the JSON and the page for a coach all show this.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from statistics import fmean

from trainer.core.capacity.calibration import Score, score_of
from trainer.core.capacity.forecast import Forecast
from trainer.core.charts.calendar import (
    BOTH_MARK,
    HANG_MARK,
    PAIN_MARK,
    PRESS_MARK,
    REST_MARK,
)
from trainer.core.charts.series import KeptPoint
from trainer.core.exercises import BUILT_IN, Exercise, Family
from trainer.core.model import CLEAN_SLACK_S, History, Hold, Session
from trainer.core.next_week.suggestion import Suggestion
from trainer.core.plan.plan import Plan
from trainer.core.review.felt import BLOCK_WEEKS, Block, blocks
from trainer.core.review.load import WeekLoad, week_load
from trainer.core.review.streaks import PlannedDays, Streaks, streaks
from trainer.core.review.trends import Trend, judge
from trainer.core.weeks import IsoWeek

# What each week and each day of a review comes to: time overhead, load, marks.


def exercise_of(plan: Plan, exercise_id: str) -> Exercise | None:
    """Look an exercise up; None for one that an earlier plan brought along."""
    try:
        return plan.exercise(exercise_id)
    except KeyError:
        return None


def overhead_of(
    sessions: Sequence[Session], plan: Plan
) -> Mapping[Family, Mapping[IsoWeek, float]]:
    """Sum the seconds kept overhead by family and week."""
    found: dict[Family, dict[IsoWeek, float]] = {
        family: defaultdict(float) for family in Family
    }
    for session in sessions:
        week = IsoWeek.of(session.local_date)
        for hold in session.holds:
            known = exercise_of(plan, hold.exercise)
            if known is not None and known.overhead and known.family is not None:
                found[known.family][week] += hold.kept_or_held_s
    return {family: dict(by_week) for family, by_week in found.items() if by_week}


def loads_of(sessions: Sequence[Session], last: IsoWeek) -> Mapping[IsoWeek, WeekLoad]:
    """Describe each week's load; LAST is the running one."""
    by_week: dict[IsoWeek, list[Session]] = defaultdict(list)
    for session in sessions:
        by_week[IsoWeek.of(session.local_date)].append(session)
    return {
        week: week_load(found, over=week < last)
        for week, found in sorted(by_week.items())
    }


def marks_of(
    sessions: Sequence[Session], plan: Plan, rest_weeks: frozenset[IsoWeek]
) -> Mapping[date, str]:
    """Give the calendar's mark of each day that has one."""
    marks = {day: REST_MARK for week in rest_weeks for day in week.days()}
    families: dict[date, set[Family | None]] = defaultdict(set)
    hurt = set()
    for session in sessions:
        day = session.local_date
        for hold in session.holds:
            known = exercise_of(plan, hold.exercise)
            families[day].add(None if known is None else known.family)
        if session.hurt:
            hurt.add(day)
    for day, found in families.items():
        if day in hurt:
            marks[day] = PAIN_MARK
        elif found == {Family.HANG}:
            marks[day] = HANG_MARK
        elif found == {Family.PRESS}:
            marks[day] = PRESS_MARK
        else:
            marks[day] = BOTH_MARK
    return marks


DEFAULT_WEEKS = 12
"""Weeks that a review looks back over unless told otherwise (our choice)."""
MOST_BLOCKS = 6
"""Blocks of the felt map, the newest ones (our choice: half a year)."""
MOST_WEEKLY = 156
"""A trend over more weeks than this takes one value for four weeks (our choice)."""


@dataclass(frozen=True, slots=True)
class Best:
    """The longest kept hold of an exercise."""

    exercise: str
    kept_s: float
    day: date


@dataclass(frozen=True, slots=True, kw_only=True)
class ExerciseReview:
    """One exercise over the period."""

    exercise: str
    name: str
    points: tuple[KeptPoint, ...]
    """One for each session, oldest first."""
    best: Best
    """Of the period."""
    best_ever: Best
    trend: Trend
    """Of the best kept hold of each week."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Review:
    """A period, looked back over."""

    today: date
    first: IsoWeek
    last: IsoWeek
    """The running week."""
    made_up: bool
    """The file belongs to a trainee who doesn't exist."""
    plan: Plan
    suggestions: tuple[Suggestion, ...]
    streaks: Streaks
    """Over the whole log, whatever the period."""
    marks: Mapping[date, str]
    """The calendar's marks."""
    exercises: tuple[ExerciseReview, ...]
    overhead: Mapping[Family, Mapping[IsoWeek, float]]
    """Seconds kept overhead by week, for the families that have any."""
    loads: Mapping[IsoWeek, WeekLoad]
    felt: tuple[Block, ...]
    sessions: tuple[Session, ...]
    """Those of the period, oldest first."""
    score: Score
    """How the chances that were shown did, over the whole log."""
    history: History
    """The whole log."""
    forecasts: tuple[Forecast, ...] = ()
    """When each planned exercise that was trained is likely to reach its cap; empty
    until ``review_figures.with_forecasts`` has worked them out."""

    @property
    def weeks(self) -> int:
        """How many weeks the period has, the running one among them."""
        return self.last.since(self.first) + 1

    @property
    def months(self) -> tuple[tuple[int, int], ...]:
        """The period's years and months, oldest first, twelve at most."""
        found: list[tuple[int, int]] = []
        year, month = self.today.year, self.today.month
        begin = self.first.monday
        while (year, month) >= (begin.year, begin.month) and len(found) < 12:
            found.insert(0, (year, month))
            year, month = (year, month - 1) if month > 1 else (year - 1, 12)
        return tuple(found)

    @property
    def notes(self) -> tuple[tuple[date, str], ...]:
        """What was noted on sessions and holds, with the day, newest first."""
        return tuple(
            (session.local_date, note)
            for session in reversed(self.sessions)
            for note in (session.note, *(hold.note for hold in session.holds))
            if note
        )


def review(
    history: History,
    *,
    plan: Plan,
    planned: Sequence[PlannedDays],
    today: date,
    weeks: int | None = DEFAULT_WEEKS,
    suggestions: Sequence[Suggestion] = (),
    made_up: bool = False,
) -> Review:
    """Look back over the last WEEKS weeks, the running one among them.

    Args:
        history: the log; what is dated after today is left out.
        plan: the plan in force.
        planned: the plan's number of days over time.
        today: the local date now.
        weeks: how many; None for all since the first session.
        suggestions: next week's, to be shown beside.
        made_up: whether the file's trainee doesn't exist.
    """
    last = IsoWeek.of(today)
    known = [
        session
        for session in history.sessions
        if session.local_date <= today and session.holds
    ]
    begin = IsoWeek.of(known[0].local_date) if known else last
    if known:
        begin = min(IsoWeek.of(session.local_date) for session in known)
    first = begin if weeks is None else max(begin, last.plus(1 - max(1, weeks)))
    monday = first.monday
    period = tuple(session for session in known if session.local_date >= monday)
    felt_from = max(first, last.plus(1 - MOST_BLOCKS * BLOCK_WEEKS))
    return Review(
        today=today,
        first=first,
        last=last,
        made_up=made_up,
        plan=plan,
        suggestions=tuple(suggestions),
        streaks=streaks(history, planned=planned, today=today),
        marks=marks_of(known, plan, history.rest_weeks),
        exercises=_exercises(known, plan, first),
        overhead=overhead_of(period, plan),
        loads=loads_of(period, last),
        felt=blocks(period, first=felt_from, last=last),
        sessions=period,
        score=score_of(history),
        history=history,
    )


def name_of(plan: Plan, exercise_id: str) -> str:
    """Give an exercise's name; its id where the plan doesn't know it."""
    known = exercise_of(plan, exercise_id)
    return exercise_id if known is None else known.name


def ended_early(hold: Hold) -> bool:
    """Tell whether a hold ended before its target."""
    return hold.target_s is not None and hold.held_s < hold.target_s - CLEAN_SLACK_S


def _exercises(
    sessions: Sequence[Session], plan: Plan, first: IsoWeek
) -> tuple[ExerciseReview, ...]:
    points: dict[str, list[KeptPoint]] = defaultdict(list)
    for session in sessions:
        by_exercise: dict[str, list[Hold]] = defaultdict(list)
        for hold in session.holds:
            if hold.counts:
                by_exercise[hold.exercise].append(hold)
        for exercise_id, holds in by_exercise.items():
            points[exercise_id].append(_point(session.local_date, holds))
    order = [entry.exercise for entry in plan.exercises] + list(BUILT_IN)
    found = []
    for exercise_id in sorted(points, key=lambda one: _rank(one, order)):
        ever = points[exercise_id]
        here = tuple(point for point in ever if point.day >= first.monday)
        if here:
            found.append(
                ExerciseReview(
                    exercise=exercise_id,
                    name=name_of(plan, exercise_id),
                    points=here,
                    best=_best(exercise_id, here),
                    best_ever=_best(exercise_id, ever),
                    trend=_trend(here),
                )
            )
    return tuple(found)


def _rank(exercise_id: str, order: Sequence[str]) -> tuple[int, str]:
    known = exercise_id in order
    return (order.index(exercise_id) if known else len(order), exercise_id)


def _point(day: date, holds: Sequence[Hold]) -> KeptPoint:
    kept = [hold.kept_or_held_s for hold in holds]
    return KeptPoint(
        day=day,
        kept_s=fmean(kept),
        best_s=max(kept),
        target_s=next(
            (hold.target_s for hold in holds if hold.target_s is not None), None
        ),
        sets=len(holds),
        early=sum(ended_early(hold) for hold in holds),
        rpe=max((hold.rpe for hold in holds if hold.rpe is not None), default=None),
    )


def _best(exercise_id: str, points: Sequence[KeptPoint]) -> Best:
    longest = max(points, key=lambda point: point.best_s)
    return Best(exercise_id, longest.best_s, longest.day)


def _trend(points: Sequence[KeptPoint]) -> Trend:
    """Judge the best kept hold of each week, of each four weeks in a long period."""
    start = IsoWeek.of(points[0].day)
    by_week: dict[int, float] = defaultdict(float)
    for point in points:
        week = IsoWeek.of(point.day).since(start)
        by_week[week] = max(by_week[week], point.best_s)
    if len(by_week) > MOST_WEEKLY:
        by_block: dict[int, float] = defaultdict(float)
        for week, kept_s in by_week.items():
            block = week // BLOCK_WEEKS * BLOCK_WEEKS
            by_block[block] = max(by_block[block], kept_s)
        by_week = by_block
    weeks = sorted(by_week)
    return judge(weeks, [by_week[week] for week in weeks])

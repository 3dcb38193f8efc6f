"""Everything that a review says about a period, put together once as frozen data.

The screens, the command line, the JSON and the page for a coach all show this.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Container, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from trainer.core.angle.check import AngleCheck
from trainer.core.capacity.calibration import Score, score_of
from trainer.core.capacity.forecast import Forecast, forecast
from trainer.core.exercises import BUILT_IN, Family
from trainer.core.model import History, Hold, Session
from trainer.core.next_week.suggestion import Suggestion
from trainer.core.plan.plan import Plan
from trainer.core.review.days import (
    DayMark,
    exercise_of,
    family_of,
    marks_of,
    overhead_of,
)
from trainer.core.review.felt import BLOCK_WEEKS, Block, blocks
from trainer.core.review.kept import Best, KeptPoint, best_of, point_of
from trainer.core.review.load import WeekLoad, loads_of
from trainer.core.review.pain import PainNoted, pain_noted
from trainer.core.review.progress import Progress, progress_of
from trainer.core.review.sides import OneSided, one_sided
from trainer.core.review.streaks import PlannedDays, Streaks, streaks
from trainer.core.review.trends import Trend, judge
from trainer.core.weeks import IsoWeek

DEFAULT_WEEKS = 12
"""Weeks that a review looks back over unless told otherwise (our choice)."""
MOST_BLOCKS = 6
"""Blocks of the felt map, the newest ones (our choice: half a year)."""
MOST_WEEKLY = 156
"""A trend over more weeks than this takes one value for four weeks (our choice)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ExerciseReview:
    """One exercise over the period."""

    exercise: str
    name: str
    brief_name: str
    family: Family | None
    points: tuple[KeptPoint, ...]
    """One for each session, oldest first."""
    best: Best
    """Of the period."""
    best_ever: Best
    trend: Trend
    """Of the best kept hold of each week."""
    progress: Progress | None
    """What could be held then and now; None for what isn't planned any more."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Review:
    """A period, looked back over."""

    today: date
    first: IsoWeek
    last: IsoWeek
    """The running week."""
    made_up: bool
    """The file belongs to a trainee who doesn't exist."""
    name: str | None
    """The trainee's, where one is set."""
    plan: Plan
    suggestions: tuple[Suggestion, ...]
    streaks: Streaks
    """Over the whole log, whatever the period."""
    marks: Mapping[date, DayMark]
    """What each day was."""
    exercises: tuple[ExerciseReview, ...]
    overhead: Mapping[Family, Mapping[IsoWeek, float]]
    """Seconds kept overhead by week, for the families that have any."""
    loads: Mapping[IsoWeek, WeekLoad]
    felt: tuple[Block, ...]
    one_sided: tuple[OneSided, ...]
    """Four weeks of the felt map that are one-sided beyond chance, newest first."""
    pain: tuple[PainNoted, ...]
    """Every pain of the period, and those from before it that are open still."""
    angle_checks: tuple[AngleCheck, ...]
    """Of the whole log."""
    sessions: tuple[Session, ...]
    """Those of the period, oldest first."""
    score: Score
    """How the chances that were shown did, over the whole log."""
    history: History
    """The whole log."""
    forecasts: tuple[Forecast, ...] = ()
    """When each planned exercise that was trained is likely to reach its cap; empty
    until ``with_forecasts`` has worked them out."""

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
        """What was noted on sessions and holds, with the day, newest first.

        The same words on several holds of a day are one note.
        """
        noted = (
            (session.local_date, note)
            for session in reversed(self.sessions)
            for note in (session.note, *(hold.note for hold in session.holds))
            if note
        )
        return tuple(dict.fromkeys(noted))


def review(
    history: History,
    *,
    plan: Plan,
    planned: Sequence[PlannedDays],
    today: date,
    left_out: Container[date] = frozenset(),
    weeks: int | None = DEFAULT_WEEKS,
    suggestions: Sequence[Suggestion] = (),
    angle_checks: Sequence[AngleCheck] = (),
    name: str | None = None,
    made_up: bool = False,
) -> Review:
    """Look back over the last WEEKS weeks, the running one among them.

    Args:
        history: the log; what is dated after today is left out.
        plan: the plan in force.
        planned: the plan's number of days over time.
        today: the local date now.
        left_out: the dates that the zone's clock left out.
        weeks: how many; None for all since the first session.
        suggestions: next week's, to be shown beside.
        angle_checks: all that there are.
        name: the trainee's, where one is set.
        made_up: whether the file's trainee doesn't exist.
    """
    last = IsoWeek.of(today)
    known = [
        session
        for session in history.sessions
        if session.local_date <= today and session.holds
    ]
    begin = min((IsoWeek.of(session.local_date) for session in known), default=last)
    first = begin if weeks is None else max(begin, last.plus(1 - max(1, weeks)))
    monday = first.monday
    period = tuple(session for session in known if session.local_date >= monday)
    map_from = max(first, last.plus(1 - MOST_BLOCKS * BLOCK_WEEKS))
    return Review(
        today=today,
        first=first,
        last=last,
        made_up=made_up,
        name=name,
        plan=plan,
        suggestions=tuple(suggestions),
        streaks=streaks(history, planned=planned, today=today, left_out=left_out),
        marks=marks_of(known, plan, history.rest_weeks),
        exercises=_exercises(history, known, plan, first=first, today=today),
        overhead=overhead_of(period, plan),
        loads=loads_of(period),
        felt=blocks(period, first=map_from, last=last),
        one_sided=one_sided(period, first=map_from, last=last),
        pain=tuple(one for one in pain_noted(known) if one.open or one.day >= monday),
        angle_checks=tuple(angle_checks),
        sessions=period,
        score=score_of(history),
        history=history,
    )


def with_forecasts(found: Review) -> Review:
    """Work the forecasts out, which takes longer than all the rest of a review."""
    forecasts = (
        forecast(found.history, found.plan, entry.exercise, today=found.today)
        for entry in found.plan.exercises
    )
    return replace(found, forecasts=tuple(one for one in forecasts if one is not None))


def name_of(plan: Plan, exercise_id: str) -> str:
    """Return an exercise's name; its id where the plan doesn't know it any more."""
    known = exercise_of(plan, exercise_id)
    return exercise_id if known is None else known.name


def brief_name_of(plan: Plan, exercise_id: str) -> str:
    """Return an exercise's short name; its id where the plan doesn't know it."""
    return plan.brief_name(exercise_id)


def _exercises(
    history: History,
    sessions: Sequence[Session],
    plan: Plan,
    *,
    first: IsoWeek,
    today: date,
) -> tuple[ExerciseReview, ...]:
    points: dict[str, list[KeptPoint]] = defaultdict(list)
    for session in sessions:
        by_exercise: dict[str, list[Hold]] = defaultdict(list)
        for hold in session.holds:
            if hold.counts:
                by_exercise[hold.exercise].append(hold)
        for exercise_id, holds in by_exercise.items():
            points[exercise_id].append(point_of(session.local_date, holds))
    planned = [entry.exercise for entry in plan.exercises]
    order = [*planned, *BUILT_IN]
    found = []
    for exercise_id in sorted(points, key=lambda one: _rank(one, order)):
        ever = points[exercise_id]
        here = tuple(point for point in ever if point.day >= first.monday)
        if not here:
            continue
        progress = None
        if exercise_id in planned:
            days = [point.day for point in here]
            progress = progress_of(history, exercise_id, days, today=today)
        found.append(
            ExerciseReview(
                exercise=exercise_id,
                name=name_of(plan, exercise_id),
                brief_name=brief_name_of(plan, exercise_id),
                family=family_of(plan, exercise_id),
                points=here,
                best=best_of(exercise_id, here),
                best_ever=best_of(exercise_id, ever),
                trend=_trend(here),
                progress=progress,
            )
        )
    return tuple(found)


def _rank(exercise_id: str, order: Sequence[str]) -> tuple[int, str]:
    known = exercise_id in order
    return (order.index(exercise_id) if known else len(order), exercise_id)


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

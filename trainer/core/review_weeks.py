"""What each week and each day of a review comes to: time overhead, load, marks."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import date

from trainer.core.charts_calendar import (
    BOTH_MARK,
    HANG_MARK,
    PAIN_MARK,
    PRESS_MARK,
    REST_MARK,
)
from trainer.core.exercises import Exercise, Family
from trainer.core.load import WeekLoad, week_load
from trainer.core.model import Session
from trainer.core.plan import Plan
from trainer.core.weeks import IsoWeek


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

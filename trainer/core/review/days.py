"""What each day of a period comes to: what was trained, whether it hurt, or rest."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import date
from enum import StrEnum

from trainer.core.exercises import Exercise, Family
from trainer.core.model import Session
from trainer.core.plan.plan import Plan
from trainer.core.weeks import IsoWeek


class DayMark(StrEnum):
    """What a day was."""

    HANG = "hang"
    PRESS = "press"
    BOTH = "both"
    """A hang and a press, or an exercise of neither family."""
    PAIN = "pain"
    """Trained, with a warning sign noted."""
    REST = "rest week"
    """A day of a week off that was meant."""


def exercise_of(plan: Plan, exercise_id: str) -> Exercise | None:
    """Look an exercise up; None for one that an earlier plan brought along."""
    try:
        return plan.exercise(exercise_id)
    except KeyError:
        return None


def family_of(plan: Plan, exercise_id: str) -> Family | None:
    """Return an exercise's family; None where it has none or isn't known any more."""
    known = exercise_of(plan, exercise_id)
    return None if known is None else known.family


def marks_of(
    sessions: Sequence[Session], plan: Plan, rest_weeks: frozenset[IsoWeek]
) -> Mapping[date, DayMark]:
    """Return the mark of each day that has one."""
    marks = {day: DayMark.REST for week in rest_weeks for day in week.days()}
    families: dict[date, set[Family | None]] = defaultdict(set)
    hurt = set()
    for session in sessions:
        of_day = families[session.local_date]
        for exercise_id in {hold.exercise for hold in session.holds}:
            of_day.add(family_of(plan, exercise_id))
        if session.hurt:
            hurt.add(session.local_date)
    for day, of_day in families.items():
        if day in hurt:
            marks[day] = DayMark.PAIN
        elif of_day == {Family.HANG}:
            marks[day] = DayMark.HANG
        elif of_day == {Family.PRESS}:
            marks[day] = DayMark.PRESS
        else:
            marks[day] = DayMark.BOTH
    return marks


def overhead_of(
    sessions: Sequence[Session], plan: Plan
) -> Mapping[Family, Mapping[IsoWeek, float]]:
    """Sum the seconds kept overhead by family and week; no key without any."""
    by_week: dict[IsoWeek, dict[Family, float]] = {}
    known = [plan.exercise(exercise_id) for exercise_id in plan.known_ids()]
    counted = {one.id: one.family for one in known if one.overhead}
    for session in sessions:
        # A week is looked up once a session: ten years have nine thousand holds.
        week = IsoWeek.of(session.local_date)
        of_week = by_week.setdefault(week, defaultdict(float))
        for hold in session.holds:
            family = counted.get(hold.exercise)
            if family is not None:
                of_week[family] += hold.kept_or_held_s
    found = {
        family: {week: of[family] for week, of in by_week.items() if family in of}
        for family in Family
    }
    return {family: weeks for family, weeks in found.items() if weeks}

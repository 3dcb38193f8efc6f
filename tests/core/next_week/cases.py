"""Makers of made-up histories for the tests of next week's rules.

Day 0 is Monday 2 March 2026. ``trained(0, 30, 30, 28)`` is a session with three sets.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, datetime, time, timedelta, timezone
from typing import Any

from trainer.core.answers import HEAD_UP, NO, SHOULDER
from trainer.core.model import (
    Author,
    EndedBy,
    Feet,
    Felt,
    History,
    Hold,
    Pain,
    PainKind,
    PlannedSet,
    Session,
    SessionKind,
    ShownSuggestion,
    Site,
    StoppedBy,
    TargetSet,
)
from trainer.core.next_week.case import Case
from trainer.core.next_week.decide import next_week
from trainer.core.next_week.ladder import slots_of
from trainer.core.next_week.suggestion import Suggestion
from trainer.core.plan.plan import Plan, PlanExercise
from trainer.core.weeks import IsoWeek

MONDAY = date(2026, 3, 2)
WELL = {SHOULDER: NO, HEAD_UP: NO}
"""The answers of somebody whom nothing but the wall's own question holds back."""


def day(number: int) -> date:
    """Give the date that many days after the first Monday."""
    return MONDAY + timedelta(days=number)


def at(number: int, hour: int = 17) -> datetime:
    """Give a moment on that day, UTC."""
    return datetime.combine(day(number), time(hour), timezone.utc)


def hurts(site: str | None = "front-shoulder", kind: str = "pain") -> tuple[Pain, ...]:
    """Give one warning sign."""
    return (Pain(PainKind(kind), None if site is None else Site(site)),)


def trained(
    number: int,
    *kept_s: float,
    exercise: str = "hang",
    target: float | None = 30.0,
    rpe: float | None = 7.0,
    held: float | None = None,
    planned: int | None = None,
    kind: SessionKind = SessionKind.PLAN,
    pain: tuple[Pain, ...] = (),
    felt: tuple[Felt, ...] = (),
    feet: Feet | None = None,
    stopped_by: StoppedBy | None = None,
    ended_by: EndedBy | None = None,
    confirmed: bool = True,
    kept_said: bool = True,
    hour: int = 17,
) -> Session:
    """Give a session of one exercise; pain and felt go with the last set.

    HELD, where given, is what was held in every set that was kept for less.
    """
    made = []
    for index, kept in enumerate(kept_s):
        last = index == len(kept_s) - 1
        short = target is not None and kept < target - 0.5
        ended = ended_by or (EndedBy.KEY if short else EndedBy.TARGET)
        made.append(
            Hold(
                uid=f"h-{number}-{hour}-{exercise}-{index}",
                exercise=exercise,
                set_number=index + 1,
                held_s=max(kept, held or 0.0),
                kept_s=kept if kept_said else None,
                ended_by=ended,
                started_at=at(number, hour),
                target_s=target,
                stopped_by=stopped_by if last else None,
                confirmed=confirmed,
                rpe=rpe,
                pain=pain if last else (),
                felt=felt if last else (),
                feet=feet,
            )
        )
    sets = len(kept_s) if planned is None else planned
    return Session(
        uid=f"s-{number}-{hour}-{exercise}",
        kind=kind,
        started_at=at(number, hour),
        utc_offset_min=0,
        local_date=day(number),
        planned=tuple(
            PlannedSet(exercise, index + 1, target or 30.0, 60) for index in range(sets)
        ),
        holds=tuple(made),
    )


def target(
    number: int,
    target_s: float,
    *,
    exercise: str = "hang",
    author: Author = Author.SUGGESTION,
    week: IsoWeek | None = None,
    rule: str = "",
    left: str = "",
) -> TargetSet:
    """Give a target that was set on that day."""
    return TargetSet(
        uid=f"t-{number}-{exercise}-{target_s:g}",
        exercise=exercise,
        target_s=target_s,
        author=author,
        set_at=at(number, 12),
        local_date=day(number),
        week=week,
        rule=rule,
        from_exercise=left,
    )


def shown(
    number: int,
    *,
    exercise: str = "hang",
    week: IsoWeek | None = None,
    target_s: float | None = 30.0,
    sets: int = 3,
    rule: str = "step",
    change: str = "same",
    chance: float | None = 0.4,
) -> ShownSuggestion:
    """Give a suggestion that was shown on that day, by default for that day's week."""
    return ShownSuggestion(
        uid=f"w-{number}-{exercise}",
        exercise=exercise,
        week=week or IsoWeek.of(day(number)),
        shown_at=at(number, 9),
        target_s=target_s,
        sets=sets,
        rule=rule,
        change=change,
        chance=chance,
    )


def log(
    *sessions: Session,
    targets: Sequence[TargetSet] = (),
    rest_weeks: Sequence[IsoWeek] = (),
    shown: Sequence[ShownSuggestion] = (),
) -> History:
    """Give a history of these."""
    return History(
        sessions=tuple(sorted(sessions, key=lambda session: session.started_at)),
        targets=tuple(targets),
        rest_weeks=frozenset(rest_weeks),
        shown=tuple(shown),
    )


def plan_of(exercise: str = "hang", *more: str, **fields: Any) -> Plan:
    """Give a plan of three sets each, with FIELDS for the first exercise."""
    first = PlanExercise(exercise=exercise, **fields)
    return Plan(
        exercises=(first, *(PlanExercise(exercise=another) for another in more))
    )


def ask(
    history: History,
    today: int,
    plan: Plan | None = None,
    week: IsoWeek | None = None,
    answers: Mapping[str, str] = WELL,
) -> Suggestion:
    """Give the suggestion for the plan's first line, asked on that day."""
    return next_week(
        history, plan or plan_of(), today=day(today), week=week, answers=answers
    )[0]


def case_of(history: History, today: int, plan: Plan | None = None) -> Case:
    """Give the first line's case in the coming week, as the rules are given it."""
    plan, week = plan or plan_of(), IsoWeek.of(day(today)).plus(1)
    return Case(
        history=history,
        plan=plan,
        slot=slots_of(history, plan, week)[0],
        today=day(today),
        week=week,
        answers=WELL,
    )


def next_all(
    history: History, today: int, plan: Plan | None = None
) -> tuple[Suggestion, ...]:
    """Give all suggestions, asked on that day."""
    return next_week(history, plan or plan_of(), today=day(today), answers=WELL)

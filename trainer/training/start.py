"""The start of a session: what was asked for, and what taking it puts in force.

The rules of a day are in ``core.today``; here they meet the data file and the command
line, once for every front end.
"""

from __future__ import annotations

import uuid
from dataclasses import dataclass
from datetime import date, datetime, timezone

from trainer.core.model import Author, History, TargetSet
from trainer.core.next_week.days import target_in_force
from trainer.core.next_week.suggestion import Change, Suggestion
from trainer.core.session.program import SessionProgram
from trainer.core.today import TodayView, one_exercise
from trainer.errors import UsageError
from trainer.store import Store

FASTEST = 20.0
"""The pace of the fastest rehearsal (our choice)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SessionRequest:
    """What to lead: today's session, or one exercise; for real, or as a rehearsal."""

    exercise: str | None = None
    """Set: this exercise alone, without a warm-up; it sets no target."""
    sets: int | None = None
    target_s: float | None = None
    rest_s: float | None = None
    rehearse: bool = False
    """Nothing is logged."""
    speed: float = 1.0
    """How many times as fast; only a rehearsal has another pace than 1."""


def take_suggestions(store: Store, view: TodayView, *, now: datetime) -> None:
    """Put the suggestions that a session starts with in force.

    Only what changes something is written: a target that stays needs no new entry.
    """
    for due in view.due:
        one = due.suggestion
        if due.declined or one.target_s is None:
            continue
        unchanged = one.change is Change.SAME and one.target_s == one.current_s
        if not unchanged:
            store.set_target(target_of(one, now=now, today=view.today))


def target_of(one: Suggestion, *, now: datetime, today: date) -> TargetSet:
    """Give the entry that puts a suggestion in force."""
    if one.target_s is None:
        raise ValueError("a rest has no target to take")
    return TargetSet(
        uid=str(uuid.uuid4()),
        exercise=one.exercise,
        target_s=one.target_s,
        author=Author.SUGGESTION,
        set_at=now.astimezone(timezone.utc),
        local_date=today,
        week=one.week,
        sets=one.sets,
        rule=one.rule.value,
        from_exercise=one.from_exercise,
    )


def requested_program(
    view: TodayView, history: History, request: SessionRequest
) -> SessionProgram:
    """Give the session that was asked for.

    Raises:
        UsageError: nothing is planned, or the exercise can't be rested that long.
    """
    if request.exercise is not None:
        return one_exercise(
            view.plan,
            request.exercise,
            sets=request.sets,
            target_s=request.target_s,
            rest_s=request.rest_s,
            in_force_s=target_in_force(history, view.plan, request.exercise),
        )
    if view.program is None:
        raise UsageError(
            "There is nothing to lead today",
            "Choose one exercise with --exercise, or look at trainer next",
        )
    return view.program

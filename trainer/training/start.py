"""The start of a session: the program that was asked for, and what it puts in force.

The rules of a day are in ``core.today``; here they meet the data file and the command
line, once for every front end.
"""

from __future__ import annotations

import uuid
from datetime import date, datetime, timezone

from trainer.core.model import Author, History, TargetSet
from trainer.core.next_week.days import target_in_force
from trainer.core.next_week.suggestion import Change, Suggestion
from trainer.core.session.program import SessionProgram
from trainer.core.today import TodayView, one_exercise
from trainer.errors import UsageError
from trainer.store import Store
from trainer.training.request import SessionRequest


def take_suggestions(
    store: Store,
    view: TodayView,
    *,
    now: datetime,
    led: SessionProgram | None = None,
) -> None:
    """Put the suggestions that a session starts with in force.

    What isn't LED after all (left out for pain) takes nothing.

    Only what changes something is written: a target that stays needs no new entry.
    """
    for due in view.due:
        one = due.suggestion
        if due.declined or one.target_s is None:
            continue
        if led is not None and one.exercise not in {p.exercise for p in led.planned}:
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

"""What was shown, kept in a real data file and looked back at by next week's rules."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta, timezone
from pathlib import Path

import pytest

from tests.core.next_week.cases import at, day, log, trained
from tests.new_files import new_store
from trainer.core.clock import ManualClock
from trainer.core.model import Session
from trainer.core.next_week.decide import next_week
from trainer.core.next_week.suggestion import Suggestion
from trainer.core.plan.plan import Plan, PlanExercise
from trainer.core.weeks import IsoWeek
from trainer.store import Store
from trainer.training.shown import remember_shown

PLAN = Plan(exercises=(PlanExercise(exercise="hang", step_s=15, sets=6),))
"""Six sets and a large step: clean at RPE 8, the step is less than an even chance."""


def _show(store: Store, sessions: list[Session], number: int, weeks: int) -> Suggestion:
    """Show what is suggested after these sessions, at 20:00 of the day."""
    history = replace(log(*sessions), shown=store.history().shown)
    week = IsoWeek.of(day(number)).plus(weeks)
    made = next_week(history, PLAN, today=day(number), week=week)
    remember_shown(store, made, now=at(number, 20))
    return made[0]


def test_a_step_held_back_in_two_weeks_running_is_found_out(db_path: Path) -> None:
    """Shown as a person would see it, evening by evening, for this week and the next.

    After each session Today and Next week are shown; the second week in which the step
    is held back asks for a last set that goes on, though each week that was trained
    says afterwards that it was trained already.
    """
    clock = ManualClock(start=at(0))
    with new_store(db_path, clock) as store:
        sessions: list[Session] = []
        for number in (1, 3, 8, 10):
            sessions.append(trained(number, *[30.0] * 6, rpe=8))
            _show(store, sessions, number, 0)
            last = _show(store, sessions, number, 1)
            if number == 3:
                assert ("step", "same", None) == (
                    last.rule,
                    last.change,
                    last.find_out_limit_s,
                )

    assert ("step", "same", 37.0) == (last.rule, last.change, last.find_out_limit_s)


@pytest.mark.parametrize(("weeks", "kept"), [(-1, 0), (0, 1), (1, 1), (2, 0), (5, 0)])
def test_only_this_week_and_the_coming_one_are_remembered(
    db_path: Path, weeks: int, kept: int
) -> None:
    """What is looked at for a past or a later week is neither scored nor judged by."""
    with new_store(db_path, ManualClock(start=at(0))) as store:
        _show(store, [trained(-8, 30, 30, 30)], 2, weeks)

        assert kept == len(store.history().shown)


def test_the_week_is_told_by_the_local_date(db_path: Path) -> None:
    """Late on a local Sunday it is still this week, though UTC has Monday already."""
    sunday = datetime(2026, 3, 8, 23, 30, tzinfo=timezone(timedelta(hours=-5)))
    week = IsoWeek.of(sunday.date()).plus(2)
    with new_store(db_path, ManualClock(start=at(0))) as store:
        made = next_week(log(), PLAN, today=sunday.date(), week=week)
        remember_shown(store, made, now=sunday)

        assert () == store.history().shown

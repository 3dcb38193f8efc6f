"""From the data file to a program that can be led, on a real file."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from uuid import uuid4

import pytest

from tests.core.histories import hold, session
from tests.new_files import new_store
from trainer.core.answers import HEAD_UP, NO, SHOULDER, WALL_UNHURRIED, YES
from trainer.core.clock import ManualClock
from trainer.core.model import Author, EndOfHold, SessionKind
from trainer.core.next_week.suggestion import Change
from trainer.core.plan.plan import Order, Plan, PlanExercise, default_plan
from trainer.core.today import TodayView, first_day_test, next_training_day, today_view
from trainer.core.weeks import IsoWeek
from trainer.errors import UsageError
from trainer.store import Store
from trainer.training.request import SessionRequest
from trainer.training.start import requested_program, take_suggestions

MONDAY = date(2026, 3, 2)
EARLIER = (MONDAY - timedelta(days=5), MONDAY - timedelta(days=3))


@pytest.fixture
def clock() -> ManualClock:
    return ManualClock()


@pytest.fixture
def store(tmp_path: Path, clock: ManualClock) -> Iterator[Store]:
    with new_store(tmp_path / "log.db", clock) as opened:
        yield opened


def train(store: Store, exercise: str, target_s: float, *days: date) -> None:
    """Log clean sessions of three sets at RPE 6."""
    for day in days:
        done = session(
            day,
            *(
                hold(
                    exercise,
                    target_s,
                    day=day,
                    set_number=n,
                    rpe=6.0,
                    uid=str(uuid4()),
                )
                for n in (1, 2, 3)
            ),
            uid=str(uuid4()),
        )
        store.begin_session(replace(done, holds=()))
        for one in done.holds:
            store.save_hold(done.uid, one)


def view_of(store: Store, plan: Plan, **more: frozenset[str]) -> TodayView:
    return today_view(
        plan, store.history(), today=MONDAY, answers=store.answers(), **more
    )


def answer(store: Store) -> None:
    """Say that neither shoulders nor eyes nor blood pressure hold anything back."""
    store.set_answer(SHOULDER, NO)
    store.set_answer(HEAD_UP, NO)


HANG_ONLY = Plan(exercises=(PlanExercise(exercise="hang", start_s=20),))


def test_a_newcomers_day_is_one_hang_and_one_press_in_turn(store: Store) -> None:
    """Three sets of each, at the plan's start, after a warm-up of four minutes."""
    made = view_of(store, default_plan()).program

    assert made is not None
    assert ["hang-supported", "press-pushup"] * 3 == [s.exercise.id for s in made.sets]
    assert {20} == {s.target_s for s in made.sets}
    assert [60, 90] == [s.rest_s for s in made.sets[:2]]
    assert pytest.approx(240, abs=3) == sum(m.length_s for m in made.warm_up)


def test_two_clean_sessions_lead_five_seconds_more_and_starting_takes_it(
    store: Store, clock: ManualClock
) -> None:
    """The session leads what the screen shows; from then on it is in force."""
    train(store, "hang", 20, *EARLIER)
    view = view_of(store, HANG_ONLY)
    assert view.program is not None
    assert [25, 25, 25] == [s.target_s for s in view.program.sets]

    take_suggestions(store, view, now=clock.wall())

    (taken,) = store.history().targets
    assert (25, Author.SUGGESTION, IsoWeek.of(MONDAY)) == (
        taken.target_s,
        taken.author,
        taken.week,
    )


def test_a_declined_suggestion_leads_the_target_in_force(
    store: Store, clock: ManualClock
) -> None:
    """And nothing is written."""
    train(store, "hang", 20, *EARLIER)
    view = view_of(store, HANG_ONLY, declined=frozenset({"hang"}))

    assert view.program is not None
    assert {20} == {s.target_s for s in view.program.sets}
    take_suggestions(store, view, now=clock.wall())
    assert () == store.history().targets


PUSHUP_AT_CAP = Plan(
    exercises=(PlanExercise(exercise="press-pushup", start_s=60, cap_s=60),)
)


def test_a_move_up_the_ladder_waits_for_a_yes(store: Store, clock: ManualClock) -> None:
    """Asked, never taken by itself; then the first set only, for two sessions."""
    answer(store)
    train(store, "press-pushup", 60, *EARLIER)
    asked = view_of(store, PUSHUP_AT_CAP)
    assert [Change.MOVE_ON] == [due.suggestion.change for due in asked.due]
    assert asked.program is not None
    assert {"press-pushup"} == {s.exercise.id for s in asked.program.sets}
    take_suggestions(store, asked, now=clock.wall())
    assert () == store.history().targets

    yes = view_of(store, PUSHUP_AT_CAP, accepted=frozenset({"press-pike"}))
    assert yes.program is not None
    expected = [("press-pike", 20), ("press-pushup", 60), ("press-pushup", 60)]
    assert expected == [(s.exercise.id, s.target_s) for s in yes.program.sets]
    take_suggestions(store, yes, now=clock.wall())

    after = view_of(store, PUSHUP_AT_CAP)
    assert after.program is not None
    assert expected == [(s.exercise.id, s.target_s) for s in after.program.sets]


def test_the_wall_is_never_offered_before_it_was_walked(store: Store) -> None:
    """Only after the answer, whatever the figures say."""
    answer(store)
    plan = Plan(exercises=(PlanExercise(exercise="press-pike", start_s=60, cap_s=60),))
    train(store, "press-pike", 60, *EARLIER)

    assert [Change.SAME] == [d.suggestion.change for d in view_of(store, plan).due]

    store.set_answer(WALL_UNHURRIED, YES)
    assert ["press-wall"] == [d.suggestion.exercise for d in view_of(store, plan).due]


def test_a_rest_week_leads_nothing_and_says_so(store: Store) -> None:
    """There is no program; asking for one names the way on."""
    store.set_rest_week(IsoWeek.of(MONDAY), True)
    view = view_of(store, HANG_ONLY)

    assert view.program is None
    with pytest.raises(UsageError, match="nothing to lead"):
        requested_program(view, store.history(), SessionRequest())


def test_one_exercise_alone_has_no_warm_up_and_its_own_figures(store: Store) -> None:
    """A one-off: what was asked for, else the plan's and the target in force."""
    view = view_of(store, HANG_ONLY)
    asked = SessionRequest(exercise="press-pike", sets=2, target_s=12.5, rest_s=5)

    made = requested_program(view, store.history(), asked)

    assert (SessionKind.ONE_OFF, ()) == (made.kind, made.warm_up)
    assert [12.5, 12.5] == [s.target_s for s in made.sets]
    assert [25, 25] == [s.rest_s for s in made.sets]
    bare = requested_program(view, store.history(), SessionRequest(exercise="hang"))
    assert [20, 20, 20] == [s.target_s for s in bare.sets]


def test_a_first_day_test_is_one_hold_of_45_seconds_at_most(store: Store) -> None:
    """Stopped by the program at the latest; several after one warm-up."""
    plan = Plan(exercises=(PlanExercise(exercise="hang", end_of_hold=EndOfHold.STAY),))

    made = first_day_test(plan, ["hang"])

    assert (SessionKind.TEST, [(45, None)]) == (
        made.kind,
        [(s.target_s, s.limit_s) for s in made.sets],
    )
    both = first_day_test(plan, ["hang", "press-pushup"])
    assert ["hang", "press-pushup"] == [s.exercise.id for s in both.sets]
    assert plan.warm_up_s == sum(move.length_s for move in both.warm_up)


@pytest.mark.parametrize(
    ("order", "first"), [(Order.HANG_FIRST, "hang"), (Order.PRESS_FIRST, "press-pike")]
)
def test_an_order_by_family_gives_whole_blocks(
    store: Store, order: Order, first: str
) -> None:
    """All sets of one family, then all of the other."""
    entries = (PlanExercise(exercise="press-pike"), PlanExercise(exercise="hang"))
    made = view_of(store, Plan(exercises=entries, order=order)).program

    assert made is not None
    assert [first] * 3 == [s.exercise.id for s in made.sets[:3]]


def test_the_next_training_day_is_after_today() -> None:
    """Monday's next is Wednesday; a plan without days has none."""
    assert date(2026, 3, 4) == next_training_day(Plan(days=(1, 3)), MONDAY)
    assert MONDAY + timedelta(days=7) == next_training_day(Plan(days=(1,)), MONDAY)
    assert next_training_day(Plan(days=()), MONDAY) is None

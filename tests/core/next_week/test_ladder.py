"""Moves along the ladder, weeks in a row, and odd logs: next week over time."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from tests.core.next_week.cases import (
    ask,
    at,
    day,
    hurts,
    log,
    next_all,
    plan_of,
    target,
    trained,
)
from trainer.core.model import (
    Author,
    EndedBy,
    History,
    SessionKind,
    StoppedBy,
    TargetSet,
)
from trainer.core.next_week.days import days_of, ups
from trainer.core.next_week.decide import next_week, taken, target_in_force
from trainer.core.next_week.suggestion import Suggestion
from trainer.core.plan.plan import Plan, PlanExercise
from trainer.core.weeks import IsoWeek


def take(history: History, got: Suggestion, number: int) -> History:
    """Give the history with the suggestion taken on that day."""
    made = taken(got, uid=f"t{number}", set_at=at(number, 20), local_date=day(number))
    return replace(history, targets=(*history.targets, made))


def follow(plan: Plan, weeks: int, rpe: float = 7) -> list[float]:
    """Make every set of every target, three days a week; give the targets."""
    history, targets = log(), []
    for week in range(weeks):
        sunday = 7 * week - 1
        got = ask(history, sunday, plan)
        history = take(history, got, sunday)
        goal = got.target_s or 0.0
        targets.append(goal)
        made = [
            trained(7 * week + n, *(goal,) * got.sets, target=goal, rpe=rpe)
            for n in (0, 2, 4)
        ]
        history = replace(history, sessions=(*history.sessions, *made))
    return targets


@pytest.mark.parametrize(("start", "steps"), [(20.0, 8), (30.0, 6)])
def test_to_the_cap_in_eight_steps(start: float, steps: int) -> None:
    """20 to 60 s by 5 s a week are eight steps, 30 to 60 s six (references 7)."""
    targets = follow(plan_of(start_s=start), steps + 3)

    assert [start + 5 * n for n in range(steps + 1)] == targets[: steps + 1]
    assert [60.0, 60.0] == targets[steps + 1 :]


class TestDown:
    HURT = tuple(trained(n, 30, 30, 30, pain=hurts()) for n in (0, 2))

    def test_the_rung_below_stands_in(self) -> None:
        """Taken, the rung below is what is asked for, at its own start."""
        history = take(log(*self.HURT), ask(log(*self.HURT), 4), 4)
        got = next_all(history, 5)

        assert [("hang-supported", "", 20.0)] == [
            (s.exercise, s.from_exercise, s.target_s) for s in got
        ]

    def test_it_climbs_by_its_own_rules(self) -> None:
        """Eight days later, clean twice, the rung below rises by a step."""
        history = take(log(*self.HURT), ask(log(*self.HURT), 4), 4)
        easy = [
            trained(n, 20, 20, 20, target=20, exercise="hang-supported", rpe=6)
            for n in (9, 11)
        ]
        got = ask(replace(history, sessions=(*history.sessions, *easy)), 12)

        assert ("hang-supported", "up", 25.0) == (
            got.exercise,
            got.change,
            got.target_s,
        )

    def test_a_target_set_on_the_planned_one_brings_it_back(self) -> None:
        """A person's own target on the exercise that was left ends the stand-in."""
        history = take(log(*self.HURT), ask(log(*self.HURT), 4), 4)
        own = target(12, 20, author=Author.PERSON)
        got = ask(replace(history, targets=(*history.targets, own)), 13)

        assert "hang" == (got.from_exercise or got.exercise)

    @pytest.mark.parametrize(
        "later",
        [
            target(12, 25, exercise="hang-supported", author=Author.PERSON),
            target(12, 25, exercise="press-pike", author=Author.COACH),
            target(12, 25, exercise="hang", author=Author.SUGGESTION),
        ],
    )
    def test_no_other_target_brings_it_back(self, later: TargetSet) -> None:
        """Set on another exercise, or not by a person or a coach: the rung stays."""
        history = take(log(*self.HURT), ask(log(*self.HURT), 4), 4)
        got = ask(replace(history, targets=(*history.targets, later)), 13)

        assert ("hang-supported", "") == (got.exercise, got.from_exercise)

    def test_both_rungs_in_the_plan(self) -> None:
        """With the rung below planned anyway, the upper one rests for 7 days."""
        plan = plan_of("hang", "hang-supported")
        upper, lower = next_all(log(*self.HURT), 4, plan)

        assert ("hang", "rest") == (upper.exercise, upper.change)
        assert ("hang-supported", "start") == (lower.exercise, lower.change)


class TestTrial:
    def asked(self, sets: int) -> list[tuple[str, int, bool]]:
        """Ask with the hang on trial, by a plan of SETS supported hangs."""
        move = target(4, 20, rule="move-on", left="hang-supported")
        asked = next_all(log(targets=[move]), 4, plan_of("hang-supported", sets=sets))
        return [(one.exercise, one.sets, one.first_set_only) for one in asked]

    def test_the_old_rung_fills_what_the_first_set_leaves(self) -> None:
        """Of two sets one is left for it, of one none."""
        assert [("hang", 1, True), ("hang-supported", 1, False)] == self.asked(2)
        assert [("hang", 1, True)] == self.asked(1)

    def test_beside_it_the_old_rungs_target_is_set_as_in_the_plan(self) -> None:
        """One set of two is left to it; one hold by hand sets no target even so."""
        move = target(4, 20, rule="move-on", left="hang-supported")
        old = [trained(n, 60, 60, target=60, exercise="hang-supported") for n in (0, 2)]
        added = trained(
            5,
            40,
            target=40,
            exercise="hang-supported",
            kind=SessionKind.ADDED,
            ended_by=EndedBy.ADDED,
        )
        history = log(*old, replace(added, planned=()), targets=[move])
        _, beside = next_all(history, 6, plan_of("hang-supported", sets=2))

        assert ("hang-supported", 60.0) == (beside.exercise, beside.current_s)

    @pytest.mark.parametrize(("number", "trial"), [(3, True), (4, False)])
    def test_a_session_on_the_day_it_was_taken_is_one_of_the_two(
        self, number: int, trial: bool
    ) -> None:
        """Taken on Friday and hung that day and on Monday: the trial is over."""
        move = target(4, 20, rule="move-on", left="hang-supported")
        hangs = [trained(n, 20, target=20, planned=1) for n in (number, 7)]
        asked = next_all(log(*hangs, targets=[move]), 8, plan_of("hang-supported"))

        assert trial == asked[0].first_set_only


def test_two_lines_that_lead_to_one_rung_ask_for_it_once() -> None:
    """From the push-up up and from the wall down to the pike: as the first line has it.

    With three sets as in the push-up's line, not two as in the wall's.
    """
    plan = replace(
        plan_of("press-pushup"),
        exercises=(
            PlanExercise(exercise="press-pushup", sets=3),
            PlanExercise(exercise="press-wall", sets=2),
        ),
    )
    pikes = [
        trained(n, 20, 20, 20, target=20, exercise="press-pike") for n in (5, 7, 9)
    ]
    moves = [
        target(1, 20, exercise="press-pike", left="press-pushup", rule="move-on"),
        replace(
            target(3, 20, exercise="press-pike", left="press-wall", rule="pain"),
            uid="down",
        ),
    ]
    asked = next_all(log(*pikes, targets=moves), 10, plan)

    assert [("press-pike", 3)] == [(one.exercise, one.sets) for one in asked]


def test_back_on_the_wall_after_pain_is_for_one_session() -> None:
    """Away with pain before: the pike is for one session, and then the wall again."""
    wall = trained(0, 40, 40, 40, target=40, exercise="press-wall", pain=hurts())
    plan = plan_of("press-wall")
    got = ask(log(wall), 28, plan, week=IsoWeek.of(day(28)))
    history = take(log(wall), got, 28)
    pike = trained(28, 30, 30, target=30, exercise="press-pike")
    history = replace(history, sessions=(*history.sessions, pike))
    after = ask(history, 30, plan, week=IsoWeek.of(day(30)))

    assert ("press-pike", 30.0) == (got.exercise, got.target_s)
    assert ("press-wall", 30.0) == (after.exercise, after.target_s)


def test_a_target_from_the_test_is_said_to_be_from_it() -> None:
    """A start that was stored with the test is explained by the test."""
    test = trained(0, 40, target=45, kind=SessionKind.TEST)
    got = ask(log(test, targets=[target(0, 25, author=Author.TEST)]), 1)

    assert 25.0 == got.target_s
    assert any("The test on 2 March 2026 came to 40 s" in r for r in got.reasons)


class TestOddLogs:
    def test_two_sessions_on_one_day_are_one(self) -> None:
        """Morning and evening of one day don't make two running."""
        sessions = (trained(0, 30, 30, 30, hour=8), trained(0, 30, 30, 30, hour=18))

        assert "same" == ask(log(*sessions), 1).change

    def test_a_session_is_at_the_target_that_it_was_led_at(self) -> None:
        """Planned at 30 s and led at 25 s, as a person chose on the day: 25 s."""
        led = trained(2, 25, 25, 25, target=25)
        planned = tuple(replace(one, target_s=30.0) for one in led.planned)

        assert 25.0 == ask(log(replace(led, planned=planned)), 3).current_s

    def test_a_session_in_which_nothing_counted_sets_no_target(self) -> None:
        """Cut off in the morning at 40 s, done in the evening as planned, at 30 s."""
        cut = trained(2, 5, target=40, ended_by=EndedBy.INTERRUPTED, hour=8)
        done = trained(2, 30, 30, 30, target=None, hour=18)

        assert 30.0 == ask(log(cut, done), 3).current_s

    def test_a_session_begun_again_is_whole(self) -> None:
        """One set, a break, then all three: the day has its planned sets."""
        broken = trained(2, 30, planned=3, hour=8)
        history = log(trained(0, 30, 30, 30), broken, trained(2, 30, 30, 30, hour=18))

        assert "up" == ask(history, 3).change

    def test_holds_added_by_hand(self) -> None:
        """Added later without a target, holds count at the target then in force."""
        added = [
            replace(
                trained(
                    n,
                    30,
                    30,
                    30,
                    target=None,
                    kind=SessionKind.ADDED,
                    ended_by=EndedBy.ADDED,
                    rpe=6,
                ),
                planned=(),
            )
            for n in (0, 2)
        ]
        got = ask(log(*added, targets=[target(-3, 30)]), 4)

        assert ("up", 35.0) == (got.change, got.target_s)

    @pytest.mark.parametrize(
        "by_hand",
        [
            {"kind": SessionKind.ADDED},
            {"kind": SessionKind.PLAN, "ended_by": EndedBy.ADDED},
        ],
    )
    def test_a_hold_by_hand_is_one_in_whatever_session(
        self, by_hand: dict[str, Any]
    ) -> None:
        """In one logged by hand, or added to one that was led: 10 s set no target."""
        led = trained(2, 30, 30, 30)
        more = trained(2, 10, target=10, planned=3, hour=19, **by_hand)

        assert 30.0 == ask(log(trained(0, 30, 30, 30), led, more), 3).current_s

    def test_an_added_hold_alone_is_not_all_planned_sets(self) -> None:
        """One hold added by hand is short of the plan's three sets."""
        added = [
            replace(trained(n, 30, kind=SessionKind.ADDED), planned=()) for n in (0, 2)
        ]

        assert "same" == ask(log(*added), 4).change

    def test_over_midnight_it_is_the_day_it_began(self) -> None:
        """A session belongs to its local date, whatever the hour in UTC."""
        late = replace(trained(1, 30, 30, 30, hour=1), local_date=day(0))
        early = trained(0, 30, 30, 30, hour=20)

        assert "same" == ask(log(early, late), 2).change

    def test_a_past_week_sees_only_what_came_before(self) -> None:
        """Asked for a week that is past, later sessions don't speak."""
        sessions = [trained(n, 30, 30, 30) for n in (0, 2, 9, 11)]
        got = ask(log(*sessions), 40, week=IsoWeek.of(day(7)))

        assert ("step", 35.0) == (got.rule, got.target_s)

    def test_a_past_week_is_asked_for_as_it_was_before_its_monday(self) -> None:
        """A session and a target of that very Monday came after it had begun."""
        sessions = [trained(n, 30, 30, 30) for n in (0, 2, 7)]
        own = target(7, 60, author=Author.PERSON)
        got = ask(log(*sessions, targets=[own]), 40, week=IsoWeek.of(day(7)))

        assert ("step", 30.0, 35.0) == (got.rule, got.current_s, got.target_s)

    def test_an_exercise_dropped_for_a_month(self) -> None:
        """One of two exercises away for a month steps back, the other goes on."""
        presses = [
            trained(n, 30, 30, 30, exercise="press-pike", rpe=6) for n in (28, 30)
        ]
        hang, press = next_all(
            log(trained(0, 40, 40, 40, target=40), *presses),
            31,
            plan_of("hang", "press-pike"),
        )

        assert ("away", "down", 20.0) == (hang.rule, hang.change, hang.target_s)
        assert ("step", "up") == (press.rule, press.change)

    def test_the_plan_changed_in_mid_week(self) -> None:
        """A session is measured by what was planned when it began."""
        sessions = [trained(n, 30, 30, rpe=6) for n in (0, 2)]

        assert "up" == ask(log(*sessions), 3, plan_of(sets=4)).change

    def test_a_hold_that_nerve_ended_with_pain(self) -> None:
        """Numbness without a site holds every exercise: it may be loaded by any."""
        numb = trained(
            4,
            10,
            exercise="press-pike",
            stopped_by=StoppedBy.NERVE,
            pain=hurts(None, "numb"),
        )
        sessions = [trained(n, 30, 30, 30, rpe=6) for n in (0, 2)]

        assert "pain" == ask(log(*sessions, numb), 5).rule


def test_the_target_in_force() -> None:
    """The last target set wins over the last session, that over the plan's start."""
    plan = plan_of(start_s=25)
    session = trained(3, 40, target=40)

    assert 25 == target_in_force(log(), plan, "hang")
    assert 40 == target_in_force(log(session), plan, "hang")
    assert 30 == target_in_force(log(session, targets=[target(0, 30)]), plan, "hang")
    assert 20 == target_in_force(log(), plan, "press-pike")


def test_once_a_target_was_set_a_session_at_another_is_no_rise() -> None:
    """Taken at 30 s twice, and trained once at 20 s between: it never rose."""
    history = log(
        trained(5, 20, 20, 20, target=20), targets=[target(0, 30), target(10, 30)]
    )
    before = log(trained(0, 20, target=20), trained(2, 25, target=25))
    that_day = log(trained(0, 25, target=25), targets=[target(0, 30)])

    assert () == ups(that_day, "hang", days_of(that_day, plan_of(), "hang"))
    assert () == ups(history, "hang", days_of(history, plan_of(), "hang"))
    assert (day(2),) == ups(before, "hang", days_of(before, plan_of(), "hang"))


def test_a_rest_cannot_be_taken() -> None:
    """There is no target to take from a rest, and that is said."""
    history = log(rest_weeks=[IsoWeek.of(day(7))])
    (got,) = next_week(history, plan_of(), today=day(0))

    with pytest.raises(ValueError, match="nothing to take"):
        take(history, got, 0)

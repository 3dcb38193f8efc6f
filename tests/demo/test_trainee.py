"""The made-up trainee: always the same, and with something for every screen."""

from __future__ import annotations

from datetime import timedelta

from tests.trainee import LAST_DAY, trainee
from trainer.core.answers import is_made_up
from trainer.core.exercises import LADDERS, Family
from trainer.core.logbook import session_end
from trainer.core.model import EndedBy, Moment, PainKind, Site
from trainer.core.review.review import review
from trainer.core.review.streaks import PlannedDays, WeekState, streaks
from trainer.core.weeks import IsoWeek
from trainer.demo.trainee import WEEKS, made_up

TODAY = LAST_DAY


def planned() -> list[PlannedDays]:
    """Give how many days a week its plans have."""
    return [PlannedDays(since, len(plan.days)) for since, plan in trainee().plans]


def test_is_the_same_each_time() -> None:
    """One seed, one trainee."""
    assert trainee() == made_up(TODAY)


def test_says_that_it_is_made_up() -> None:
    """The file that it becomes is marked."""
    assert is_made_up(trainee().answers)


def test_lies_in_the_twenty_weeks_before_today() -> None:
    """Whatever the weekday, nothing is dated today or later, or before week one."""
    for days in range(7):
        today = TODAY + timedelta(days=days)
        history = made_up(today).history
        first = IsoWeek.of(today).plus(1 - WEEKS)

        assert all(first.monday <= one.local_date < today for one in history.sessions)
        assert all(one.local_date < today for one in history.targets)


def test_uids_are_not_used_twice() -> None:
    """Every session, hold and target has an id of its own."""
    history = trainee().history
    uids = [
        *(one.uid for one in history.sessions),
        *(one.uid for session in history.sessions for one in session.holds),
        *(one.uid for one in history.targets),
        *(one.uid for one in history.shown),
    ]

    assert len(set(uids)) == len(uids) > 300


def test_climbs_both_ladders_by_a_rung() -> None:
    """Both families move up: supported to passive hang, push-up to pike."""
    trained = {
        hold.exercise for one in trainee().history.sessions for hold in one.holds
    }

    assert {*LADDERS[Family.HANG], "press-pushup", "press-pike"} == trained


def test_has_a_missed_fortnight_a_rest_week_and_a_rest_for_pain() -> None:
    """The weeks hold every state that the review knows."""
    found = streaks(trainee().history, planned=planned(), today=TODAY)
    states = [week.state for week in found.weeks]

    assert [WeekState.MISSED] * 2 == states[13:15]
    assert WeekState.REST is states[6]
    assert {WeekState.DONE, WeekState.FIRST, WeekState.RUNNING} <= set(states)
    assert found.current > 0
    assert found.longest > found.current


def test_has_a_plateau() -> None:
    """The passive hang stays at one target for four weeks before the fortnight."""
    monday = IsoWeek.of(TODAY).plus(1 - WEEKS)
    targets = {
        hold.target_s
        for one in trainee().history.sessions
        for hold in one.holds
        if hold.exercise == "hang"
        and IsoWeek.of(one.local_date).since(monday) in range(9, 13)
    }

    assert {30} == targets


def test_has_a_sore_wrist_and_odd_ends() -> None:
    """A hold hurts, one is interrupted, one nobody answered, some end early."""
    holds = [hold for one in trainee().history.sessions for hold in one.holds]
    pains = [(pain.kind, pain.site) for hold in holds for pain in hold.pain]

    assert [(PainKind.PAIN, Site.WRIST)] * 2 == pains
    assert {EndedBy.TARGET, EndedBy.KEY, EndedBy.INTERRUPTED} == {
        hold.ended_by for hold in holds
    }
    assert any(not hold.confirmed for hold in holds)


def test_the_stretch_moves_to_the_exhale() -> None:
    """The felt map has something to tell: pecs early, ribs with the exhale late."""
    found = review(
        trainee().history,
        plan=trainee().plan,
        planned=planned(),
        today=TODAY,
        weeks=None,
    )

    assert Site.PECS is found.felt[0].marks[Moment.SETTLED][0].site
    assert Site.RIBS is found.felt[-1].marks[Moment.EXHALE][0].site


def test_sessions_end_after_their_last_hold() -> None:
    """Times within a session follow each other."""
    for one in trainee().history.sessions:
        starts = [hold.started_at for hold in one.holds]

        assert sorted(starts) == starts
        assert one.ended_at is not None
        assert session_end(one) == one.ended_at


def test_was_shown_what_the_rules_say() -> None:
    """Each coming week was asked for: forecasts have a score, pain has its rest."""
    shown = trainee().history.shown
    weeks = {one.week for one in shown}
    rest = [one for one in shown if (one.rule, one.change) == ("pain", "rest")]

    assert len(weeks) == WEEKS - 1
    assert sum(one.chance is not None for one in shown) > 20
    assert ["press-pike"] == [one.exercise for one in rest]

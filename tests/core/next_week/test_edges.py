"""Next week at the edges of its rules, found by reading it against the contract."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.core.next_week.cases import (
    WELL,
    ask,
    day,
    hurts,
    log,
    plan_of,
    shown,
    target,
    trained,
)
from trainer.cli.next import suggestion_lines
from trainer.core.capacity.calibration import Scored, scored
from trainer.core.capacity.forecast import forecast
from trainer.core.exercises import Exercise, Family, brief_name, said_name
from trainer.core.model import Author, EndedBy, History, Pain, Session, SessionKind
from trainer.core.next_week.decide import next_week, target_in_force
from trainer.core.next_week.suggestion import suggestion_as_dict
from trainer.core.plan.first_day import last_test
from trainer.core.plan.plan import Plan
from trainer.core.today import today_view
from trainer.core.weeks import IsoWeek
from trainer.tui.screens.next_week_text import headline
from trainer.tui.screens.today_text import can_decline, order_line

WALL = {Family.HANG: "hang", Family.PRESS: "press-wall"}


def test_a_promise_after_a_rise_names_the_day_from_which_it_holds() -> None:
    """One more session soon after a rise isn't enough: six days have to pass too."""
    rose_on_friday = log(
        trained(2, 25, 25, 25, target=25), trained(4, 30, 30, 30, target=30)
    )

    got = ask(rose_on_friday, 4)

    assert (
        "After one more session at 30 s by 19 March 2026, with every set kept, no pain"
        " and an RPE of 7 or less noted, for a week that begins training on 12 March"
        " 2026 or later, it would be 35 s.",
    ) == got.would_change


def _at_the_cap(exercise: str) -> History:
    return log(
        *(trained(n, 60, 60, 60, target=60, exercise=exercise, rpe=6) for n in (0, 2))
    )


@pytest.mark.parametrize(
    ("answers", "offered"),
    [
        ({}, "press-pushup"),
        (WELL, "press-pike"),
        (WELL | {"wall-unhurried": "no"}, "press-pike"),
    ],
)
def test_the_wall_in_a_plan_file_answers_nothing_for_the_person(
    answers: dict[str, str], offered: str
) -> None:
    """The wall is offered after the person's own yes, whoever wrote the plan."""
    plan = replace(plan_of("press-pike"), top=WALL)
    pushup = replace(plan_of("press-pushup"), top=WALL)

    assert "at-cap" == ask(_at_the_cap("press-pike"), 3, plan, answers=answers).rule
    assert (
        offered == ask(_at_the_cap("press-pushup"), 3, pushup, answers=answers).exercise
    )


def test_the_wall_is_offered_after_the_persons_own_yes() -> None:
    """With the answer, the plan's wall is on offer."""
    plan = replace(plan_of("press-pike"), top=WALL)
    yes = WELL | {"wall-unhurried": "yes"}

    assert "press-wall" == ask(_at_the_cap("press-pike"), 3, plan, answers=yes).exercise


def _with_added(kind: SessionKind, *held_s: float, target_s: float = 30.0) -> Session:
    """Give a session of one hold of its own kind, and holds added to it by hand."""
    own = trained(2, 40, target=45, rpe=7, kind=kind)
    added = trained(2, *held_s, target=target_s, rpe=7, ended_by=EndedBy.ADDED)
    return replace(
        own,
        holds=(
            *own.holds,
            *(replace(h, uid=f"a{h.uid}", set_number=9) for h in added.holds),
        ),
    )


def test_a_hold_added_by_hand_is_no_first_day_test() -> None:
    """Added to the day of the test it stays an added hold, and the test the test."""
    found = last_test(log(_with_added(SessionKind.TEST, 12)), "hang")

    assert found is not None
    assert 40 == found.held_s


@pytest.mark.parametrize("kind", [SessionKind.ONE_OFF, SessionKind.TEST])
def test_holds_added_to_a_one_off_session_count_for_the_rules(
    kind: SessionKind,
) -> None:
    """Three added holds are a session of training, whatever session they joined."""
    got = ask(log(trained(0, 30, 30, 30), _with_added(kind, 30, 30, 30)), 4)

    assert ("step", "up", 35.0) == (got.rule, got.change, got.target_s)


def test_holds_added_to_a_one_off_session_are_scored() -> None:
    """What was shown is scored by the added holds, and not by the one-off's own."""
    history = log(
        _with_added(SessionKind.ONE_OFF, 30, 30, 30),
        shown=[shown(1, chance=0.8)],
    )

    assert (Scored("hang", 0.8, made=True),) == scored(history)


@pytest.mark.parametrize(
    ("author", "who"), [(Author.COACH, "your coach"), (Author.PERSON, "you")]
)
def test_a_target_set_after_the_last_session_outlasts_the_weeks_away(
    author: Author, who: str
) -> None:
    """Whoever set it knew of the absence: kept, and said to be theirs; a set fewer."""
    got = ask(
        log(
            trained(0, 40, 40, 40, target=40),
            targets=[target(39, 35, author=author)],
        ),
        40,
    )

    assert ("away", "same", 35.0, 2) == (got.rule, got.change, got.target_s, got.sets)
    assert (
        f"The target of 35 s is one that {who} set on 10 April 2026."
        " That was 39 days after that session, in knowledge of the time away: so it is"
        " kept."
    ) in " ".join(got.reasons)
    assert (
        "Without what was set on 10 April 2026 and after, it would be 20 s in 2 sets.",
    ) == got.would_change


def test_a_target_set_before_the_last_session_does_not() -> None:
    """Nobody knew of the absence then: the weeks away count."""
    history = log(
        trained(2, 40, 40, 40, target=40),
        targets=[target(1, 40, author=Author.COACH)],
    )

    assert ("away", "down", 20.0) == (
        (got := ask(history, 40)).rule,
        got.change,
        got.target_s,
    )


@pytest.mark.parametrize(("target_s", "rest_s"), [(30.0, 60.0), (50.0, 100.0)])
def test_the_rest_is_the_one_that_will_run(target_s: float, rest_s: float) -> None:
    """At least twice the target, as the session leads it, or the plan's 60 s."""
    history = log(
        trained(0, *[target_s] * 3, target=target_s, rpe=None),
    )
    plan = plan_of()

    got = ask(history, 2, plan)
    due = today_view(plan, history, today=day(2), answers={}).program

    assert rest_s == got.rest_s
    assert due is not None
    assert {rest_s} == {one.rest_s for one in due.sets}


def test_where_nothing_is_held_the_rest_is_the_plans() -> None:
    """A week off has no target to rest twice as long as."""
    off = log(rest_weeks=[IsoWeek.of(day(7))])

    assert [0, 60] == [ask(off, 0, plan_of(rest_s=rest)).rest_s for rest in (0, 60)]


def test_the_rest_on_another_rung_is_that_rungs_own() -> None:
    """A rung down that has a line of its own rests as that line says."""
    hurt = log(*(trained(n, 30, 30, 30, pain=hurts()) for n in (0, 2)))

    assert 60.0 == ask(hurt, 3, plan_of("hang", rest_s=60)).rest_s
    assert 75.0 == ask(hurt, 3, plan_of("hang", rest_s=75)).rest_s


FAR = IsoWeek.of(day(0)).plus(4)
"""The week that begins on 30 March 2026."""


def test_a_week_far_ahead_counts_the_days_up_to_it() -> None:
    """Asked on the day after a session for a week four weeks on: that is weeks away.

    The reasons say on which day they rest, since those days are yet to come.
    """
    history = log(*(trained(n, 40, 40, 40, target=40) for n in (0, 2)))

    got = ask(history, 3, week=FAR)

    assert ("away", "down", 35.0, 2) == (got.rule, got.change, got.target_s, got.sets)
    assert (
        "This is how it will stand on 29 March 2026 if nothing more is logged by then.",
        "On 30 March 2026, the week's first day of training, the last session lies 26"
        " days back: 4 March 2026, at 40 s.",
    ) == got.reasons[:2]


def test_pain_elsewhere_is_over_in_a_week_far_ahead() -> None:
    """Pain counts for seven days up to that week, not up to the day of asking."""
    hurt = trained(2, 20, exercise="press-pike", target=20, pain=hurts("pecs"))
    history = log(*(trained(n, 30, 30, 30) for n in (0, 2)), hurt)
    two_on = IsoWeek.of(day(0)).plus(2)

    assert ["pain", "step"] == [
        ask(history, 3, week=week).rule for week in (None, two_on)
    ]


def test_this_week_is_judged_by_today_and_the_coming_one_by_its_first_day() -> None:
    """On Monday, 12 days after the last session: this week isn't away, the next is."""
    history = log(*(trained(n, 40, 40, 40, target=40) for n in (0, 2)))

    this, coming = (ask(history, 14, week=week) for week in (IsoWeek.of(day(14)), None))

    assert ("step", "away") == (this.rule, coming.rule)
    assert ("same", 40.0) == (coming.change, coming.target_s)
    assert not any("will stand" in reason for reason in coming.reasons)


def _test(number: int, held_s: float, exercise: str = "hang") -> Session:
    """Give a first-day test that was held for so long."""
    return trained(
        number, held_s, target=45, rpe=7, exercise=exercise, kind=SessionKind.TEST
    )


def test_a_short_first_day_test_means_the_rung_below() -> None:
    """Under 15 s, the easier rung at its start, as a step down the ladder."""
    got = ask(log(_test(0, 12)), 1)

    assert ("start", "down", "hang-supported", "hang", 20.0, 3) == (
        got.rule,
        got.change,
        got.exercise,
        got.from_exercise,
        got.target_s,
        got.sets,
    )
    assert (
        "No session counts for it yet.",
        "The test on 2 March 2026 came to 12 s, under 15 s: the rung below fits"
        " better.",
        "One rung down: supported hang at its start of 20 s.",
    ) == got.reasons


def test_a_short_test_wins_over_a_start_that_was_taken_before_it() -> None:
    """20 s taken the day before the test says less than 12 s held in it."""
    before = log(_test(1, 12), targets=[target(0, 20)])
    own_later = log(_test(1, 12), targets=[target(2, 20, author=Author.PERSON)])

    assert "hang-supported" == ask(before, 2).exercise
    assert ("hang", 20.0) == ((got := ask(own_later, 2)).exercise, got.target_s)


def test_a_short_test_taken_down_the_ladder_stays_there() -> None:
    """Taken, the rung below stands in the plan's line from then on."""
    history = log(
        _test(0, 12),
        targets=[target(1, 20, exercise="hang-supported", left="hang", rule="start")],
    )

    got = ask(history, 1)

    assert ("hang-supported", "", 20.0) == (
        got.exercise,
        got.from_exercise,
        got.target_s,
    )


@pytest.mark.parametrize(
    ("plan", "exercise", "target_s", "sentence"),
    [
        (
            plan_of("hang-supported"),
            "hang-supported",
            10.0,
            "There is no easier rung: so it starts at the least there is, 10 s.",
        ),
        (
            plan_of("hang", "hang-supported"),
            "hang",
            10.0,
            "The easier rung is in the plan already: so it starts at the least there"
            " is, 10 s.",
        ),
        (
            plan_of("hang-supported", floor_s=12),
            "hang-supported",
            12.0,
            "It doesn't go under the plan's floor of 12 s.",
        ),
    ],
)
def test_a_short_test_without_a_free_rung_below_gives_the_least_start(
    plan: Plan, exercise: str, target_s: float, sentence: str
) -> None:
    """The bottom rung starts at 10 s, or at the plan's floor, which is said."""
    got = ask(log(_test(0, 12, exercise)), 1, plan)

    assert ("start", "start", exercise, target_s) == (
        got.rule,
        got.change,
        got.exercise,
        got.target_s,
    )
    assert sentence in got.reasons


def test_a_tests_start_is_kept_under_the_cap_and_that_is_said() -> None:
    """Two thirds of 45 s are 30 s; a cap of 25 s is named."""
    got = ask(log(_test(0, 45)), 1, plan_of(cap_s=25))

    assert 25.0 == got.target_s
    assert "It doesn't go over the plan's cap of 25 s." in got.reasons


def test_before_the_first_session_the_plans_start_is_in_force() -> None:
    """The target in force is always told: at the start it is the plan's."""
    got = ask(log(), 0, plan_of(start_s=25))

    assert ("start", 25.0, 25.0) == (got.rule, got.current_s, got.target_s)
    assert 25 == suggestion_as_dict(got)["current_s"]


def test_a_start_is_no_step_on_the_screens() -> None:
    """A test's start beside the plan's is neither more nor less of anything."""
    history, plan = log(_test(0, 45)), plan_of()
    got = ask(history, 1, plan)
    due = today_view(plan, history, today=day(1), answers={}).due[0]

    assert (20.0, 30.0) == (got.current_s, got.target_s)
    assert "start: 3 × 30 s" == headline(got)
    assert "Passive hang, the week of 9 March: 3 × 30 s, rest 60 s (start)" == next(
        suggestion_lines(got, plan)
    )
    assert not can_decline(due.suggestion)


def test_a_coachs_target_stays_theirs_after_it_was_taken() -> None:
    """Taking the suggestion that keeps a coach's target doesn't lower it next time."""
    history = log(
        trained(0, 40, 40, 40, target=40),
        targets=[target(39, 35, author=Author.COACH), target(40, 35)],
    )

    got = ask(history, 40)

    assert (35.0, True) == (got.target_s, "your coach set" in " ".join(got.reasons))


UP = WELL | {"head-up": "yes"}
"""The answer of somebody with an eye or blood-pressure caution."""


@pytest.mark.parametrize("exercise", ["press-pike", "press-wall"])
@pytest.mark.parametrize("days", [3, 33])
@pytest.mark.parametrize("kept_s", [30.0, 5.0])
@pytest.mark.parametrize("pain", [(), hurts()])
def test_with_the_head_up_nothing_head_down_is_suggested(
    exercise: str, days: int, kept_s: float, pain: tuple[Pain, ...]
) -> None:
    """Clean, too much, hurt or away: the push-up position at its start, and why."""
    history = log(
        *(trained(n, *[kept_s] * 3, exercise=exercise, pain=pain) for n in (0, 2))
    )
    yes = {**UP, "wall-unhurried": "yes"}

    got = ask(history, days, plan_of(exercise), answers=yes)

    assert ("press-pushup", "start", 20.0, 3, "") == (
        got.exercise,
        got.change,
        got.target_s,
        got.sets,
        got.from_exercise,
    )
    assert (
        "You answered that there is an eye or blood-pressure caution: the head stays"
        f" up. {brief_name(exercise)} is head-down, so it is left out, and push-up"
        " press-away takes its place."
    ) == got.reasons[0]
    assert (
        "A clinician who knows you may say otherwise: another answer on the first-day"
        f" screen brings {said_name(exercise)} back."
    ) in got.would_change


def test_with_the_head_up_the_pushup_goes_on_from_where_it_is() -> None:
    """Its own target in force and its own sessions decide, as for any exercise."""
    pushups = {"exercise": "press-pushup", "target": 40.0, "rpe": 6.0}
    history = log(*(trained(n, 40, 40, 40, **pushups) for n in (0, 2)))  # type: ignore[arg-type]

    got = ask(history, 3, plan_of("press-pike"), answers=UP)

    assert ("press-pushup", "step", 45.0) == (got.exercise, got.rule, got.target_s)


def test_with_the_head_up_and_the_pushup_planned_the_pike_rests() -> None:
    """Both in the plan: the push-up position as planned, nothing in its place."""
    plan = plan_of("press-pike", "press-pushup", "press-wall")

    asked = next_week(log(), plan, today=day(0), answers=UP)

    assert [
        ("press-pike", "head-up", "rest", None),
        ("press-pushup", "start", "start", 20.0),
        ("press-wall", "head-up", "rest", None),
    ] == [(one.exercise, one.rule, one.change, one.target_s) for one in asked]
    assert "is asked for already" in asked[0].reasons[1]


def test_with_the_head_up_two_head_down_lines_give_one_pushup() -> None:
    """Pike and wall planned: one gives way to the push-up position, the other rests."""
    plan = plan_of("press-pike", "press-wall")

    asked = next_week(log(), plan, today=day(0), answers=UP)

    assert [("press-pushup", 20.0), ("press-wall", None)] == [
        (one.exercise, one.target_s) for one in asked
    ]


def test_with_the_head_up_a_trial_of_the_pike_ends() -> None:
    """The planned push-up position has all its sets again."""
    move = target(1, 20, exercise="press-pike", left="press-pushup", rule="move-on")

    asked = next_week(
        log(targets=[move]), plan_of("press-pushup"), today=day(2), answers=UP
    )

    assert [("press-pushup", 3, False)] == [
        (one.exercise, one.sets, one.first_set_only) for one in asked
    ]


def test_another_answer_brings_the_pike_back() -> None:
    """Taken and trained, the push-up position was no move: the plan's pike is back."""
    history = log(
        trained(1, 20, 20, 20, exercise="press-pushup", target=20),
        targets=[target(0, 20, exercise="press-pushup", rule="start")],
    )

    assert ["press-pushup", "press-pike"] == [
        ask(history, 2, plan_of("press-pike"), answers={"head-up": said}).exercise
        for said in ("yes", "no")
    ]


def test_an_own_head_down_exercise_gives_way_too() -> None:
    """An exercise of the plan file that is upside down is head-down as well."""
    own = Exercise(
        id="headstand",
        name="Headstand",
        family=None,
        setup_s=10,
        go_up_lead_s=3,
        allowance_s=3,
        upside_down=True,
    )
    plan = replace(plan_of("headstand"), own=(own,))

    got = ask(log(), 0, plan, answers=UP)

    assert "press-pushup" == got.exercise
    assert any("Headstand is head-down" in text for text in got.reasons)
    assert any("brings Headstand back" in text for text in got.would_change)


def test_an_own_exercise_is_called_by_its_name() -> None:
    """In the head, sentences, the order of the sets, the forecast: never its id."""
    own = Exercise(
        id="ring-hang",
        name="Hang on Rings",
        family=Family.HANG,
        setup_s=10,
        go_up_lead_s=3,
        allowance_s=3,
    )
    plan = replace(plan_of("ring-hang"), own=(own,))
    history = log(
        *(trained(n, 20, 20, 20, target=20, exercise="ring-hang") for n in (0, 2))
    )

    got = ask(history, 4, plan)
    lines = [*suggestion_lines(got, plan)]
    told = forecast(history, plan, "ring-hang", today=day(4))
    view = today_view(plan, history, today=day(4), answers={})
    assert view.program is not None

    assert lines[0].startswith("Hang on Rings, the week of 9 March: ")
    assert told is not None
    assert "The cap, 60 s of Hang on Rings" in told.sentence()
    assert "Hang on Rings" in order_line(view.program)
    assert not [text for text in (*lines, told.sentence()) if "ring-hang" in text]


def test_a_wrist_that_hurt_twice_upside_down_rests_from_every_press() -> None:
    """With the head up, the press that takes its place isn't begun for seven days."""
    history = log(
        *(
            trained(n, 30, 30, 30, exercise="press-pike", pain=hurts("wrist"))
            for n in (0, 2)
        )
    )
    plan = plan_of("press-pike")

    resting = ask(history, 3, plan, answers=UP)

    assert ("pain", "rest", None) == (resting.rule, resting.change, resting.target_s)
    assert "press-pushup" == ask(history, 10, plan, answers=UP).exercise


def test_a_target_for_the_coming_week_outlasts_one_taken_for_this_one() -> None:
    """Set on Monday for next week; Wednesday's suggestion is this week's alone."""
    this, coming = IsoWeek.parse("2026-W11"), IsoWeek.parse("2026-W12")
    monday = target(7, 42, author=Author.PERSON, week=coming)
    wednesday = target(9, 25, author=Author.SUGGESTION, week=this)
    history = replace(
        log(trained(2, 20, 20, 20, target=20)), targets=(monday, wednesday)
    )

    assert 25 == target_in_force(history, plan_of(), "hang", week=this)
    assert 42 == target_in_force(history, plan_of(), "hang", week=coming)

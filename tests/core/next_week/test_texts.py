"""The suggestions' words: kept as text, read by people, and true of the case."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from tests.core.next_week.cases import (
    ask,
    case_of,
    day,
    hurts,
    log,
    plan_of,
    target,
    trained,
)
from tests.core.next_week.histories import FOLDER, Story, stories, text_of
from trainer.core.model import SessionKind
from trainer.core.next_week.hindrances import promise, step_blocks
from trainer.core.next_week.otherwise import Answer, Otherwise
from trainer.core.next_week.suggestion import Suggestion, suggestion_as_dict, whole
from trainer.core.weeks import IsoWeek

DAY = timedelta(days=1)
STORIES = {story.name: story for story in stories()}


@pytest.mark.parametrize("name", STORIES)
def test_the_text_is_the_one_kept(name: str) -> None:
    """Each made-up history gives, word for word, the suggestion that was read."""
    kept = (FOLDER / f"{name}.txt").read_text(encoding="utf-8")

    assert kept == text_of(STORIES[name])


def test_every_kept_text_has_its_history() -> None:
    """No text is left over without a history."""
    assert {f"{name}.txt" for name in STORIES} == {
        path.name for path in FOLDER.iterdir()
    }


@pytest.mark.parametrize("rpe", [6.0, 7.0])
@pytest.mark.parametrize("current", [20.0, 30.0, 45.0])
def test_one_more_session_keeps_its_word(current: float, rpe: float) -> None:
    """What "one more session … would make it" promises, one more session makes."""
    sets = (current,) * 3
    first = trained(0, *sets, target=current, rpe=rpe)
    before = ask(log(first), 1)
    after = ask(log(first, trained(2, *sets, target=current, rpe=7)), 3)

    assert (
        f"After one more session at {current:g} s by 15 March 2026, "
        in (before.would_change[0])
    )
    assert f"it would be {after.target_s:g} s." in before.would_change[0]
    assert "up" == after.change


@pytest.mark.parametrize(
    ("asked", "count", "by"), [(12, "one", "15 March"), (13, "two", "28 March")]
)
def test_one_more_session_is_enough_while_it_still_runs_with_the_last(
    asked: int, count: str, by: str
) -> None:
    """Clean on 2 March: until the 15th, the thirteenth day, one more is the second."""
    got = ask(log(trained(0, 30, 30, 30)), asked, week=IsoWeek.of(day(asked)))
    sessions = "session" if count == "one" else "sessions"

    assert got.would_change[0].startswith(
        f"After {count} more {sessions} at 30 s by {by} 2026, "
    )


def test_two_more_sessions_are_tried_at_both_ends_of_the_days_named() -> None:
    """Tomorrow and the day after, tomorrow and the last day, the last two days."""
    case = case_of(log(trained(0, 30, 30, 27)), 1)
    promised = promise(case, Answer(case.name, 35.0, 3))
    tried = {
        tuple((one.local_date - day(1)).days for one in copy.history.sessions[-2:])
        for copy in promised.copies
    }

    rated = {
        hold.rpe for copy in promised.copies for hold in copy.history.sessions[-1].holds
    }

    assert {(1, 2), (1, 13), (12, 13)} == tried
    assert {7.0, 5.0} == rated
    assert all(copy.today == copy.week.monday - DAY for copy in promised.copies)


@pytest.mark.parametrize(
    ("rose_on", "days", "monday"),
    [
        (4, (1, 3, 5), 14),
        (4, (3,), 14),
        (4, (4,), 7),
        (4, (5,), 7),
        (4, (), 14),
        (2, (), 14),
        (2, (2, 4), 7),
        (2, (1,), 14),
    ],
)
def test_after_a_rise_the_first_week_that_may_bring_another_is_asked_for(
    rose_on: int, days: tuple[int, ...], monday: int
) -> None:
    """Six days on at the soonest: by the plan's first day, or Monday without any."""
    history = log(
        trained(rose_on - 2, 25, 25, 25, target=25), trained(rose_on, 30, 30, 30)
    )
    case = case_of(history, rose_on, replace(plan_of(), days=days))
    soonest = promise(case, Answer(case.name, 35.0, 3)).copies[0]

    assert day(rose_on + 1) == soonest.history.sessions[-1].local_date
    assert day(monday) == soonest.week.monday
    assert day(monday - 1) == soonest.today


def test_a_week_that_comes_after_a_rise_is_asked_for_on_its_eve() -> None:
    """The coming one, of a week under way, is asked for today."""
    rose = log(
        trained(4, 30, 30, 30),
        trained(6, 30, 30, 30),
        targets=[target(-20, 25), target(2, 30)],
    )
    late = [each.otherwise for each in step_blocks(case_of(rose, 6)) if each.otherwise]
    case = case_of(log(*(trained(n, 30, 30, 30) for n in (0, 2))), 4)
    now = replace(case, week=IsoWeek.of(day(4)))
    under_way = [each.otherwise for each in step_blocks(now) if each.otherwise]

    assert [(day(14), day(13))] == [
        (one.copies[0].week.monday, one.copies[0].today) for one in late
    ]
    assert [(day(7), day(4))] == [
        (one.copies[0].week.monday, one.copies[0].today) for one in under_way
    ]
    assert "For the week of 9 March, with nothing more logged" == under_way[0].begins


HANG_30 = Answer("passive hang", 30.0, 3)
HANG_35 = Answer("passive hang", 35.0, 3)


@pytest.mark.parametrize(
    ("answers", "hoped", "said"),
    [
        ([HANG_35, HANG_35], None, "Easier, it would be 35 s."),
        ([HANG_35, HANG_30], HANG_35, "Easier, it would perhaps be 35 s."),
        ([HANG_35, HANG_30], None, None),
        ([HANG_30, HANG_30], HANG_35, "Easier, it would perhaps be 35 s."),
        ([HANG_30], HANG_30, None),
        ([None], HANG_35, "Easier, it would perhaps be 35 s."),
        ([None, None], None, None),
        ([], HANG_35, "Easier, it would perhaps be 35 s."),
    ],
)
def test_only_what_all_copies_answer_is_promised(
    answers: list[Answer | None], hoped: Answer | None, said: str | None
) -> None:
    """Else it is *perhaps*, where something is hoped for that isn't so already."""
    one = Otherwise(begins="Easier", copies=(), hoped=hoped)

    assert said == one.sentence(answers, HANG_30, usual_sets=3)


@pytest.mark.parametrize(
    ("answer", "said"),
    [
        (Answer("passive hang", None, 0), "a rest"),
        (Answer("passive hang", 30.0, 3), "30 s"),
        (Answer("passive hang", 30.0, 2), "30 s in 2 sets"),
        (Answer("passive hang", 20.0, 3, another=True), "passive hang at 20 s"),
        (
            Answer("passive hang", 20.0, 3, another=True, on_offer=True),
            "passive hang, on offer",
        ),
    ],
)
def test_an_answer_is_said_as_the_end_of_a_sentence(answer: Answer, said: str) -> None:
    """As far as it differs from the line of the plan that is asked about."""
    assert said == answer.said(3)
    assert f"Easier, it would still be {said}." == Otherwise(
        begins="Easier", copies=()
    ).unchanged(answer, usual_sets=3)


def test_two_sessions_running_keep_their_word() -> None:
    """After a session that was short, the two that are asked for make the step."""
    short = trained(0, 30, 30, 27, rpe=7)
    before = ask(log(short), 1)
    after = ask(log(short, trained(2, 30, 30, 30), trained(4, 30, 30, 30)), 5)

    assert before.would_change[0].startswith("After two more sessions at 30 s by 16")
    assert before.would_change[0].endswith("it would be 35 s.")
    assert 35.0 == after.target_s


def test_what_would_have_kept_it_keeps_it() -> None:
    """A step says what would have kept the target, and that does keep it."""
    story = STORIES["01-first-step"]

    assert "A set under 19.5 s" in _first(story).would_change[0]
    for kept, rpe, pain in ((19.4, 7, ()), (20, 8.5, ()), (20, 7, hurts())):
        worse = trained(2, 20, 20, kept, target=20, rpe=rpe, pain=pain)
        history = log(story.history.sessions[0], worse)
        assert 20.0 == ask(history, 3, story.plan).target_s


def test_the_day_from_which_a_step_is_free() -> None:
    """The day named after a recent rise is the first on which a week may step."""
    history = log(
        trained(-20, 60, target=60, rpe=6, kind=SessionKind.ONE_OFF),
        trained(4, 30, 30, 30),
        trained(6, 30, 30, 30),
        targets=[target(-20, 25), target(2, 30)],
    )
    got = ask(history, 6)

    assert (
        "For the week of 16 March, with nothing more logged, it would be 35 s."
        in got.would_change
    )
    assert "up" == ask(history, 6, replace(plan_of(), days=(2, 4, 6))).change


def test_grip_is_said_to_say_nothing_about_the_shoulder() -> None:
    """Where grip ended both sessions, that is said."""
    assert "nothing about the shoulder" in text_of(STORIES["03-one-set-always-missing"])


@pytest.mark.parametrize(
    ("days", "count"),
    [
        ((0, 9, 18, 27), 4),
        ((-1, 0, 9, 18, 27), 4),
        ((1, 9, 18, 27), None),
        ((0, 4, 8, 12, 16, 20, 27), 7),
        ((0, 4, 8, 12, 16, 20, 24, 27), None),
    ],
)
def test_training_too_seldom_to_build_is_said(
    days: tuple[int, ...], count: int | None
) -> None:
    """Fewer than eight in the 28 days that end with the last, all of them trained in.

    Whoever began within them isn't told so yet.
    """
    reasons = ask(log(*(trained(n, 30, 30, 30) for n in days)), 28).reasons

    said = [
        reason
        for reason in reasons
        if reason.startswith(f"The last 4 weeks of training had {count} sessions of it")
    ]

    assert (count is not None) == bool(said)
    assert bool(said) == any("Nothing is taken away" in reason for reason in reasons)


def test_the_json_form() -> None:
    """The JSON form has the fixed keys in order, whole numbers as such."""
    fields = suggestion_as_dict(_first(STORIES["02-half-a-step"]))

    assert [
        "exercise",
        "week",
        "change",
        "rule",
        "target_s",
        "current_s",
        "sets",
        "rest_s",
        "reasons",
        "would_change",
        "chance",
        "cautions",
        "likely_rpe",
    ] == list(fields)
    assert "32" == repr(fields["target_s"])


@pytest.mark.parametrize(
    ("value", "written"), [(32.0, "32"), (31.96, "32"), (26.28, "26.3")]
)
def test_a_figure_of_the_json_form_has_a_tenth_at_most(
    value: float, written: str
) -> None:
    """Whole numbers stand as such, all others with the tenth that is stored."""
    assert written == repr(whole(value))


def test_over_a_minute_of_hang_before_a_press_is_said() -> None:
    """A press after more than 60 s of hang carries the caution, with its source.

    Behm et al. 2016: under 60 s per muscle the loss was 1.1 %, from 60 s on 4.6 %.
    """
    plan = plan_of("press-pike", "hang")
    said = {
        goal: any(
            "Behm et al. 2016" in caution
            for caution in ask(log(targets=[target(0, goal)]), 0, plan).cautions
        )
        for goal in (20, 21)
    }

    assert {20: False, 21: True} == said


def test_a_lighter_week_is_offered() -> None:
    """Six weeks of training with a rise in four offer one set fewer."""
    sessions = []
    for week in range(6):
        goal = 20 + 5.0 * min(week, 4)
        sessions += [
            trained(7 * week + n, goal, goal, goal, target=goal, rpe=6) for n in (0, 3)
        ]
    got = ask(log(*sessions), 40)

    assert 2 == got.lighter_sets
    assert any("lighter week is on offer" in reason for reason in got.reasons)
    assert ask(log(*sessions[:-4]), 26).lighter_sets is None


@pytest.mark.parametrize(
    ("by_week", "offered"),
    [
        ([20, 25, 30, 35, 40, 40], True),
        ([20, 25, 30, 35, 35, 35], False),
        ([20, 25, 30, 35, 40, None], False),
        ([None, 20, 25, 30, 35, 40], False),
    ],
)
def test_a_lighter_week_follows_on_six_trained_with_a_rise_in_four(
    by_week: list[float | None], offered: bool
) -> None:
    """Three rises are too few, and each of the six before it was trained in."""
    sessions = [
        trained(7 * week + n, goal, goal, goal, target=goal, rpe=6)
        for week, goal in enumerate(by_week)
        if goal is not None
        for n in (0, 3)
    ]

    assert (2 if offered else None) == ask(log(*sessions), 40).lighter_sets


@pytest.mark.parametrize(
    ("sets", "hurt", "lighter"),
    [(3, False, 2), (2, False, 1), (1, False, None), (3, True, None)],
)
def test_a_lighter_week_leaves_a_set_and_is_none_on_another_rung(
    sets: int, hurt: bool, lighter: int | None
) -> None:
    """Of one set none can go; hurt twice running another rung stands there."""
    sessions = [
        trained(
            7 * week + n,
            *[goal] * sets,
            target=goal,
            rpe=6,
            pain=hurts() if hurt and week == 5 else (),
        )
        for week, goal in enumerate([20, 25, 30, 35, 40, 40])
        for n in (0, 3)
    ]

    got = ask(log(*sessions), 40, plan_of(sets=sets))

    assert hurt == (got.exercise == "hang-supported")
    assert lighter == got.lighter_sets


def _first(story: Story) -> Suggestion:
    return ask(story.history, story.today, story.plan)

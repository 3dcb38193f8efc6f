"""The first day's answers: what isn't answered is taken the careful way."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.core.exercises import LADDERS, Family
from trainer.core.plan.first_day import (
    DAYS,
    HANG_WAS_EASY,
    HEAD_UP,
    NO,
    PRESS,
    WALL_UNHURRIED,
    YES,
    FirstAnswers,
    hardest_press,
    parse_days,
    plan_from,
    possible_presses,
    still_open,
)
from trainer.core.plan.plan import default_plan

ANSWERED = (None, False, True)


@pytest.mark.parametrize(
    ("head_up", "wall", "expected"),
    [
        (True, True, "press-pushup"),
        (None, True, "press-pushup"),
        (False, None, "press-pike"),
        (False, False, "press-pike"),
        (False, True, "press-wall"),
    ],
)
def test_nobody_is_turned_upside_down_without_their_answers(
    head_up: bool | None, wall: bool | None, expected: str
) -> None:
    """A caution, or none answered, keeps the head up; the wall needs its own yes."""
    answers = FirstAnswers(head_up=head_up, wall_unhurried=wall)

    assert expected == hardest_press(answers)


@pytest.mark.parametrize("easy", ANSWERED)
def test_a_hang_is_supported_unless_twenty_seconds_were_easy(easy: bool | None) -> None:
    """Only a yes gives the passive hang."""
    plan = plan_from(FirstAnswers(hang_was_easy=easy))

    assert ("hang" if easy else "hang-supported") == plan.exercises[0].exercise


@pytest.mark.parametrize(
    ("head_up", "wall", "press"),
    list(itertools.product(ANSWERED, ANSWERED, ["press-pushup", "press-pike"])),
)
def test_no_press_of_a_new_plan_is_past_its_top(
    head_up: bool | None, wall: bool | None, press: str
) -> None:
    """What is planned is never harder than what may be offered."""
    plan = plan_from(FirstAnswers(head_up=head_up, wall_unhurried=wall, press=press))
    ladder = LADDERS[Family.PRESS]
    planned = plan.exercises[1].exercise

    assert ladder.index(planned) <= ladder.index(plan.top[Family.PRESS])


def test_a_plan_that_was_there_keeps_its_figures() -> None:
    """Answering again changes the days and the tops, nothing else."""
    before = default_plan(hang_was_easy=True, press="press-pike")
    after = plan_from(FirstAnswers(head_up=False, days=(2, 4)), before=before)

    assert before.exercises == after.exercises
    assert (2, 4) == after.days


def test_answers_are_read_from_what_the_store_keeps() -> None:
    """Words of the file to yes, no and unanswered."""
    stored = {HANG_WAS_EASY: YES, HEAD_UP: NO, PRESS: "press-pike", DAYS: "7 2 2"}
    expected = FirstAnswers(
        hang_was_easy=True, head_up=False, press="press-pike", days=(2, 7)
    )

    assert expected == FirstAnswers.of(stored)
    assert FirstAnswers.of({WALL_UNHURRIED: "perhaps"}).wall_unhurried is None


@pytest.mark.parametrize("head_up", ANSWERED)
@pytest.mark.parametrize("wall", ANSWERED)
def test_a_press_that_may_be_chosen_is_the_press_that_is_planned(
    head_up: bool | None, wall: bool | None
) -> None:
    """Nothing is offered for choice that the plan would then take back."""
    answers = FirstAnswers(head_up=head_up, wall_unhurried=wall)
    presses = possible_presses(answers)
    made = [
        plan_from(
            FirstAnswers(head_up=head_up, wall_unhurried=wall, press=each)
        ).exercises[1]
        for each in presses
    ]

    assert list(presses) == [each.exercise for each in made]


def test_the_wall_is_not_asked_about_where_a_caution_rules_it_out() -> None:
    """Unanswered ones are open; a yes to the caution settles the wall."""
    assert (HEAD_UP, WALL_UNHURRIED) == still_open({HEAD_UP: ""})
    assert (WALL_UNHURRIED,) == still_open({HEAD_UP: NO})
    assert () == still_open({HEAD_UP: YES})
    assert () == still_open({HEAD_UP: NO, WALL_UNHURRIED: NO})


@given(st.text())
def test_days_are_weekdays_whatever_is_typed(text: str) -> None:
    """Sorted, each once, 1 to 7."""
    days = parse_days(text)

    assert sorted(set(days)) == list(days)
    assert all(1 <= day <= 7 for day in days)

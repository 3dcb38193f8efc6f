"""The first day's answers: what isn't answered is taken the careful way.

That no press is past the gate is held in ``tests/core/test_safety.py``.
"""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given

from tests.texts import any_text
from trainer.core.answers import (
    DAYS,
    HANG_WAS_EASY,
    HEAD_UP,
    NO,
    PRESS,
    SHOULDER,
    YES,
)
from trainer.core.plan.first_day import (
    days_in,
    parse_days,
    plan_from,
    possible_presses,
    press_in,
)
from trainer.core.plan.plan import default_plan

TODAY = date(2026, 3, 9)


@pytest.mark.parametrize(
    ("easy", "shoulder", "expected"),
    [
        (YES, NO, "hang"),
        (YES, "", "hang-supported"),
        (YES, YES, "hang-supported"),
        (NO, NO, "hang-supported"),
        ("", NO, "hang-supported"),
    ],
)
def test_a_hang_is_supported_unless_twenty_seconds_were_easy(
    easy: str, shoulder: str, expected: str
) -> None:
    """Only a yes gives the passive hang, and only to a shoulder that is well."""
    plan = plan_from({HANG_WAS_EASY: easy, SHOULDER: shoulder}, on=TODAY)

    assert expected == plan.exercises[0].exercise


def test_a_press_that_may_be_chosen_is_the_press_that_is_planned() -> None:
    """Nothing is offered for choice that the plan would then take back."""
    answers = {SHOULDER: NO, HEAD_UP: NO}
    presses = possible_presses(answers, on=TODAY)
    made = [plan_from(answers | {PRESS: each}, on=TODAY) for each in presses]

    assert ("press-pushup", "press-pike") == presses
    assert list(presses) == [plan.exercises[1].exercise for plan in made]
    assert ("press-pushup",) == possible_presses({HEAD_UP: NO}, on=TODAY)
    assert "press-pushup" == press_in({PRESS: "press-pike"}, on=TODAY)


def test_a_plan_that_was_there_keeps_its_figures() -> None:
    """Answering again changes the days and the tops, nothing else."""
    before = default_plan(hang_was_easy=True, press="press-pike")
    after = plan_from({HEAD_UP: NO, DAYS: "2 4"}, on=TODAY, before=before)
    unsaid = plan_from({HEAD_UP: NO}, on=TODAY, before=after)

    assert before.exercises == after.exercises
    assert (2, 4) == after.days == unsaid.days


def test_days_are_read_from_what_the_store_keeps() -> None:
    """Each once, in order; none answered, three of the week."""
    assert (2, 7) == days_in({DAYS: "7 2 2"})
    assert (1, 3, 5) == days_in({})


@given(any_text())
def test_days_are_weekdays_whatever_is_typed(text: str) -> None:
    """Sorted, each once, 1 to 7."""
    days = parse_days(text)

    assert sorted(set(days)) == list(days)
    assert all(1 <= day <= 7 for day in days)

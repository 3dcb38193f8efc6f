"""Lines that can be changed, words, corrections: pure, without a screen."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.texts import any_text
from trainer.core import words
from trainer.core.cues.breathing import Pattern
from trainer.core.exercises import BUILT_IN, Family
from trainer.core.model import (
    EndedBy,
    EndOfHold,
    Hold,
    Pain,
    PainKind,
    Site,
    StoppedBy,
)
from trainer.core.plan.plan import Grip, Order, Plan, PlanExercise
from trainer.tui.screens.correct import corrected, hold_fields
from trainer.tui.screens.plan import ladder_lines, plan_lines, plan_of
from trainer.tui.widgets.fields import Field
from trainer.tui.widgets.sheet import columns, plain

WHOLE = st.integers(10, 60).map(float)


@st.composite
def plans(draw: st.DrawFn) -> Plan:
    """Make a plan of one to three exercises with figures of all kinds."""
    ids = draw(
        st.lists(st.sampled_from(sorted(BUILT_IN)), min_size=1, max_size=3, unique=True)
    )
    entries = []
    for each in ids:
        press = BUILT_IN[each].family is Family.PRESS
        stays = draw(st.booleans()) and BUILT_IN[each].may_stay
        entries.append(
            PlanExercise(
                exercise=each,
                sets=draw(st.integers(1, 6)),
                start_s=draw(WHOLE),
                rest_s=draw(st.integers(0, 300)),
                step_s=draw(st.sampled_from([2.5, 5.0, 10.0])),
                cap_s=draw(st.integers(60, 120)),
                floor_s=draw(st.integers(5, 10)),
                end_of_hold=EndOfHold.STAY if stays else EndOfHold.STOP,
                pattern=draw(st.sampled_from([Pattern(), Pattern(3.5, 7)])),
                grip=draw(st.sampled_from([None, *Grip])) if press else None,
                cue=draw(st.sampled_from(["", "Ribs [b]", "Höher [/]"])),
            )
        )
    return Plan(
        days=tuple(sorted(draw(st.sets(st.integers(1, 7), min_size=1)))),
        order=draw(st.sampled_from(Order)),
        warm_up_s=draw(st.sampled_from([0.0, 120.0, 240.0])),
        exercises=tuple(entries),
    )


@given(plans())
def test_a_plan_comes_back_from_its_lines_as_it_was(plan: Plan) -> None:
    """Nothing of a plan is lost or changed by being shown."""
    lines = plan_lines(plan, hardest={Family.HANG: "hang", Family.PRESS: "press-wall"})
    values = {line.key: line.value for line in lines}

    assert plan == plan_of(plan, values)


@given(
    low=st.integers(0, 50),
    span=st.integers(0, 200),
    start=st.floats(-100, 400),
    moves=st.lists(st.sampled_from([-1, 1])),
)
def test_a_number_stays_within_its_bounds(
    low: int, span: int, start: float, moves: list[int]
) -> None:
    """Whatever is typed and however often it is moved."""
    field = Field(key="x", label="x", value="", step=5, low=low, high=low + span)
    field = field.with_number(start)
    for by in moves:
        field = field.moved(by)

    assert field.number is not None
    assert low <= field.number <= low + span


def test_an_empty_number_starts_at_its_lowest() -> None:
    """Nothing given stays nothing until a key gives it a value."""
    field = Field(key="rpe", label="RPE", value="", step=0.5, high=10, optional=True)

    assert "–" == field.shown
    assert "0" == field.moved(1).value


def test_the_ladders_show_what_is_planned_and_what_is_not_offered() -> None:
    """Capitals for the plan, brackets past the top."""
    plan = Plan(exercises=(PlanExercise(exercise="press-pike"),))

    assert [
        "hang   Supported hang → Passive hang",
        "press  Push-up press-away → PIKE PRESS-AWAY → (Wall press-away)",
    ] == ladder_lines(plan, {})


@pytest.mark.parametrize(
    ("target_s", "current_s", "expected"),
    [
        # Arithmetic of 5 s steps as in references 7.
        (25, 20, "5 s more (25 %)"),
        (35, 30, "5 s more (16.7 %)"),
        (50, 45, "5 s more (11.1 %)"),
        (55, 50, "5 s more (10 %)"),
        (60, 55, "5 s more (9.1 %)"),
        (20, 25, "5 s less (20 %)"),
        (20, 20, ""),
        (20, None, ""),
        (None, 20, ""),
    ],
)
def test_a_step_is_said_in_per_cent(
    target_s: float | None, current_s: float | None, expected: str
) -> None:
    """Five seconds on twenty are a quarter more, on fifty a tenth."""
    assert expected == words.step_words(target_s, current_s)


@pytest.mark.parametrize(
    ("value", "expected"),
    [(29.9, "29 s"), (30.0, "30 s"), (29.9999999999, "30 s"), (None, "–"), (0, "0 s")],
)
def test_seconds_are_rounded_down(value: float | None, expected: str) -> None:
    """Nobody is shown a second that they didn't hold."""
    assert expected == words.whole_seconds(value)


@pytest.mark.parametrize(
    ("day", "expected"),
    [
        (date(2026, 3, 9), "today"),
        (date(2026, 3, 10), "tomorrow"),
        (date(2026, 3, 8), "yesterday"),
        (date(2026, 3, 13), "on Friday"),
        (date(2026, 3, 6), "last Friday"),
        (date(2026, 3, 16), "on Mon 16 Mar"),
        (date(2026, 2, 28), "on Sat 28 Feb"),
    ],
)
def test_days_are_said_as_people_say_them(day: date, expected: str) -> None:
    """Near days by name, others by date."""
    assert expected == words.relative_day(day, date(2026, 3, 9))


def test_columns_are_aligned_by_what_they_take_on_the_screen() -> None:
    """Wide characters count as two cells."""
    rows = [["a", "1"], ["東京", "10"]]

    assert ["a       1", "東京   10"] == columns(rows, right=[1])


@given(any_text())
def test_text_of_anybodys_is_shown_without_control_characters(text: str) -> None:
    """Whatever was typed: no escape sequence gets through, and nothing is parsed."""
    shown = plain(text)

    assert not any(ord(char) < 32 or 127 <= ord(char) < 160 for char in shown.plain)
    assert shown.spans == []


HOLD = Hold(
    uid="u",
    exercise="hang",
    set_number=1,
    held_s=28.3,
    kept_s=24.2,
    lost_on_breath=3,
    target_s=30,
    ended_by=EndedBy.KEY,
    started_at=datetime(2026, 3, 9, 17, 0, tzinfo=timezone.utc),
    rpe=7.5,
    pain=(Pain(PainKind.NUMB, Site.HAND), Pain(PainKind.PAIN, Site.NECK)),
    note="[b]",
)


def _values(hold: Hold, **changed: str) -> dict[str, str]:
    return {field.key: field.value for field in hold_fields(hold)} | changed


def test_a_hold_that_nobody_touched_stays_as_it_was() -> None:
    """To the tenth, with both pains, and not confirmed by being looked at."""
    assert corrected(HOLD, _values(HOLD)) == HOLD


def test_lowering_held_lowers_kept() -> None:
    """Kept is never more than held."""
    better = corrected(HOLD, _values(HOLD, held="20"))

    assert (20.0, 20.0, True) == (better.held_s, better.kept_s, better.confirmed)


def test_answers_can_be_emptied_and_given() -> None:
    """An empty line takes the answer away; another pain stays."""
    values = _values(HOLD, kept="", rpe="", pain="", stopped="grip", note="")
    better = corrected(HOLD, values)

    expected = replace(
        HOLD,
        kept_s=None,
        lost_on_breath=None,
        rpe=None,
        pain=(Pain(PainKind.PAIN, Site.NECK),),
        stopped_by=StoppedBy.GRIP,
        note="",
        confirmed=True,
    )
    assert expected == better


@pytest.mark.parametrize(("typed", "expected"), [("7.3", 7.5), ("7.2", 7.0)])
def test_an_rpe_is_taken_to_the_half(typed: str, expected: float) -> None:
    """Halves are allowed, finer steps are not."""
    assert expected == corrected(HOLD, _values(HOLD, rpe=typed)).rpe

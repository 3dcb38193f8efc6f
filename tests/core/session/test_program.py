"""A session's program: order, rests, stays, and the warm-up."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.core.exercises import BUILT_IN, HANG, PRESS_PIKE, PRESS_WALL
from trainer.core.model import EndOfHold, PlannedSet, SessionKind
from trainer.core.plan.plan import Order, PlanExercise, rest_after
from trainer.core.session.program import (
    Block,
    SessionProgram,
    block_sets,
    put_in_order,
    warm_up,
)


def test_a_stay_ends_by_itself_at_twice_the_target() -> None:
    """And is not offered for the wall, where nobody should wait to fall."""
    hang = PlanExercise(exercise="hang", end_of_hold=EndOfHold.STAY)
    wall = PlanExercise(exercise="press-wall", end_of_hold=EndOfHold.STAY)

    (stays,) = block_sets(Block(exercise=HANG, entry=hang, targets_s=(30,)))
    (stops,) = block_sets(Block(exercise=PRESS_WALL, entry=wall, targets_s=(30,)))

    assert (EndOfHold.STAY, 60, 60) == (
        stays.end_of_hold,
        stays.limit_s,
        stays.longest_s,
    )
    assert (EndOfHold.STOP, None, 30) == (
        stops.end_of_hold,
        stops.limit_s,
        stops.longest_s,
    )


def test_finding_out_is_the_last_set_alone() -> None:
    """It counts on to one step past the target, the others stop."""
    entry = PlanExercise(exercise="hang")
    block = Block(
        exercise=HANG, entry=entry, targets_s=(30, 30, 30), find_out_limit_s=35
    )

    assert [None, None, 35] == [one.limit_s for one in block_sets(block)]


@pytest.mark.parametrize(
    ("rest_s", "target_s", "expected_s"), [(60, 20, 60), (60, 45, 90), (0, 10, 20)]
)
def test_a_rest_is_at_least_twice_the_target(
    rest_s: float, target_s: float, expected_s: float
) -> None:
    """The plan's figure where it is longer."""
    assert expected_s == rest_after(rest_s, target_s)


@given(st.integers(30, 900), st.integers(1, 3))
def test_a_warm_up_lasts_about_as_long_as_it_should(total_s: int, count: int) -> None:
    """Whole seconds a movement; none of it is a hold that is logged."""
    exercises = [HANG, PRESS_PIKE, PRESS_WALL][:count]

    moves = warm_up(total_s, exercises)

    assert abs(total_s - sum(move.length_s for move in moves)) <= 3
    assert all(move.length_s > 0 for move in moves)


def test_no_warm_up_is_none_and_a_short_one_has_no_easy_tries() -> None:
    """Under two minutes there is time for the movements only."""
    assert () == warm_up(0, [HANG])
    assert 5 == len(warm_up(1, [HANG]))
    assert not any("easy" in move.name for move in warm_up(100, [HANG]))
    assert any("easy" in move.name for move in warm_up(240, [HANG]))


@pytest.mark.parametrize(
    ("total_s", "tries"), [(119, 0), (120, 3), (139, 3), (140, 4), (160, 5)]
)
def test_easy_tries_fill_what_is_past_the_first_minute(
    total_s: float, tries: int
) -> None:
    """From two minutes on, 20 s each, and no more than there are exercises."""
    moves = warm_up(total_s, list(BUILT_IN.values()))

    assert tries == sum(move.name.endswith(", an easy 10 s") for move in moves)
    assert 5 == len(moves) - tries


def test_the_movements_of_a_warm_up_share_its_time() -> None:
    """Of two minutes without a try: 20, 20, 25, 25 and 30 s (our choice)."""
    assert [20, 20, 25, 25, 30] == [move.length_s for move in warm_up(120, [])]


@pytest.mark.parametrize(
    ("order", "expected"),
    [
        (Order.IN_TURN, ["pike", "hang", "pike", "hang", "pike"]),
        (Order.HANG_FIRST, ["hang", "hang", "pike", "pike", "pike"]),
        (Order.PRESS_FIRST, ["pike", "pike", "pike", "hang", "hang"]),
    ],
)
def test_sets_come_in_the_plans_order(order: Order, expected: list[str]) -> None:
    """In turn until the longer one is used up, or one family whole before the other."""
    columns = [
        block_sets(
            Block(
                exercise=exercise,
                entry=PlanExercise(exercise=exercise.id),
                targets_s=(20.0,) * count,
            )
        )
        for exercise, count in ((PRESS_PIKE, 3), (HANG, 2))
    ]

    found = put_in_order(columns, order)

    assert expected == [one.exercise.id.rpartition("-")[2] for one in found]
    assert () == put_in_order([], order)
    assert [1, 2, 3] == [one.set_number for one in found if one.exercise is PRESS_PIKE]


def test_what_is_said_first_of_a_set() -> None:
    """Of a test when it ends; else the photo, then the coach's cue; else nothing."""
    entry = PlanExercise(exercise="hang", cue="Ribs down")
    (cued,) = block_sets(Block(exercise=HANG, entry=entry, targets_s=(20,)))
    plain, photo = replace(cued, cue=""), replace(cued, photo="A photo is due.")
    made = SessionProgram(kind=SessionKind.PLAN, sets=(cued,))

    assert "Cue: Ribs down" == made.says_first(cued)
    assert "A photo is due. Cue: Ribs down" == made.says_first(photo)
    assert "" == made.says_first(plain)
    assert replace(made, kind=SessionKind.TEST).says_first(cued).startswith("TEST: ")
    assert (PlannedSet("hang", 1, 20, 60),) == made.planned


def test_every_exercise_comes_out_before_its_keys_are_the_logs() -> None:
    """*I was down earlier* needs the allowance; the come-out is at least as long."""
    for exercise in BUILT_IN.values():
        assert exercise.allowance_s <= exercise.come_out_s
        assert exercise.go_up_lead_s < exercise.setup_s


@pytest.mark.parametrize(
    ("exercise", "setup_s", "lead_s", "allowance_s", "come_out_s"),
    [
        ("hang-supported", 10, 3, 3, 4),
        ("hang", 10, 3, 3, 4),
        ("press-pushup", 8, 3, 2, 4),
        ("press-pike", 12, 5, 4, 4),
        ("press-wall", 20, 10, 7, 8),
    ],
)
def test_the_lengths_are_as_designed(
    exercise: str, setup_s: float, lead_s: float, allowance_s: float, come_out_s: float
) -> None:
    """Our choice, written down once more so that nobody changes them unseen."""
    made = BUILT_IN[exercise]

    assert (setup_s, lead_s, allowance_s, come_out_s) == (
        made.setup_s,
        made.go_up_lead_s,
        made.allowance_s,
        made.come_out_s,
    )

"""The plan's own bounds: what it refuses, and in which words."""

from __future__ import annotations

from dataclasses import replace

import pytest

from trainer.core.plan.codec import plan_from_dict, plan_to_dict
from trainer.core.plan.plan import Plan, PlanExercise, default_entry
from trainer.core.record import RecordError


@pytest.mark.parametrize(
    ("figures", "sentence"),
    [
        ({"start_s": 80.0}, "the start, 80 s, is over the cap, 60 s"),
        ({"cap_s": 15.0}, "the start, 20 s, is over the cap, 15 s"),
        ({"start_s": 8.0}, "the floor, 10 s, is over the start, 8 s"),
        ({"floor_s": 70.0}, "the floor, 70 s, is over the cap, 60 s"),
    ],
)
def test_floor_start_and_cap_lie_in_that_order(
    figures: dict[str, float], sentence: str
) -> None:
    """A figure out of order is refused, and the message names both of the two."""
    with pytest.raises(ValueError, match=f"^{sentence}$"):
        replace(default_entry("hang"), **figures)  # type: ignore[arg-type]


def test_a_start_at_its_bounds_is_a_start() -> None:
    """At the floor and at the cap there is nothing to refuse."""
    for start_s in (10.0, 60.0):
        assert start_s == PlanExercise(exercise="hang", start_s=start_s).start_s


def test_a_stored_plan_out_of_order_is_one_sentence() -> None:
    """The data file's own plan says where, and both figures."""
    stored = plan_to_dict(Plan(exercises=(default_entry("hang"),)))
    stored["exercises"][0]["start_s"] = 80

    with pytest.raises(RecordError, match=r"80 s, is over the cap, 60 s$") as caught:
        plan_from_dict(stored)
    assert "exercises" in str(caught.value)

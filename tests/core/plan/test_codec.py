from __future__ import annotations

import json
from dataclasses import fields
from string import ascii_lowercase
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.core.cues.breathing import Pattern
from trainer.core.exercises import BUILT_IN, Exercise, Family
from trainer.core.model import EndOfHold, Site
from trainer.core.plan.codec import plain_values, plan_from_dict, plan_to_dict
from trainer.core.plan.plan import Grip, Order, Plan, PlanExercise, default_plan
from trainer.core.record import RecordError

_WORDS = st.text("abcdefghij [/]=-éß🙂", max_size=30).map(str.strip)
_SECONDS = st.floats(1, 300).map(lambda value: round(value, 1))
_ENTRIES = st.builds(
    PlanExercise,
    exercise=st.sampled_from(sorted(BUILT_IN)),
    sets=st.integers(1, 20),
    start_s=st.floats(30, 60).map(lambda value: round(value, 1)),
    rest_s=st.floats(0, 900),
    step_s=st.floats(0.5, 15),
    cap_s=st.floats(60, 300),
    floor_s=st.floats(1, 30),
    end_of_hold=st.sampled_from(EndOfHold),
    pattern=st.builds(Pattern, st.floats(1, 10), st.floats(1, 10)),
    grip=st.none() | st.sampled_from(Grip),
    cue=_WORDS,
)
_OWN = st.builds(
    Exercise,
    id=st.text(ascii_lowercase, min_size=1, max_size=10),
    name=_WORDS,
    family=st.none() | st.sampled_from(Family),
    setup_s=_SECONDS,
    go_up_lead_s=_SECONDS,
    allowance_s=_SECONDS,
    come_out_s=_SECONDS,
    overhead=st.booleans(),
    upside_down=st.booleans(),
    may_stay=st.booleans(),
    loads=st.frozensets(st.sampled_from(Site)),
    short_name=_WORDS,
    how=st.lists(_WORDS, max_size=3).map(tuple),
    instructions=st.lists(_WORDS, max_size=3).map(tuple),
    position_lost=_WORDS,
    caution=_WORDS,
)
PLANS = st.builds(
    Plan,
    days=st.sets(st.integers(1, 7)).map(lambda days: tuple(sorted(days))),
    order=st.sampled_from(Order),
    warm_up_s=st.floats(0, 900),
    exercises=st.lists(_ENTRIES, max_size=5).map(tuple),
    top=st.dictionaries(st.sampled_from(Family), st.sampled_from(sorted(BUILT_IN))),
    own=st.lists(_OWN, max_size=2).map(tuple),
)


@given(PLANS)
def test_a_plan_comes_back_as_it_was(plan: Plan) -> None:
    """Every plan survives being written as JSON and read again."""
    assert plan == plan_from_dict(json.loads(json.dumps(plan_to_dict(plan))))


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"order": "backwards"}, "plan.order is 'backwards', not one of: in-turn"),
        ({"days": [0]}, "plan.days has 0"),
        ({"warm_up_s": "long"}, "plan.warm_up_s is 'long', no number"),
        ({"exercises": [{}]}, "plan.exercises[0].exercise is missing"),
        ({"exercises": {}}, "plan.exercises is no list"),
    ],
)
def test_a_bad_plan_is_refused_with_the_place(
    change: dict[str, Any], said: str
) -> None:
    """The error names the value and where it stands."""
    document = plan_to_dict(default_plan()) | change

    with pytest.raises(RecordError) as caught:
        plan_from_dict(document)

    assert said in str(caught.value)


def test_a_figure_out_of_bounds_is_refused_with_its_line() -> None:
    """The plan's own bounds hold for a stored plan too."""
    document = plan_to_dict(default_plan())
    document["exercises"][1]["step_s"] = 16.0

    with pytest.raises(RecordError, match=r"plan\.exercises\[1\]: step is 16"):
        plan_from_dict(document)


def test_every_field_of_a_line_and_of_an_own_exercise_is_written() -> None:
    """A field that is added to either dataclass is kept by the data file and export."""
    entry = set(plain_values(default_plan().exercises[0]))
    own = set(plain_values(BUILT_IN["hang"]))

    assert {each.name for each in fields(PlanExercise)} - {"pattern"} == entry - {
        "in_s",
        "out_s",
    }
    assert {each.name for each in fields(Exercise)} == own

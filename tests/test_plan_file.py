"""Plan files: what a coach writes, read with errors that say where."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.core.cues.breathing import Pattern
from trainer.core.exercises import BUILT_IN, Exercise, Family
from trainer.core.model import EndOfHold, Site
from trainer.core.plan.changes import keeping_own, plan_changes
from trainer.core.plan.plan import Grip, Order, Plan, PlanExercise, default_plan
from trainer.errors import ConfigError
from trainer.plan_file import (
    PlanFile,
    plan_from,
    plan_text,
    read_plan_file,
    write_plan_file,
)
from trainer.settings.toml import parse

COACH = """\
# made up
days = ["mon", "Thursday"]
order = "press-first"

[top]
press = "press-wall"

[[exercise]]
id = "hang"
target_s = 35
sets = 4
pattern = "4:8"
cue = "ribs down [/] \\u001b[31m"

[[exercise]]
id = "doorway"
cap_s = 90

[[own]]
id = "doorway"
name = "Doorway lean"
allowance_s = 1
instructions = ["Lean in.", "Breathe out."]
loads = ["pecs", "front-shoulder"]
"""


def read_text(text: str) -> PlanFile:
    return plan_from(parse(text, name="plan.toml"))


def test_a_coachs_file_is_read_whole() -> None:
    """Days, order, top, figures, targets and an own exercise arrive as written."""
    content = read_text(COACH)
    plan = content.plan

    assert (1, 4) == plan.days
    assert Order.PRESS_FIRST is plan.order
    assert {Family.HANG: "hang", Family.PRESS: "press-wall"} == dict(plan.top)
    assert {"hang": 35.0} == dict(content.targets)
    hang = plan.entry("hang")
    assert hang is not None
    assert (4, Pattern(4, 8)) == (hang.sets, hang.pattern)
    assert "ribs down [/] [31m" == hang.cue
    own = plan.exercise("doorway")
    assert ("Doorway lean", None, 1.0) == (own.name, own.family, own.allowance_s)
    assert frozenset({Site.PECS, Site.FRONT_SHOULDER}) == own.loads


ONE = '[[exercise]]\nid = "hang"\n'


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "line 1: the plan has no exercise"),
        ("dais = []\n" + ONE, "line 1, key dais: .*Did you mean days"),
        ('days = ["mom"]\n' + ONE, "line 1, key days: 'mom' .*Did you mean mon"),
        ("days = []\n" + ONE, "key days: the plan has no day"),
        ('order = "in_turn"\n' + ONE, "key order: .*Did you mean in-turn"),
        ("warm_up_s = -1\n" + ONE, "key warm_up_s: -1 is out of bounds"),
        ('[[exercise]]\nid = "hagn"', "line 2, key exercise.id: .*Did you mean hang"),
        ("[[exercise]]\nsets = 3", "line 1, key exercise: the key id is missing"),
        (ONE + "setts = 3", "line 3, key exercise.setts: .*Did you mean sets"),
        (ONE + "sets = 0", "line 3, key exercise.sets: 0 is out of bounds"),
        (ONE + "sets = 2.5", "key exercise.sets: 2.5 is not whole"),
        (ONE + "start_s = 900", "line 3, key exercise.start_s: .* from 1 to 300"),
        (ONE + "step_s = 16", "key exercise.step_s: .*from 0.5 to 15"),
        (ONE + "rest_s = nan", "key exercise.rest_s: nan is out of bounds"),
        (ONE + "rest_s = '60'", "key exercise.rest_s: it is a number"),
        (ONE + "cap_s = 20\nfloor_s = 30", "line 4, key exercise.floor_s: the floor"),
        (
            ONE + "start_s = 80\ncap_s = 70",
            "line 3, key exercise.start_s: the start, 80 s, is over the cap, 70 s",
        ),
        (
            ONE + "start_s = 8",
            "line 3, key exercise.start_s: the floor, 10 s, is over the start, 8 s",
        ),
        (ONE + "target_s = 301", "key exercise.target_s: 301 is out of bounds"),
        (ONE + "pattern = '4-6'", "key exercise.pattern: not a breathing pattern"),
        (ONE + "pattern = '4:12'", "key exercise.pattern: a breath out of 12 s"),
        (ONE + "grip = 'palm'", "key exercise.grip: 'palm' is not one of them"),
        (
            "[[exercise]]\nid = 'press-wall'\nend_of_hold = 'stay'",
            "line 3, key exercise.end_of_hold: press-wall may not go on",
        ),
        (ONE + ONE, "line 4, key exercise.id: hang is there twice"),
        ("[top]\npress = 'press-wal'\n" + ONE, "line 2, key top.press: .*press-wall"),
        ("[top]\npush = 'x'\n" + ONE, "line 2, key top.push: there is no such key"),
        (ONE + "[[own]]\nid = 'hang'", "line 4, key own.id: hang is built in"),
        (ONE + "[[own]]\nid = 'A b'", "key own.id: lower-case letters"),
        (ONE + "[[own]]\nid = 'x'\nloads = ['wrists']", "Did you mean wrist"),
        (ONE + "[[own]]\nid = 'x'\ngo_up_lead_s = 60", "longer than the set-up"),
        ("exercise = 3", "key exercise: it is a list of tables"),
    ],
)
def test_a_fault_is_one_sentence_with_line_key_and_nearest(
    text: str, sentence: str
) -> None:
    """Whatever is wrong is said with where it stands."""
    with pytest.raises(ConfigError) as caught:
        read_text(text)

    assert str(caught.value).startswith("plan.toml, line ")
    assert caught.match(f"(?s).*{sentence}")


def test_a_file_over_a_megabyte_is_refused(tmp_path: Path) -> None:
    """Nobody's plan is that long; it is some other file."""
    path = tmp_path / "plan.toml"
    path.write_text("# " + "x" * 1_000_000 + "\n" + ONE)

    with pytest.raises(ConfigError, match="larger than 1000 kB"):
        read_plan_file(path)


HALVES = st.integers(2, 600).map(lambda n: n / 2)
WORDS = st.text(st.characters(exclude_categories=["C"]), max_size=20).map(str.strip)
OWN = st.builds(
    Exercise,
    id=st.sampled_from(["own-one", "own-two"]),
    name=WORDS.filter(bool),
    family=st.none() | st.sampled_from(Family),
    setup_s=st.integers(10, 60),
    go_up_lead_s=st.integers(0, 10),
    allowance_s=st.floats(0, 10),
    come_out_s=st.integers(0, 10),
    overhead=st.booleans(),
    upside_down=st.booleans(),
    may_stay=st.just(True),
    loads=st.frozensets(st.sampled_from(Site)),
    short_name=WORDS,
    how=st.lists(WORDS, max_size=3).map(tuple),
    instructions=st.lists(WORDS, max_size=3).map(tuple),
    position_lost=WORDS,
    caution=WORDS,
)


@st.composite
def plans(draw: st.DrawFn) -> PlanFile:
    own = tuple(draw(st.lists(OWN, max_size=2, unique_by=lambda one: one.id)))
    ids = draw(
        st.lists(
            st.sampled_from([*BUILT_IN, *(one.id for one in own)]),
            min_size=1,
            max_size=4,
            unique=True,
        )
    )
    entries = tuple(
        draw(
            st.builds(
                PlanExercise,
                exercise=st.just(ident),
                sets=st.integers(1, 20),
                start_s=st.integers(60, 120).map(lambda n: n / 2),
                rest_s=st.integers(0, 900),
                step_s=st.integers(1, 15),
                cap_s=st.integers(60, 300),
                floor_s=st.integers(1, 30),
                end_of_hold=st.just(EndOfHold.STOP),
                pattern=st.builds(Pattern, st.integers(1, 10), st.integers(1, 10)),
                grip=st.none() | st.sampled_from(Grip),
                cue=WORDS,
            )
        )
        for ident in ids
    )
    plan = Plan(
        days=tuple(sorted(draw(st.sets(st.integers(1, 7), min_size=1)))),
        order=draw(st.sampled_from(Order)),
        warm_up_s=draw(st.integers(0, 1800)),
        exercises=entries,
        top={
            Family.HANG: draw(st.sampled_from(["hang-supported", "hang"])),
            Family.PRESS: draw(st.sampled_from(["press-pushup", "press-wall"])),
        },
        own=own,
    )
    targets = draw(st.dictionaries(st.sampled_from(ids), HALVES))
    return PlanFile(plan=plan, targets=targets)


@given(plans())
def test_a_plan_written_and_read_is_the_same_plan(content: PlanFile) -> None:
    """Nothing of a plan is lost or changed on its way through a file."""
    again = read_text(plan_text(content))

    assert content.plan == again.plan
    assert dict(content.targets) == dict(again.targets)


@given(plans(), plans())
def test_a_difference_is_empty_only_between_equal_plans(
    one: PlanFile, other: PlanFile
) -> None:
    """No change is hidden from whoever takes a plan, and none is made up."""
    assert () == plan_changes(one.plan, one.plan)
    if one.plan != other.plan:
        assert plan_changes(one.plan, other.plan)


def test_a_difference_reads_as_plain_lines() -> None:
    """Each change is one line with the figure before and after."""
    old = default_plan()
    content = read_text(COACH)
    lines = plan_changes(
        old,
        content.plan,
        old_targets={"hang": 30.0},
        new_targets=content.targets,
    )

    assert (
        "days: Mon Wed Fri → Mon Thu",
        "order: in-turn → press-first",
        "hardest press: press-pike → press-wall",
        "hang: added, 4 × 20 s, rest 60 s",
        "doorway: added, 3 × 20 s, rest 60 s",
        "hang-supported: taken out of the plan",
        "press-pushup: taken out of the plan",
        "hang: target 30 → 35 s",
        "doorway: a new exercise, Doorway lean",
    ) == lines


def test_own_exercises_that_the_log_may_name_stay_known() -> None:
    """A new plan that doesn't bring an own exercise doesn't make the log unreadable."""
    old = read_text(COACH).plan
    new = keeping_own(old, default_plan())

    assert "Doorway lean" == new.exercise("doorway").name


def test_a_plan_file_is_not_replaced_unasked(tmp_path: Path) -> None:
    """A file that is there stays, unless that is wanted."""
    path = tmp_path / "plan.toml"
    content = PlanFile(plan=default_plan())
    path.write_text("mine")
    with pytest.raises(ConfigError, match="is there already"):
        write_plan_file(path, content, replace=False)

    assert "mine" == path.read_text()
    write_plan_file(path, content, replace=True)
    assert content == read_plan_file(path)

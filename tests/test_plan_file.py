"""Plan files: what a coach writes, read with errors that say where."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.core.cues.breathing import Pattern
from trainer.core.exercises import BUILT_IN, Exercise, Family
from trainer.core.model import EndOfHold, Site
from trainer.core.plan.changes import keeping_own, plan_changes
from trainer.core.plan.plan import Grip, Order, Plan, PlanExercise, default_plan
from trainer.core.weeks import IsoWeek
from trainer.errors import ConfigError, ManyConfigError
from trainer.plan_file import (
    TEMPLATE,
    PlanFile,
    plan_from,
    plan_text,
    read_plan_file,
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


def test_all_faults_are_said_at_once_in_order_of_line() -> None:
    """Syntax and sense alike, so that whoever wrote the file mends it once."""
    text = (
        "days = [\u201cmon\u201d, \u201ctuu\u201d]\n"
        "dais = 3\n"
        '[[exercise]]\nid = "hang"\nrest_s = 30s\nsets = 0\nsets = 3\n'
        '[[exercise]]\nid = "press-pik"\ncue = 3\n'
        "[[exercise]]\nid = press-pike\ncap_s = 900\n"
    )
    with pytest.raises(ManyConfigError) as caught:
        read_text(text)

    said = [str(fault).removeprefix("plan.toml, ") for fault in caught.value.faults]
    begins = (
        "line 1, key days: the quotes are curly",
        "line 1, key days: 'tuu' is not a weekday",
        "line 2, key dais: there is no such key",
        "line 5, key rest_s: a number stands without its unit",
        "line 6, key exercise.sets: 0 is out of bounds",
        "line 7, key sets: it is given twice, first on line 6",
        "line 9, key exercise.id: 'press-pik' is not one of them",
        "line 10, key exercise.cue: ",
        "line 12, key id: a text stands in quotes",
        "line 13, key exercise.cap_s: 900 is out of bounds",
    )
    assert len(begins) == len(said)
    assert all(map(str.startswith, said, begins)), said


def test_what_a_file_doesnt_name_stays_as_it_was() -> None:
    """Days, order, figures of an exercise, exercises: only what is named changes."""
    old = read_text(COACH).plan
    content = plan_from(parse('[[exercise]]\nid = "hang"\nsets = 5\n', name="x"), old)

    hang = old.entry("hang")
    assert hang is not None
    assert old.with_entry(replace(hang, sets=5)) == content.plan


def test_an_exercise_leaves_the_plan_by_name_only() -> None:
    """``take_out`` names it; naming it as well, or one that isn't there, is a fault."""
    old = read_text(COACH).plan
    content = plan_from(parse('take_out = ["doorway"]', name="x"), old)

    assert ["hang"] == [entry.exercise for entry in content.plan.exercises]
    with pytest.raises(ConfigError, match=r"'hagn' is not in the plan.*mean hang"):
        plan_from(parse('take_out = ["hagn"]', name="x"), old)
    with pytest.raises(ConfigError, match="hang is put in and taken out"):
        plan_from(parse('take_out = ["hang"]\n' + ONE, name="x"), old)


def test_a_file_that_names_all_orders_them() -> None:
    """The order of the file is the plan's; what is new stands where it is named."""
    text = "".join(f'[[exercise]]\nid = "{one}"\n' for one in ("press-pike", "hang"))
    old = read_text(ONE + '[[exercise]]\nid = "press-pike"\n').plan

    assert ("press-pike", "hang") == tuple(
        entry.exercise for entry in plan_from(parse(text, name="x"), old).plan.exercises
    )


def test_coach_note_rest_weeks_and_first_week_are_read() -> None:
    """The weeks as weeks; the rest with the plan, so that the trainee sees it."""
    content = read_text(
        'coach = "Kim (made up)"\nnote = "Ribs first."\nfirst_week = "2026-W50"\n'
        'rest_weeks = ["2026-W52"]\n' + ONE
    )

    assert ("Kim (made up)", "Ribs first.") == (content.plan.coach, content.plan.note)
    assert IsoWeek(2026, 50) == content.first_week
    assert {IsoWeek(2026, 52)} == content.rest_weeks
    with pytest.raises(ConfigError, match=r"'2026-52' is no week.*2026-W09"):
        read_text('rest_weeks = ["2026-52"]\n' + ONE)
    with pytest.raises(ConfigError, match="a target counts at once"):
        read_text('first_week = "2026-W50"\n' + ONE + "target_s = 30")


def test_the_template_changes_nothing_until_it_is_edited() -> None:
    """As written it names nothing; with its lines taken up, every one is right."""
    old = default_plan()
    assert PlanFile(plan=old) == plan_from(parse(TEMPLATE, name="x"), old)

    taken_up = "\n".join(
        line.removeprefix("# ")
        for line in TEMPLATE.splitlines()
        if "=" in line or line.startswith("# [")
    ).replace("target_s", "# target_s")
    taken_up = taken_up.replace('take_out = ["press-pushup"]', "")
    content = plan_from(parse(taken_up, name="x"), old)
    assert "Doorway lean" == content.plan.exercise("doorway").name
    assert "Your name" == content.plan.coach


def test_a_target_over_the_cap_is_said() -> None:
    """Whoever takes the plan reads it before, beside the figure."""
    plan = read_text(ONE).plan

    assert ("Passive hang: target 30 → 70 s, over its cap, 60 s",) == plan_changes(
        plan, plan, old_targets={"hang": 30.0}, new_targets={"hang": 70.0}
    )


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


OWN_ONES = st.lists(OWN, max_size=2, unique_by=lambda one: one.id)
ENTRIES = st.builds(
    PlanExercise,
    exercise=st.just("hang"),
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
DAYS = st.sets(st.integers(1, 7), min_size=1)
ORDERS = st.sampled_from(Order)
WARM_UPS_S = st.integers(0, 1800)
TOP_HANGS = st.sampled_from(["hang-supported", "hang"])
TOP_PRESSES = st.sampled_from(["press-pushup", "press-wall"])
TARGETS_S = st.none() | HALVES


@cache
def some_of(ids: tuple[str, ...]) -> st.SearchStrategy[list[str]]:
    """Give the strategy for a plan of these: made for each draw it would take longer
    than the draw."""
    return st.lists(st.sampled_from(ids), min_size=1, max_size=4, unique=True)


@st.composite
def plans(draw: st.DrawFn) -> PlanFile:
    own = tuple(draw(OWN_ONES))
    ids = draw(some_of((*BUILT_IN, *(one.id for one in own))))
    plan = Plan(
        days=tuple(sorted(draw(DAYS))),
        order=draw(ORDERS),
        warm_up_s=draw(WARM_UPS_S),
        exercises=tuple(replace(draw(ENTRIES), exercise=ident) for ident in ids),
        top={Family.HANG: draw(TOP_HANGS), Family.PRESS: draw(TOP_PRESSES)},
        own=own,
    )
    targets = {ident: draw(TARGETS_S) for ident in ids}
    return PlanFile(
        plan=plan,
        targets={ident: each for ident, each in targets.items() if each is not None},
    )


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
        "hardest press: Pike press-away → Wall press-away",
        "Passive hang: added, 4 × 20 s, rest 60 s",
        "Doorway lean: added, 3 × 20 s, rest 60 s",
        "Supported hang: taken out of the plan",
        "Push-up press-away: taken out of the plan",
        "Passive hang: target 30 → 35 s",
        "Doorway lean: a new exercise, doorway in commands",
    ) == lines


def test_own_exercises_that_the_log_may_name_stay_known() -> None:
    """A new plan that doesn't bring an own exercise doesn't make the log unreadable."""
    old = read_text(COACH).plan
    new = keeping_own(old, default_plan())

    assert "Doorway lean" == new.exercise("doorway").name

"""From a program to one that may be led: what the gate says of it, and what is kept."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from tests.core.session.sessions import program, program_set
from trainer.core.answers import HEAD_UP, NO, SHOULDER, WALL_UNHURRIED, YES
from trainer.core.exercises import BUILT_IN, Family
from trainer.core.model import EndedBy, Pain, PainKind, Side, Site
from trainer.core.plan.plan import Plan, PlanExercise
from trainer.core.safety import LONGEST_HEAD_DOWN_S, OpenPain, Person, Reason
from trainer.core.session.clearance import (
    Asked,
    NotClearedError,
    ask_gate,
    cleared,
    past_the_gate,
    put_back,
    rehearsed,
    without_what_is_asked,
)
from trainer.core.session.program import WarmUpMove
from trainer.core.session.state import HoldDraft

ON = date(2026, 3, 9)
ANSWERS = {SHOULDER: NO, HEAD_UP: NO, WALL_UNHURRIED: YES}
TOP = {Family.HANG: "hang", Family.PRESS: "press-wall"}
WELL = Person(ANSWERS, TOP)
WRIST = OpenPain(PainKind.PAIN, Site.WRIST, Side.LEFT, date(2026, 3, 2), "hang")
DIZZY = OpenPain(PainKind.DIZZY, None, None, date(2026, 3, 2), "press-pike")
BOTH = program(
    program_set(),
    program_set("press-pike"),
    program_set(set_number=2),
    program_set("press-pike", set_number=2),
)


def asked(*pain: OpenPain, answers: dict[str, str] = ANSWERS) -> Asked:
    """Ask about a hang and a pike, in turn."""
    return ask_gate(BOTH, Person(answers, TOP, pain), on=ON)


def test_where_nothing_speaks_against_it_it_goes() -> None:
    """No finding, no question, no pain; what is cleared keeps nothing."""
    got = asked()

    assert got.goes
    assert not got.held_back
    assert ((), (), ()) == (got.open_questions, got.pains, got.says)
    assert (BOTH, (), False) == (
        (through := cleared(got)).program,
        through.overrides,
        through.rehearsal,
    )


def test_one_pain_is_said_once_for_all_that_loads_it() -> None:
    """A wrist, in a hang and a pike: one sentence names both, one pain is listed."""
    got = asked(WRIST)

    assert not got.goes
    assert not got.held_back
    assert (WRIST,) == got.pains
    (said,) = got.says
    names = f"{BUILT_IN['hang'].name} and {BUILT_IN['press-pike'].name} load that."
    assert said.endswith(names)


def test_two_pains_are_said_each_with_what_it_is_about() -> None:
    """Dizziness holds back the pike alone; the wrist is asked about in both."""
    got = asked(WRIST, DIZZY)

    assert got.held_back
    assert (WRIST, DIZZY) == got.pains
    assert 2 == len(got.says)
    assert [False, True] == ["speaks against" in said for said in got.says]


def test_an_open_question_is_asked_once() -> None:
    """The shoulder question settles the hang and the pike alike."""
    got = asked(answers={HEAD_UP: NO})

    assert (SHOULDER,) == got.open_questions
    assert () == got.pains
    assert 2 == len(got.says)


def test_the_longest_target_of_an_exercise_counts() -> None:
    """The second set on the wall is too long to be alone, wherever it stands."""
    long_s = LONGEST_HEAD_DOWN_S + 5
    wall = [program_set("press-wall", target_s=each) for each in (20, long_s, 20)]

    (found,) = ask_gate(program(*wall), WELL, on=ON).findings

    assert Reason.LONG is found.reason
    assert f"{long_s:g} s upside down" in found.says
    assert ask_gate(program(wall[0], wall[2]), WELL, on=ON).goes


def test_going_on_anyway_is_kept_and_nothing_goes_past_in_silence() -> None:
    """Without the person's word it is refused, with the reason; with it, it is kept."""
    got = asked(WRIST)

    with pytest.raises(NotClearedError, match="wrist"):
        cleared(got)
    kept = cleared(got, anyway=True).overrides
    assert [("hang", "pain"), ("press-pike", "pain")] == [
        (one.exercise, one.reason) for one in kept
    ]
    assert rehearsed(BOTH).rehearsal
    assert () == rehearsed(BOTH).overrides


def test_without_what_is_asked_the_rest_keeps_its_order() -> None:
    """A pike past the top: the hangs stay, and the warm-up but for the pike's try."""
    pike = BUILT_IN["press-pike"].name
    moves = tuple(
        WarmUpMove(name, "", 10)
        for name in ("Arm circles", f"{pike}, an easy one", "Passive hang, an easy one")
    )
    lower = Person(ANSWERS, {**TOP, Family.PRESS: "press-pushup"})
    got = ask_gate(replace(BOTH, warm_up=moves), lower, on=ON)

    left = without_what_is_asked(got)

    assert left is not None
    assert [("hang", 1), ("hang", 2)] == [
        (one.exercise.id, one.set_number) for one in left.sets
    ]
    assert (moves[0], moves[2]) == left.warm_up
    assert without_what_is_asked(asked(WRIST)) is None


def test_of_two_exercises_left_out_neither_is_tried_in_the_warm_up() -> None:
    """Pike and wall lie past the top; the hang's easy try stays."""
    tried = ("press-pike", "press-wall", "hang")
    moves = tuple(
        WarmUpMove(f"{BUILT_IN[one].name}, an easy one", "", 10) for one in tried
    )
    made = program(*map(program_set, tried), warm_up=moves)
    lower = Person(ANSWERS, {**TOP, Family.PRESS: "press-pushup"})

    left = without_what_is_asked(ask_gate(made, lower, on=ON))

    assert left is not None
    assert ["hang"] == [one.exercise.id for one in left.sets]
    assert moves[2:] == left.warm_up


def draft(index: int, *, gone_on: bool) -> HoldDraft:
    """Give a hold with a wrist that hurt."""
    return HoldDraft(
        serial=index + 1,
        index=index,
        exercise=BOTH.sets[index].exercise.id,
        set_number=1,
        target_s=20,
        began_at_s=0,
        held_s=20,
        ended_by=EndedBy.TARGET,
        pain=(Pain(PainKind.PAIN, Site.WRIST, Side.LEFT),),
        pain_overridden=gone_on,
    )


def test_what_came_back_after_pain_is_kept_for_what_was_still_to_come() -> None:
    """After the third of four sets only the pike was; not where nobody went on."""
    late = put_back(BOTH, [draft(2, gone_on=True)], on=ON)
    early = put_back(BOTH, [draft(0, gone_on=True)], on=ON)

    assert ["press-pike"] == [one.exercise for one in late]
    assert ["press-pike", "hang"] == [one.exercise for one in early]
    assert () == put_back(BOTH, [draft(0, gone_on=False)], on=ON)
    assert early == put_back(
        BOTH, [draft(0, gone_on=True), draft(0, gone_on=True)], on=ON
    )


class TestAPlan:
    """What comes into a plan past the gate."""

    OLD = Plan(exercises=(PlanExercise(exercise="hang"),), top=TOP)
    WALL = OLD.with_entry(PlanExercise(exercise="press-wall", start_s=20))

    def reasons(
        self,
        old: Plan,
        new: Plan,
        answers: dict[str, str] = ANSWERS,
        **targets: float,
    ) -> list[Reason]:
        """Give why what is new is asked about."""
        named = {name.replace("_", "-"): value for name, value in targets.items()}
        return [one.reason for one in past_the_gate(old, new, answers, named, on=ON)]

    def test_what_stood_there_before_may_stay(self) -> None:
        """A wall that nobody cleared is asked about as it comes in, and not again."""
        open_wall = {SHOULDER: NO, HEAD_UP: NO}

        assert [Reason.WALL] == self.reasons(self.OLD, self.WALL, open_wall)
        assert [] == self.reasons(self.WALL, self.WALL, open_wall)
        assert [] == self.reasons(self.OLD, self.WALL)

    def test_a_target_past_what_stood_there_is_asked_about(self) -> None:
        """Too long to be alone, by the target or by the start; under it, nothing."""
        long_s = LONGEST_HEAD_DOWN_S + 5
        longer = self.OLD.with_entry(
            PlanExercise(exercise="press-wall", start_s=long_s, cap_s=long_s + 5)
        )

        assert [Reason.LONG] == self.reasons(self.WALL, self.WALL, press_wall=long_s)
        assert [Reason.LONG] == self.reasons(self.WALL, longer)
        assert [] == self.reasons(longer, longer, press_wall=long_s)
        assert [] == self.reasons(self.WALL, self.WALL, press_wall=20)

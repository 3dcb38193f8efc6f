"""Hang and press are photographed in a planned set: when it is offered, and where."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from tests.core.angle.checks import FIRST_DAY, check
from trainer.core.angle.check import AngleCheck, Blades, Pose, Position
from trainer.core.angle.in_a_set import (
    PHOTO_DECLINED_KEY,
    SetPhoto,
    due_in_a_set,
    with_photos,
)
from trainer.core.exercises import HANG, PRESS_PIKE, PRESS_PUSHUP, Exercise
from trainer.core.model import PainKind, SessionKind, Side, Site
from trainer.core.plan.plan import PlanExercise
from trainer.core.safety import OpenPain
from trainer.core.session.program import Block, SessionProgram, block_sets

HUNG = check(170, position=Position(pose=Pose.HANG))
SUNK = check(150, position=Position(pose=Pose.PRESS, blades=Blades.SUNK))
PRESSED = check(160, position=Position(pose=Pose.PRESS, blades=Blades.PRESSED))
LATER = FIRST_DAY + timedelta(weeks=4)


def _due(
    *checks: AngleCheck, today: date = LATER, declined: date | None = None
) -> list[SetPhoto]:
    answers = {} if declined is None else {PHOTO_DECLINED_KEY: declined.isoformat()}
    return list(due_in_a_set(checks, (), answers, today=today))


def _program(
    *exercises: Exercise,
    sets: int = 3,
    target_s: float = 30,
    kind: SessionKind = SessionKind.PLAN,
    cue: str = "",
) -> SessionProgram:
    made = [
        block_sets(
            Block(
                exercise=exercise,
                entry=PlanExercise(exercise=exercise.id, sets=sets, cue=cue),
                targets_s=(target_s,) * sets,
            )
        )
        for exercise in exercises
    ]
    return SessionProgram(kind=kind, sets=tuple(one for each in made for one in each))


class TestDue:
    def test_is_only_what_somebody_takes_four_weeks_on(self) -> None:
        """Nobody is asked for the first one, nor sooner, nor for the other pose."""
        assert [] == _due()
        assert [] == _due(check(160))
        assert [] == _due(HUNG, today=LATER - timedelta(days=1))
        assert [SetPhoto(Pose.HANG)] == _due(HUNG)

    def test_is_declined_for_a_week(self) -> None:
        """As the reach is; the two are declined apart."""
        assert [] == _due(HUNG, declined=LATER)
        assert [SetPhoto(Pose.HANG)] == _due(HUNG, declined=LATER - timedelta(days=7))

    def test_is_of_both_where_both_were_compared(self) -> None:
        """Sunk with pressed; pressed alone is asked for alone."""
        assert [SetPhoto(Pose.PRESS, sunk_too=True)] == _due(SUNK, PRESSED)
        assert [SetPhoto(Pose.PRESS)] == _due(PRESSED)

    @pytest.mark.parametrize(
        ("site", "due"), [(Site.FRONT_SHOULDER, 0), (None, 0), (Site.WRIST, 1)]
    )
    def test_is_nothing_with_open_pain_at_a_shoulder(
        self, site: Site | None, due: int
    ) -> None:
        """Nor where nobody said where the pain is."""
        pain = OpenPain(PainKind.PAIN, site, Side.LEFT, FIRST_DAY, "hang")

        assert due == len(due_in_a_set([HUNG], [pain], {}, today=LATER))


class TestInAProgram:
    def test_is_said_in_the_second_set_which_is_a_warm_one(self) -> None:
        """Of its own family alone, before the coach's cue."""
        program = with_photos(
            _program(PRESS_PUSHUP, HANG, cue="long neck"), [SetPhoto(Pose.HANG)]
        )
        said = {
            (planned.exercise.id, planned.set_number): program.says_first(planned)
            for planned in program.sets
            if planned.photo
        }

        assert {
            ("hang", 2): (
                "Photo due in this set: after the third exhale. Cue: long neck"
            )
        } == said

    def test_is_in_the_only_set_where_there_is_one(self) -> None:
        """After the warm-up."""
        program = with_photos(_program(HANG, sets=1), [SetPhoto(Pose.HANG)])

        assert program.sets[0].photo

    def test_says_the_last_exhale_where_there_is_no_third(self) -> None:
        """Twenty seconds are two breaths of ten."""
        program = with_photos(_program(HANG, target_s=20), [SetPhoto(Pose.HANG)])

        assert "at the end of the last exhale." in program.sets[1].photo

    def test_is_never_upside_down(self) -> None:
        """A pike has no photo; the push-up position has, sunk when it is over."""
        both = SetPhoto(Pose.PRESS, sunk_too=True)
        pike = with_photos(_program(PRESS_PIKE), [both])
        pushup = with_photos(_program(PRESS_PUSHUP), [both])

        assert not any(planned.photo for planned in pike.sets)
        assert (
            "Photo due in this set: pressed after the third exhale, sunk once the hold"
            " is over."
        ) == pushup.sets[1].photo

    @pytest.mark.parametrize("kind", [SessionKind.ONE_OFF, SessionKind.TEST])
    def test_is_in_planned_sets_alone(self, kind: SessionKind) -> None:
        """Not in a test, nor in an exercise that was asked for alone."""
        program = _program(HANG, kind=kind)

        assert program == with_photos(program, [SetPhoto(Pose.HANG)])

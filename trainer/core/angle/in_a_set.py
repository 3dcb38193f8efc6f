"""Hang and press, photographed within a set that is planned anyway.

Offered to somebody who takes such checks, four weeks after the last one, and never with
the head down. The set is led like any other; nothing is lost by not taking the photo.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from trainer.core.angle.check import AngleCheck, Blades, Pose
from trainer.core.angle.due import declined_on, four_weeks_since, held_back
from trainer.core.cues.breathing import lay
from trainer.core.model import SessionKind
from trainer.core.safety import OpenPain
from trainer.core.session.program import ProgramSet, SessionProgram

PHOTO_DECLINED_KEY = "set-photo-declined"
"""The answer that keeps the day on which a photo in a set was declined."""
EXHALES = 3
"""After so many a hang has settled (our choice)."""
IN_A_SET = (Pose.HANG, Pose.PRESS)


@dataclass(frozen=True, slots=True)
class SetPhoto:
    """A photo that is due in a set."""

    pose: Pose
    sunk_too: bool = False
    """Sunk is compared with pressed: once more when the hold is over, since sinking
    would end what counts as kept."""

    def said_of(self, planned: ProgramSet) -> str:
        """Return what is said of it in the set's set-up."""
        breaths = lay(planned.target_s, planned.pattern)
        enough = breaths is not None and breaths.count >= EXHALES
        when = "after the third exhale" if enough else "at the end of the last exhale"
        pressed = f"pressed {when}, sunk once the hold is over"
        return f"Photo due in this set: {pressed if self.sunk_too else when}."


def due_in_a_set(
    checks: Iterable[AngleCheck],
    pains: Iterable[OpenPain],
    answers: Mapping[str, str],
    *,
    today: date,
) -> tuple[SetPhoto, ...]:
    """Return the photos that are due of a hang and of a press.

    Args:
        checks: all that there are; of what was never photographed none is due.
        pains: those that are open; at a shoulder there is no check.
        answers: what the person answered once.
        today: the local date.
    """
    if held_back(pains):
        return ()
    declined = declined_on(answers, PHOTO_DECLINED_KEY)
    found = list(checks)
    due = []
    for pose in IN_A_SET:
        of_pose = [check for check in found if check.position.pose is pose]
        days = [check.local_date for check in of_pose]
        if days and four_weeks_since(days, today=today, declined_on=declined):
            blades = {check.position.blades for check in of_pose}
            due.append(SetPhoto(pose, sunk_too=set(Blades) <= blades))
    return tuple(due)


def with_photos(program: SessionProgram, due: Sequence[SetPhoto]) -> SessionProgram:
    """Return PROGRAM with each photo said of one of its sets, where there is one.

    That is the second of an exercise, or its only one, so that it is a warm one.
    """
    if program.kind is not SessionKind.PLAN:
        return program
    sets = list(program.sets)
    for photo in due:
        for index, planned in enumerate(sets):
            if _suits(planned, photo):
                sets[index] = replace(planned, photo=photo.said_of(planned))
                break
    return replace(program, sets=tuple(sets))


def _suits(planned: ProgramSet, photo: SetPhoto) -> bool:
    family = planned.exercise.family
    return (
        family is not None
        and family.value == photo.pose.value
        and not planned.exercise.upside_down
        and planned.set_number == min(2, planned.sets)
    )

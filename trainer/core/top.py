"""The hardest rung that may be offered to this person, and why no harder one."""

from __future__ import annotations

from collections.abc import Mapping

from trainer.core.exercises import (
    LADDERS,
    PRESS_PIKE,
    PRESS_PUSHUP,
    PRESS_WALL,
    Family,
)
from trainer.core.first_day import HEAD_UP, WALL_UNHURRIED, YES
from trainer.core.plan import Plan


def hardest(plan: Plan, family: Family, answers: Mapping[str, str]) -> str:
    """Give the hardest rung of a ladder that may be offered after these answers."""
    top = plan.top.get(family, LADDERS[family][-1])
    if family is not Family.PRESS:
        return top
    if answers.get(HEAD_UP) == YES:
        return PRESS_PUSHUP.id
    if top in (PRESS_PIKE.id, PRESS_WALL.id):
        # A plan file's word for the wall answers nothing for the person.
        unhurried = answers.get(WALL_UNHURRIED) == YES
        return PRESS_WALL.id if unhurried else PRESS_PIKE.id
    return top


def why_too_hard(
    plan: Plan, exercise_id: str, answers: Mapping[str, str]
) -> str | None:
    """Say why an exercise is harder than may be offered; None where it isn't."""
    family = plan.exercise(exercise_id).family
    if family is None or exercise_id not in LADDERS[family]:
        return None
    ladder, top = LADDERS[family], hardest(plan, family, answers)
    if ladder.index(exercise_id) <= ladder.index(top):
        return None
    if family is Family.PRESS and answers.get(HEAD_UP) == YES:
        return (
            "the first-day answers say that an eye or blood-pressure caution keeps the"
            " head up"
        )
    if exercise_id == PRESS_WALL.id and top == PRESS_PIKE.id:
        return (
            "the first-day answers don't say that you walk up and down the wall"
            " unhurried, and have done so with somebody by"
        )
    return f"the hardest {family} that may be offered to you is {top}"

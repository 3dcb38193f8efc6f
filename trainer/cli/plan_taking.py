"""The targets in force, and a plan with its targets taken: for ``trainer plan``."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime, timezone
from typing import TYPE_CHECKING
from uuid import uuid4

from trainer.core.model import Author, History, TargetSet
from trainer.core.plan import Plan

if TYPE_CHECKING:
    from trainer.store import Store

WHO = {"person": Author.PERSON, "coach": Author.COACH}
"""Who ``--by`` may name."""


def targets_in_force(history: History, plan: Plan) -> dict[str, float]:
    """Give the target in force of each exercise of the plan."""
    from trainer.core.evidence import target_in_force

    return {
        entry.exercise: target_in_force(history, plan, entry.exercise)
        for entry in plan.exercises
    }


def set_targets(history: History) -> dict[str, float]:
    """Give the latest target that was set or taken, by exercise."""
    return {target.exercise: target.target_s for target in history.targets}


def take(
    store: Store,
    old: Plan,
    new: Plan,
    targets: Mapping[str, float],
    *,
    author: Author,
    now: datetime,
) -> None:
    """Write the plan if it differs, and each target; one undo takes all of it back."""
    made = [
        _target(exercise, target_s, author, now)
        for exercise, target_s in targets.items()
    ]
    if new != old or len(made) > 1:
        store.save_plan(new, valid_from=now.date(), targets=made)
        return
    for target in made:
        store.set_target(target)


def _target(exercise: str, target_s: float, author: Author, now: datetime) -> TargetSet:
    return TargetSet(
        uid=str(uuid4()),
        exercise=exercise,
        target_s=target_s,
        author=author,
        set_at=now.astimezone(timezone.utc),
        local_date=now.date(),
    )

"""What one exercise came to in one session, and the longest that was kept of it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from trainer.core.model import CLEAN_SLACK_S, Hold


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptPoint:
    """One exercise in one session."""

    day: date
    kept_s: float
    """Mean over the sets."""
    best_s: float
    target_s: float | None
    sets: int
    early: int
    """Sets that ended before their target."""
    rpe: float | None
    """The highest noted."""


@dataclass(frozen=True, slots=True)
class Best:
    """The longest kept hold of an exercise."""

    exercise: str
    kept_s: float
    day: date


def point_of(day: date, holds: Sequence[Hold]) -> KeptPoint:
    """Return what the holds of one exercise on one visit come to."""
    kept = [hold.kept_or_held_s for hold in holds]
    return KeptPoint(
        day=day,
        kept_s=math.fsum(kept) / len(kept),
        best_s=max(kept),
        target_s=next(
            (hold.target_s for hold in holds if hold.target_s is not None), None
        ),
        sets=len(holds),
        early=sum(ended_early(hold) for hold in holds),
        rpe=max((hold.rpe for hold in holds if hold.rpe is not None), default=None),
    )


def ended_early(hold: Hold) -> bool:
    """Tell whether a hold ended before its target."""
    return hold.target_s is not None and hold.held_s < hold.target_s - CLEAN_SLACK_S


def best_of(exercise: str, points: Sequence[KeptPoint]) -> Best:
    """Return the longest kept hold; of two as long, the earlier."""
    longest = max(points, key=lambda point: point.best_s)
    return Best(exercise, longest.best_s, longest.day)

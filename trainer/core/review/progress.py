"""Whether somebody got better: what could be held then and now, by the estimate.

What was *kept* rises with the target, so it can't answer that. The estimate can: it is
taken once as it stood after the period's first week of an exercise, from the holds up
to then, and once as it stands now. ``up`` and ``down`` are said only where the two
ranges, as they are printed, don't meet.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from trainer.core.capacity.filter import estimate, looks_back_to
from trainer.core.capacity.rpe import evidence_of
from trainer.core.model import History
from trainer.core.review.trends import Direction
from trainer.core.weeks import IsoWeek

LOW, HIGH = 0.1, 0.9
"""The ends of the range: 80 % of the estimate lies between them (our choice)."""
LEAST_WEEKS = 4
"""Less than so many weeks apart nothing is compared (our choice)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CouldHold:
    """How long a position could be held on a day, by the estimate."""

    on: date
    median_s: float
    low_s: float
    high_s: float

    @property
    def shown(self) -> tuple[int, int, int]:
        """The low end, the middle and the high end in whole seconds, rounded down."""
        return (
            math.floor(self.low_s),
            math.floor(self.median_s),
            math.floor(self.high_s),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Progress:
    """One exercise: what could be held then, and now."""

    exercise: str
    then: CouldHold | None
    """None: less than ``LEAST_WEEKS`` apart from now."""
    now: CouldHold

    @property
    def direction(self) -> Direction:
        """What the two ranges allow to be said; never ``flat``: they are too wide."""
        if self.then is None:
            return Direction.UNKNOWN
        was_low, _, was_high = self.then.shown
        low, _, high = self.now.shown
        if low > was_high:
            return Direction.UP
        return Direction.DOWN if high < was_low else Direction.UNKNOWN


def could_hold(history: History, exercise: str, on: date) -> CouldHold | None:
    """Return what could be held ON a day, from the holds up to then; None without."""
    since = looks_back_to(on)
    near = tuple(
        session for session in history.sessions if since <= session.local_date <= on
    )
    belief = estimate(evidence_of(History(sessions=near), exercise, since=since), on)
    if belief is None:
        return None
    return CouldHold(
        on=on,
        median_s=belief.quantile_s(0.5),
        low_s=belief.quantile_s(LOW),
        high_s=belief.quantile_s(HIGH),
    )


def progress_of(
    history: History, exercise: str, days: Sequence[date], *, today: date
) -> Progress | None:
    """Compare the first week of the DAYS on which an exercise was trained with TODAY.

    None where there is nothing to go by.
    """
    now = could_hold(history, exercise, today)
    if now is None or not days:
        return None
    week = IsoWeek.of(days[0])
    then = None
    if IsoWeek.of(today).since(week) >= LEAST_WEEKS:
        then = could_hold(history, exercise, week.sunday)
    return Progress(exercise=exercise, then=then, now=now)

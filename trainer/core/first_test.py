"""The first-day test: how long to RPE 7, and the start that follows from it.

All figures are our choice; the 20 to 30 s that they lead to are common practice.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date, datetime

from trainer.core.exercises import PRESS_WALL
from trainer.core.model import EndedBy, History, SessionKind

TEST_RPE = 7.0
TEST_LIMIT_S = 45.0
"""The test ends here, if RPE 7 hasn't come before."""
TOO_SHORT_S = 15.0
"""A test under this means the rung below."""
SHARE = 2 / 3
ROUND_TO_S = 5.0
LEAST_START_S = 10.0
MOST_START_S = 30.0


@dataclass(frozen=True, slots=True, kw_only=True)
class TestResult:
    """A first-day test and what follows from it."""

    on: date
    at: datetime
    """When its session began, UTC."""
    held_s: float
    start_s: float | None
    """None: under 15 s, the rung below fits better."""


def may_test(exercise: str) -> bool:
    """Tell whether EXERCISE may be tested: never against the wall, upside down."""
    return exercise != PRESS_WALL.id


def start_from_test(held_s: float) -> float | None:
    """Give the start: two thirds, rounded down to 5 s, 10 to 30 s; None under 15 s."""
    if held_s < TOO_SHORT_S:
        return None
    share_s = SHARE * min(held_s, TEST_LIMIT_S)
    rounded_s = math.floor(share_s / ROUND_TO_S + 1e-9) * ROUND_TO_S
    return min(MOST_START_S, max(LEAST_START_S, rounded_s))


def last_test(history: History, exercise: str) -> TestResult | None:
    """Give the last test of EXERCISE that counts, or None.

    A hold added by hand may have joined a test's session; it is no test.
    """
    for session in reversed(history.sessions):
        if session.kind is not SessionKind.TEST:
            continue
        for hold in reversed(session.holds):
            added = hold.ended_by is EndedBy.ADDED
            if hold.exercise == exercise and hold.counts and not added:
                held_s = hold.kept_or_held_s
                return TestResult(
                    on=session.local_date,
                    at=session.started_at,
                    held_s=held_s,
                    start_s=start_from_test(held_s),
                )
    return None

"""What one hold says of the capacity: seconds left by RPE, fatigue undone.

All constants are our choice.
"""

from __future__ import annotations

import itertools
import math
from collections import defaultdict
from dataclasses import dataclass
from datetime import date
from functools import lru_cache

from trainer.core.model import CLEAN_SLACK_S, History, Hold, SessionKind

SET_FATIGUE = 0.04
"""How much shorter each further set of a session is, in log seconds."""
MOST_TIRED = 6
"""No set is taken to be more tired than the sixth."""
TEST_RPE = 7.0
"""A first-day test is held to this RPE."""
RPE_ERROR = 0.5
LOOSER_PER_RPE = 1 / 3
"""An RPE is right to a half upward; downward the error grows by a third for each point
under 10, since guesses are worse the more is left (Hackett et al. 2017)."""
OPEN_BELOW_RPE = 5.5
"""Under this RPE there is no upper end to what may have been left."""
LOOSE_RPE = 6.5
"""No RPE says more of the lower end of what was left than this one does."""
LEAST_S = 1.5
"""A hold of less is taken for this long."""


def tired(nth: int) -> float:
    """Give how much shorter the NTH set of a session is, from 0, in log seconds."""
    return SET_FATIGUE * min(nth, MOST_TIRED - 1)


def reserve_s(rpe: float, held_s: float) -> float:
    """Give the seconds that were left at RPE after HELD_S, by our own wording.

    10 not a second, 9 a second or two, 8 about one breath (10 s at the default
    pattern, at most half the hold), 7 two breaths, 5 about as long again,
    3 and under twice as long again or more.
    """
    knots = (
        (10.0, 0.0),
        (9.0, min(1.5, held_s / 6)),
        (8.0, min(10.0, held_s / 2)),
        (7.0, min(20.0, 0.9 * held_s)),
        (5.0, held_s),
        (3.0, 2 * held_s),
    )
    for (high, low_s), (low, high_s) in itertools.pairwise(knots):
        if rpe >= low:
            share = (min(rpe, high) - low) / (high - low)
            return high_s + share * (low_s - high_s)
    return 2 * held_s


def rpe_for(reserve: float, held_s: float) -> float:
    """Give the RPE, to the half, at which RESERVE seconds are left after HELD_S."""
    halves = [half / 2 for half in range(6, 21)]
    return min(halves, key=lambda rpe: abs(reserve_s(rpe, held_s) - max(0.0, reserve)))


@dataclass(frozen=True, slots=True)
class Interval:
    """What one hold says: the capacity then lay between these, in log seconds."""

    low: float
    high: float
    """Infinity where nothing speaks against more."""


def interval_of(hold: Hold, nth: int, *, test: bool = False) -> Interval:
    """Turn a hold, the NTH of its session from 0, into an interval, fatigue undone.

    Where the position went before the hold ended, or the hold ended early with no RPE,
    the capacity is what was kept. Where it held, the RPE says what was left.
    """
    base_s = max(hold.kept_or_held_s, LEAST_S)
    base = math.log(base_s) + tired(nth)
    lost = hold.kept_s is not None and hold.kept_s < hold.held_s
    target_s = hold.target_s
    early = target_s is not None and hold.kept_or_held_s < target_s - CLEAN_SLACK_S
    rpe = TEST_RPE if test and early and hold.rpe is None else hold.rpe
    if lost or (early and rpe is None):
        return Interval(base, base)
    if rpe is None:
        return Interval(base, math.inf)
    return made(base_s, rpe, nth)


@lru_cache(maxsize=1024)
def made(held_s: float, rpe: float, nth: int) -> Interval:
    """Give what a hold says that held its position for HELD_S and ended at RPE."""
    low_s = held_s + reserve_s(min(10.0, max(rpe + RPE_ERROR, LOOSE_RPE)), held_s)
    if rpe < OPEN_BELOW_RPE:
        return Interval(math.log(low_s) + tired(nth), math.inf)
    easiest = rpe - RPE_ERROR - LOOSER_PER_RPE * (10 - rpe)
    high_s = held_s + reserve_s(easiest, held_s)
    return Interval(math.log(low_s) + tired(nth), math.log(high_s) + tired(nth))


Evidence = tuple[tuple[date, tuple[Interval, ...]], ...]


def evidence_of(history: History, exercise: str, *, since: date) -> Evidence:
    """Collect what all counted holds of EXERCISE say, day by day, oldest first."""
    by_day: dict[date, list[Interval]] = defaultdict(list)
    for session in history.sessions:
        if session.local_date < since:
            continue
        mine = [h for h in session.holds if h.exercise == exercise and h.counts]
        test = session.kind is SessionKind.TEST
        for nth, hold in enumerate(mine):
            by_day[session.local_date].append(interval_of(hold, nth, test=test))
    return tuple((day, tuple(by_day[day])) for day in sorted(by_day))

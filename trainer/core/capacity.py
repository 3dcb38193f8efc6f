"""How long could the person keep the position today, and how sure is that?

A filter over the logarithm of the capacity, kept as probabilities on a fixed grid.
Two kinds of evidence come in: a hold that ended early shows the capacity; a hold that
made its target shows only that it is more, and its RPE says how much more, loosely at
low RPE (Hackett et al. 2017: guesses of what is left are far worse when much is left).
Between sessions the estimate drifts, grows less certain, and after two
weeks away sinks.

Every likelihood is an interval seen through the same noise. That is what makes a better
hold never lower the estimate: intervals in order through one log-concave noise give
likelihood ratios in order, and so do the steps between sessions.

All constants are our choice, except where a source stands beside them.
"""

from __future__ import annotations

import itertools
import math
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache

from trainer.core.model import CLEAN_SLACK_S, History, Hold, SessionKind

GRID_LOW_S = 3.0
GRID_STEP = 0.06
GRID_POINTS = 97
"""From 3 s to about 950 s: beyond both ends of what is trained."""
PRIOR_CENTRE_S = 40.0
PRIOR_SD = 0.6
"""Before the first hold: 40 s, with 19 to 86 s within one deviation."""
HOLD_NOISE = 0.15
"""Standard deviation of one hold about its day, in log seconds."""
DAY_NOISE = 0.10
"""Standard deviation of one day about the capacity, in log seconds: shared by the
day's sets, so that three sets of one good day don't count as three good days."""
DRIFT_PER_WEEK = 0.06
"""Standard deviation that a week adds, in log seconds."""
SET_FATIGUE = 0.04
"""How much shorter each further set of a session is, in log seconds."""
MOST_TIRED = 6
"""No set is taken to be more tired than the sixth."""
LOSS_AFTER_DAYS = 14
LOSS_PER_WEEK = 0.03
MOST_LOSS = 0.5
"""From two weeks away on, 3 % a week: only the direction is published (Willy et al.
2001: what six weeks gave, four weeks off took; Konrad et al. 2025: partly lost after
2–6 weeks). The figure is our choice."""
LOOK_BACK_DAYS = 364
"""Older holds are left out: a year of drift leaves nothing of what they said."""
TEST_RPE = 7.0
"""A first-day test is held to this RPE."""
OPEN_BELOW_RPE = 4.5
"""Under this RPE there is no upper end to what may have been left."""
LOOSE_RPE = 6.5
"""No RPE says more of the lower end of what was left than this one does."""

_LOW = math.log(GRID_LOW_S)
_GRID = tuple(_LOW + GRID_STEP * point for point in range(GRID_POINTS))
_MOST_STAY = 2 / 3
"""The largest variance, in steps squared, of a three-point step that is log-concave."""
_SQRT2 = math.sqrt(2.0)


def reserve_s(rpe: float, held_s: float) -> float:
    """Give the seconds that were left at RPE after HELD_S, by our own wording.

    10 not a second, 9 a second or two, 8 about one breath (10 s at the default
    pattern, at most a third of the hold), 7 two breaths, 5 about as long again,
    3 and under twice as long again or more.
    """
    knots = (
        (10.0, 0.0),
        (9.0, min(1.5, held_s / 6)),
        (8.0, min(10.0, held_s / 3)),
        (7.0, min(20.0, held_s * 2 / 3)),
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
    base_s = max(hold.kept_or_held_s, GRID_LOW_S / 2)
    tired = SET_FATIGUE * min(nth, MOST_TIRED - 1)
    base = math.log(base_s) + tired
    lost = hold.kept_s is not None and hold.kept_s < hold.held_s
    target_s = hold.target_s
    early = target_s is not None and hold.kept_or_held_s < target_s - CLEAN_SLACK_S
    rpe = TEST_RPE if test and early and hold.rpe is None else hold.rpe
    if lost or (early and rpe is None):
        return Interval(base, base)
    if rpe is None:
        return Interval(base, math.inf)
    return made(base_s, rpe, nth)


def made(held_s: float, rpe: float, nth: int) -> Interval:
    """Give what a hold says that held its position for HELD_S and ended at RPE."""
    tired = SET_FATIGUE * min(nth, MOST_TIRED - 1)
    low_s = held_s + reserve_s(min(10.0, max(rpe + 0.5, LOOSE_RPE)), held_s)
    if rpe < OPEN_BELOW_RPE:
        return Interval(math.log(low_s) + tired, math.inf)
    high_s = held_s + reserve_s(rpe - 0.5, held_s)
    return Interval(math.log(low_s) + tired, math.log(high_s) + tired)


@lru_cache(maxsize=4096)
def _seen(low: float, high: float, noise: float) -> tuple[float, ...]:
    """Give the likelihood of an interval at each grid point."""
    if low == high:
        return tuple(math.exp(-0.5 * ((low - x) / noise) ** 2) + 1e-12 for x in _GRID)
    scale = noise * _SQRT2
    return tuple(
        0.5 * (math.erfc((low - x) / scale) - math.erfc((high - x) / scale)) + 1e-12
        for x in _GRID
    )


@lru_cache(maxsize=8)
def _kernel(noise: float) -> tuple[float, ...]:
    radius = math.ceil(3 * noise / GRID_STEP)
    weights = [
        math.exp(-0.5 * (k * GRID_STEP / noise) ** 2)
        for k in range(-radius, radius + 1)
    ]
    total = sum(weights)
    return tuple(weight / total for weight in weights)


def _smoothed(values: Sequence[float], noise: float) -> list[float]:
    """Blur VALUES over the grid; beyond its ends they go on as at the ends."""
    kernel = _kernel(noise)
    radius = len(kernel) // 2
    padded = [values[0]] * radius + list(values) + [values[-1]] * radius
    out = [0.0] * len(values)
    for shift, weight in enumerate(kernel):
        for point in range(len(values)):
            out[point] += weight * padded[point + shift]
    return out


@dataclass(frozen=True, slots=True)
class Belief:
    """What is believed of the capacity: one probability per grid point."""

    mass: tuple[float, ...]

    @classmethod
    def prior(cls) -> Belief:
        """Give what is believed before the first hold."""
        centre = math.log(PRIOR_CENTRE_S)
        return _normal([math.exp(-0.5 * ((x - centre) / PRIOR_SD) ** 2) for x in _GRID])

    def quantile_s(self, share: float) -> float:
        """Give the seconds under which that share of the belief lies."""
        total = 0.0
        for point, mass in enumerate(self.mass):
            if total + mass >= share:
                inside = (share - total) / mass if mass else 0.5
                return math.exp(_GRID[point] + (inside - 0.5) * GRID_STEP)
            total += mass
        return math.exp(_GRID[-1])

    @property
    def median_s(self) -> float:
        """Seconds with as much belief below as above."""
        return self.quantile_s(0.5)

    def later(self, days: float, *, growth: float = 0.0) -> Belief:
        """Give the belief that many days on, without training in between.

        GROWTH is in log seconds per week; the loss after two weeks comes off it.
        """
        if days <= 0:
            return self
        lost = LOSS_PER_WEEK * max(0.0, days - LOSS_AFTER_DAYS) / 7
        moved = _shifted(self.mass, growth * days / 7 - min(MOST_LOSS, lost))
        variance = DRIFT_PER_WEEK**2 * days / 7 / GRID_STEP**2
        rounds = math.ceil(variance / _MOST_STAY)
        for _ in range(rounds):
            moved = _spread(moved, variance / rounds / 2)
        return Belief(tuple(moved))

    def after(self, holds: Iterable[Interval]) -> Belief:
        """Give the belief after one session's holds."""
        likelihood = [1.0] * GRID_POINTS
        for hold in holds:
            seen = _seen(round(hold.low, 4), round(hold.high, 4), HOLD_NOISE)
            likelihood = [a * b for a, b in zip(likelihood, seen, strict=True)]
        day = _smoothed(likelihood, DAY_NOISE)
        return _normal([a * b for a, b in zip(self.mass, day, strict=True)])

    def chance(self, target_s: float, sets: int) -> float:
        """Give the chance, 0 to 1, that one session's SETS sets are all made."""
        goal = math.log(max(target_s - CLEAN_SLACK_S, 0.5))
        made = [1.0] * GRID_POINTS
        for nth in range(sets):
            tired = SET_FATIGUE * min(nth, MOST_TIRED - 1)
            seen = _seen(round(goal + tired, 4), math.inf, HOLD_NOISE)
            made = [a * b for a, b in zip(made, seen, strict=True)]
        day = _smoothed(made, DAY_NOISE)
        total = sum(a * b for a, b in zip(self.mass, day, strict=True))
        return min(1.0, max(0.0, total))

    def likely_rpe(self, target_s: float, sets: int) -> float:
        """Give the RPE, to the half, that the last of SETS sets is likely to have."""
        tired = SET_FATIGUE * min(max(sets, 1) - 1, MOST_TIRED - 1)
        capacity_s = self.median_s * math.exp(-tired)
        return rpe_for(capacity_s - target_s, target_s)


def _normal(values: Sequence[float]) -> Belief:
    total = sum(values)
    return Belief(tuple(value / total for value in values))


def _spread(mass: Sequence[float], side: float) -> list[float]:
    """Move the share SIDE of each point to either neighbour; the ends keep theirs."""
    stay = 1 - 2 * side
    padded = [mass[0], *mass, mass[-1]]
    return [
        side * padded[point] + stay * padded[point + 1] + side * padded[point + 2]
        for point in range(len(mass))
    ]


def _shifted(mass: Sequence[float], by: float) -> list[float]:
    """Move the whole belief BY log seconds; what would leave the grid stays in it."""
    steps = by / GRID_STEP
    whole = math.floor(steps)
    part = steps - whole
    out = [0.0] * len(mass)
    last = len(mass) - 1
    for point, value in enumerate(mass):
        out[min(last, max(0, point + whole))] += (1 - part) * value
        out[min(last, max(0, point + whole + 1))] += part * value
    return out


Evidence = tuple[tuple[date, tuple[Interval, ...]], ...]


def evidence_of(history: History, exercise: str) -> Evidence:
    """Collect what all counted holds of EXERCISE say, day by day, oldest first."""
    by_day: dict[date, list[Interval]] = defaultdict(list)
    for session in history.sessions:
        mine = [h for h in session.holds if h.exercise == exercise and h.counts]
        test = session.kind is SessionKind.TEST
        for nth, hold in enumerate(mine):
            by_day[session.local_date].append(interval_of(hold, nth, test=test))
    return tuple((day, tuple(by_day[day])) for day in sorted(by_day))


def estimate(evidence: Evidence, on: date, *, growth: float = 0.0) -> Belief | None:
    """Give what is believed of the capacity ON a day; None without any evidence."""
    first = on - timedelta(days=LOOK_BACK_DAYS)
    used = [part for part in evidence if part[0] >= first]
    if not used:
        return None
    belief = Belief.prior()
    before = used[0][0]
    for day, holds in used:
        belief = belief.later((day - before).days, growth=growth).after(holds)
        before = day
    return belief.later((on - before).days, growth=growth)

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

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from functools import lru_cache

from trainer.core.model import CLEAN_SLACK_S
from trainer.core.reserve import Evidence, Interval, rpe_for, tired

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
LOSS_AFTER_DAYS = 14
LOSS_PER_WEEK = 0.03
MOST_LOSS = 0.5
"""From two weeks away on, 3 % a week: only the direction is published (Willy et al.
2001: what six weeks gave, four weeks off took; Konrad et al. 2025: partly lost after
2–6 weeks). The figure is our choice."""
LOOK_BACK_DAYS = 182
LOOK_BACK_BLOCK_DAYS = 91
"""Holds older than half a year, counted from the start of their quarter, are left out:
drift leaves little of what they said. Whole quarters, so that what was worked out
yesterday can be used again today."""
_LOW = math.log(GRID_LOW_S)
_GRID = tuple(_LOW + GRID_STEP * point for point in range(GRID_POINTS))
_MOST_STAY = 2 / 3
"""The largest variance, in steps squared, of a three-point step that is log-concave."""
_SQRT2 = math.sqrt(2.0)


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


@lru_cache(maxsize=1024)
def _seen_day(holds: tuple[Interval, ...]) -> tuple[float, ...]:
    """Give the likelihood of a day's holds, which share the day's good or bad form."""
    likelihood = [1.0] * GRID_POINTS
    for hold in holds:
        seen = _seen(round(hold.low, 4), round(hold.high, 4), HOLD_NOISE)
        likelihood = [a * b for a, b in zip(likelihood, seen, strict=True)]
    return tuple(_smoothed(likelihood, DAY_NOISE))


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
        by = growth * days / 7 - min(MOST_LOSS, lost)
        moved = _shifted(self.mass, by) if by else list(self.mass)
        variance = DRIFT_PER_WEEK**2 * days / 7 / GRID_STEP**2
        rounds = math.ceil(variance / _MOST_STAY)
        for _ in range(rounds):
            moved = _spread(moved, variance / rounds / 2)
        return Belief(tuple(moved))

    def after(self, holds: Iterable[Interval]) -> Belief:
        """Give the belief after one day's holds."""
        return self.weighed(holds)[0]

    def weighed(self, holds: Iterable[Interval]) -> tuple[Belief, float]:
        """Give the belief after one day's holds, and how likely those were."""
        seen = _seen_day(tuple(holds))
        values = [a * b for a, b in zip(self.mass, seen, strict=True)]
        return _normal(values), sum(values)

    def chance(self, target_s: float, sets: int) -> float:
        """Give the chance, 0 to 1, that one session's SETS sets are all made."""
        goal = math.log(max(target_s - CLEAN_SLACK_S, 0.5))
        made = [1.0] * GRID_POINTS
        for nth in range(sets):
            seen = _seen(round(goal + tired(nth), 4), math.inf, HOLD_NOISE)
            made = [a * b for a, b in zip(made, seen, strict=True)]
        day = _smoothed(made, DAY_NOISE)
        total = sum(a * b for a, b in zip(self.mass, day, strict=True))
        return min(1.0, max(0.0, total))

    def likely_rpe(self, target_s: float, sets: int) -> float:
        """Give the RPE, to the half, that the last of SETS sets is likely to have."""
        capacity_s = self.median_s * math.exp(-tired(max(sets, 1) - 1))
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


@lru_cache(maxsize=1024)
def _next_day(
    belief: Belief, days: int, holds: tuple[Interval, ...], growth: float
) -> tuple[Belief, float]:
    """Go to the next day of training: remembered, since each asking walks them all."""
    return belief.later(days, growth=growth).weighed(holds)


def estimate(evidence: Evidence, on: date, *, growth: float = 0.0) -> Belief | None:
    """Give what is believed of the capacity ON a day; None without any evidence."""
    made_of = followed(evidence, on, growth=growth)
    return None if made_of is None else made_of[0]


def followed(
    evidence: Evidence, on: date, *, growth: float = 0.0
) -> tuple[Belief, float] | None:
    """Give the belief ON a day and the log likelihood of all that led to it."""
    oldest = (on.toordinal() - LOOK_BACK_DAYS) // LOOK_BACK_BLOCK_DAYS
    first = date.fromordinal(max(1, oldest * LOOK_BACK_BLOCK_DAYS))
    used = [part for part in evidence if part[0] >= first]
    if not used:
        return None
    belief, log_likelihood, before = Belief.prior(), 0.0, used[0][0]
    for day, holds in used:
        belief, likelihood = _next_day(belief, (day - before).days, holds, growth)
        log_likelihood += math.log(likelihood)
        before = day
    return belief.later((on - before).days, growth=growth), log_likelihood

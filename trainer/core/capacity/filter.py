"""How long could the person keep the position today, and how sure is that?

A filter over the logarithm of the capacity, kept as probabilities on a fixed grid.
Two kinds of evidence come in: a hold that ended early shows the capacity; a hold that
made its target shows only that it is more, and its RPE says how much more, loosely at
low RPE (Hackett et al. 2017: guesses of what is left are far worse when much is left).
Between sessions the estimate drifts, grows less certain, and after two weeks away
sinks.

Every likelihood is an interval seen through the same noise. That is what makes a better
hold never lower the estimate: intervals in order through one log-concave noise give
likelihood ratios in order, and so do the steps between sessions.

All constants are our choice, except where a source stands beside them. The noises were
set on simulated trainees (``scripts/simulate.py``) and judged on others.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from functools import lru_cache

from trainer.core.capacity import grid
from trainer.core.capacity.grid import Grid
from trainer.core.capacity.rpe import Evidence, Interval, rpe_for, tired
from trainer.core.model import CLEAN_SLACK_S

LOOK_BACK_DAYS = 182
LOOK_BACK_BLOCK_DAYS = 91
"""Holds older than half a year, counted from the start of their quarter, are left out:
drift leaves little of what they said. Whole quarters, so that what was worked out
yesterday can be used again today."""
LEAST_LOG = -745.0
"""The log of the smallest number there is, where a likelihood vanishes."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Model:
    """The filter's constants; those in log seconds are shares: 0.1 is about 10 %."""

    grid: Grid = Grid(low=math.log(3), step=0.06, points=97)  # noqa: RUF009 - frozen
    """From 3 s to about 950 s: beyond both ends of what is trained."""
    prior_centre_s: float = 40.0
    prior_sd: float = 0.6
    """Before the first hold: 40 s, with 22 to 73 s within one deviation."""
    hold_noise: float = 0.15
    """Standard deviation of one hold about its day, in log seconds."""
    day_noise: float = 0.10
    """Standard deviation of one day about the capacity, in log seconds: shared by the
    day's sets, so that three sets of one good day don't count as three good days."""
    drift_per_week: float = 0.06
    """Standard deviation that a week adds, in log seconds."""
    drift_away_per_week: float = 0.10
    """The same for each week away past the second: people differ in what they keep."""
    loss_after_days: float = 14.0
    loss_per_week: float = 0.02
    most_loss: float = 0.5
    """From two weeks away on, 2 % a week: only the direction is published (Willy et al.
    2001: what six weeks gave, four weeks off took; Konrad et al. 2025: partly lost
    after 2 to 6 weeks). The figure is our choice."""


STANDARD = Model()


@lru_cache(maxsize=1024)
def _seen_day(model: Model, holds: tuple[Interval, ...]) -> tuple[list[float], float]:
    """Give the likelihood of a day's holds, which share the day's good or bad form.

    It is scaled so that it can't vanish; the second value is the log of the scale.
    """
    total = [0.0] * model.grid.points
    for hold in holds:
        low, high = round(hold.low, 6), round(hold.high, 6)
        seen = grid.seen_through(model.grid, low, high, model.hold_noise)
        total = [a + b for a, b in zip(total, seen, strict=True)]
    most = max(total)
    likelihood = [math.exp(value - most) for value in total]
    return grid.smoothed(model.grid, likelihood, model.day_noise), most


@dataclass(frozen=True, slots=True)
class Belief:
    """What is believed of the capacity: one probability per grid point."""

    mass: tuple[float, ...]
    model: Model = STANDARD

    @classmethod
    def prior(cls, model: Model = STANDARD) -> Belief:
        """Give what is believed before the first hold."""
        centre, sd = math.log(model.prior_centre_s), model.prior_sd
        values = [
            math.exp(-0.5 * ((x - centre) / sd) ** 2) for x in model.grid.values()
        ]
        return cls(grid.normal(values), model)

    def quantile_s(self, share: float) -> float:
        """Give the seconds under which that share of the belief lies."""
        points, step = self.model.grid.values(), self.model.grid.step
        total = 0.0
        for point, mass in zip(points, self.mass, strict=True):
            if total + mass >= share:
                inside = (share - total) / mass if mass else 0.5
                return math.exp(point + (inside - 0.5) * step)
            total += mass
        return math.exp(points[-1])

    @property
    def median_s(self) -> float:
        """Seconds with as much belief below as above."""
        return self.quantile_s(0.5)

    def later(self, days: float, *, growth: float = 0.0) -> Belief:
        """Give the belief that many days on, without training in between.

        GROWTH is in log seconds per week, for two weeks at most: after that it is no
        gap between sessions any more, and the loss begins.
        """
        if days <= 0:
            return self
        model = self.model
        away_weeks = max(0.0, days - model.loss_after_days) / 7
        lost = min(model.most_loss, model.loss_per_week * away_weeks)
        by = growth * min(days, model.loss_after_days) / 7 - lost
        moved = grid.shifted(model.grid, self.mass, by) if by else self.mass
        near_weeks = min(days, model.loss_after_days) / 7
        variance = (
            model.drift_per_week**2 * near_weeks
            + model.drift_away_per_week**2 * away_weeks
        )
        return Belief(tuple(grid.spread(model.grid, moved, variance)), model)

    def after(self, holds: Iterable[Interval]) -> Belief:
        """Give the belief after one day's holds."""
        return self.weighed(holds)[0]

    def weighed(self, holds: Iterable[Interval]) -> tuple[Belief, float]:
        """Give the belief after one day's holds, and the log of how likely those were.

        Holds that lie beyond all that is believed leave the belief as it was.
        """
        seen, log_scale = _seen_day(self.model, tuple(holds))
        values = grid.product(self.mass, seen)
        total = sum(values)
        if total <= 0:
            return self, log_scale + LEAST_LOG
        return Belief(grid.normal(values), self.model), log_scale + math.log(total)

    def chance(self, target_s: float, sets: int) -> float:
        """Give the chance, 0 to 1, that one session's SETS sets are all made."""
        goal = math.log(max(target_s - CLEAN_SLACK_S, 0.5))
        needed = tuple(Interval(goal + tired(nth), math.inf) for nth in range(sets))
        seen, log_scale = _seen_day(self.model, needed)
        total = math.exp(log_scale) * sum(grid.product(self.mass, seen))
        return min(1.0, max(0.0, total))

    def likely_rpe(self, target_s: float, sets: int) -> float:
        """Give the RPE, to the half, that the last of SETS sets is likely to have."""
        capacity_s = self.median_s * math.exp(-tired(max(sets, 1) - 1))
        return rpe_for(capacity_s - target_s, target_s)


def looks_back_to(on: date) -> date:
    """Give the day before which holds are left out of an estimate ON a day."""
    block = (on.toordinal() - LOOK_BACK_DAYS) // LOOK_BACK_BLOCK_DAYS
    return date.fromordinal(max(1, block * LOOK_BACK_BLOCK_DAYS))


@lru_cache(maxsize=1024)
def _next_day(
    belief: Belief, days: int, holds: tuple[Interval, ...], growth: float
) -> tuple[Belief, float]:
    """Go to the next day of training: remembered, since each asking walks them all."""
    return belief.later(days, growth=growth).weighed(holds)


def estimate(
    evidence: Evidence, on: date, *, growth: float = 0.0, model: Model = STANDARD
) -> Belief | None:
    """Give what is believed of the capacity ON a day; None without any evidence."""
    made = followed(evidence, on, growth=growth, model=model)
    return None if made is None else made[0]


def followed(
    evidence: Evidence, on: date, *, growth: float = 0.0, model: Model = STANDARD
) -> tuple[Belief, float] | None:
    """Give the belief ON a day and the log likelihood of all that led to it."""
    first = looks_back_to(on)
    used = [part for part in evidence if part[0] >= first]
    if not used:
        return None
    belief, log_likelihood, before = Belief.prior(model), 0.0, used[0][0]
    for day, holds in used:
        belief, likelihood = _next_day(belief, (day - before).days, holds, growth)
        log_likelihood += likelihood
        before = day
    return belief.later((on - before).days, growth=growth), log_likelihood

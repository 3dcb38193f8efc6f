"""How long could the person keep the position today, and how sure is that?

A filter over two things at once: the logarithm of the capacity, on a fixed grid, and
the person's own error of RPE, the *rating bias*, out of a handful of values. A hold
that ended early shows the capacity; a hold that made its target shows only that it is
more, and its RPE says how much more, loosely at low RPE (Hackett et al. 2017: guesses
of what is left are far worse when much is left). For each bias the capacity is followed
by itself; how well it foresees the holds is what is learned of the bias. Ratings alone
say little of it; ratings that meet an early end say much.

Between sessions the estimate drifts, grows less certain, and after two weeks away
sinks. For any one bias a better hold never lowers it: all likelihoods are those of
ranges in order, seen through log-concave noise, and so are the steps between sessions.
(No noise has a shorter upper tail than that of a hold that ended short.) The bias
itself may be learned from a better hold: who held longer than their ratings let one
think rates too high.

All constants are our choice, except where a source stands beside them. They were set
on simulated trainees (``scripts/simulate.py``) and judged on others.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Container, Iterable
from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property, lru_cache
from operator import add, mul

from trainer.core.capacity import grid
from trainer.core.capacity.grid import Grid
from trainer.core.capacity.rpe import Evidence, Seen, rpe_for, tired
from trainer.core.model import CLEAN_SLACK_S

LOOK_BACK_DAYS = 182
LOOK_BACK_BLOCK_DAYS = 91
"""Holds older than half a year, counted from the start of their quarter, are left out:
drift leaves little of what they said. Whole quarters, so that what was worked out
yesterday can be used again today."""
NEGLIGIBLE = -300.0
"""The log of what a likelihood is at least, beside the day's highest: no hold is so odd
that nothing is left to believe. Far below it are numbers that a processor takes a
hundred times as long to multiply."""
_LEAST = math.exp(NEGLIGIBLE)
KNOWN = 0.9
"""A rating bias is told from none from this probability on."""
TELLING_BIAS_S = 5.0
"""Half a breath: a rating bias of so much is worth saying."""
TELLING_HOLDS = 3
"""Before so many holds have shown the capacity nothing is said of the ratings."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Model:
    """The filter's constants; those in log seconds are shares: 0.1 is about 10 %."""

    grid: Grid = Grid(low=math.log(3), step=0.1, points=58)  # noqa: RUF009 - frozen
    """From 3 s to about 900 s: beyond both ends of what is trained."""
    prior_centre_s: float = 40.0
    prior_sd: float = 0.6
    """Before the first hold: 40 s, with 22 to 73 s within one deviation."""
    biases_s: tuple[float, ...] = (-10.0, -5.0, 0.0, 5.0, 10.0, 15.0)
    """Rating biases that are tried: a breath more left than is said to one and a half
    less."""
    leaning_s: float = 5.0
    """By so much the estimate leans up: a hold that ended short may be a lapse, and
    training is taken to add. Honest ratings would look too low by as much."""
    bias_centre_s: float = 5.0
    bias_sd_s: float = 7.0
    """What is believed of them before the first hold."""
    forgotten: float = 1e-5
    """A bias less likely than this isn't followed any further."""
    hold_noise: float = 0.06
    """Standard deviation of one hold about its day, in log seconds."""
    rating_error_s: float = 6.0
    rated_at_s: float = 50.0
    """Scale of a rating's error, of a logistic distribution, for slips of the key: as a
    share of what is usually said that could have been held, less the bias. So the same
    seconds for every bias, and none is likelier only because it leaves less room. 12 %
    without a bias, a standard deviation of 22 %."""
    lapses_from: float = 0.6
    """From so many deviations short of the day's capacity on, a hold that ended early
    is ever more likely a lapse: it pulls the estimate down no more per per cent."""
    day_noise: float = 0.11
    """Standard deviation of one day about the capacity, in log seconds: shared by the
    day's sets, so that three sets of one good day don't count as three good days."""
    growth_per_week: float = 0.015
    """What training adds on average, from one day of training to the next."""
    drift_per_week: float = 0.075
    """Standard deviation that a week adds, in log seconds."""
    drift_away_per_week: float = 0.10
    """The same for each week away past the second: people differ in what they keep."""
    loss_after_days: float = 14.0
    loss_per_week: float = 0.02
    most_loss: float = 0.5
    """From two weeks away on, 2 % a week: only the direction is published (Willy et al.
    2001: what six weeks gave, four weeks off took; Konrad et al. 2025: partly lost
    after 2 to 6 weeks). The figure is our choice."""
    lapse: float = 0.02
    lapse_at_first: float = 0.06
    """Chance that a session within reach is missed all the same, and what comes to it
    after the first day of holds, a half of that after two, a third after three:
    somebody new may be of a kind that wasn't thought of."""


STANDARD = Model()


@lru_cache(maxsize=4096)
def _log_seen(model: Model, hold: Seen, bias_s: float) -> tuple[float, ...]:
    """Return the log likelihood of one hold at each point of the grid, given a bias."""
    kept = math.log(hold.kept_s) + hold.tired
    less_s = bias_s - model.leaning_s
    least, most = _ends(hold, less_s)
    if hold.short:
        high = math.inf if most is None else max(kept, most)
        return grid.log_short(
            model.grid,
            kept,
            kept if hold.shown else high,
            model.hold_noise,
            straight_from=model.lapses_from,
        )
    made = grid.log_over(model.grid, kept, model.hold_noise)
    if least is None and most is None:
        return made
    scale = model.rating_error_s / (model.rated_at_s - less_s)
    rated = grid.log_between(model.grid, least, most, scale)
    return tuple(map(add, made, rated))


def _ends(hold: Seen, less_s: float) -> tuple[float | None, float | None]:
    """Return the logs of the ends of what an RPE allows, less so many seconds.

    However much somebody overstates what was left, the upper end isn't put under half
    of what was kept; a lower end far under it says nothing.
    """
    least, most = None, None
    if hold.least_s is not None and hold.least_s - less_s > hold.kept_s / 4:
        least = math.log(hold.least_s - less_s) + hold.tired
    if hold.most_s is not None:
        most = math.log(max(hold.most_s - less_s, hold.kept_s / 2)) + hold.tired
    return least, most


@lru_cache(maxsize=4096)
def _seen_day(
    model: Model, holds: tuple[Seen, ...], bias: float
) -> tuple[list[float], float]:
    """Return the likelihood of a day's holds, which share the day's good or bad form.

    It is scaled so that it can't vanish; the second value is the log of the scale.
    """
    logs = [_log_seen(model, hold, bias) for hold in holds]
    total = logs[0] if len(logs) == 1 else list(map(sum, zip(*logs, strict=True)))
    most = max(total)
    floor = most + NEGLIGIBLE
    likelihood = [
        math.exp(value - most) if value > floor else _LEAST for value in total
    ]
    return grid.smoothed(model.grid, likelihood, model.day_noise), most


Rows = tuple[tuple[float, tuple[float, ...]], ...]


@lru_cache(maxsize=8)
def _prior_rows(model: Model) -> Rows:
    """Return a ``Belief``'s rows before the first hold: every asking begins there."""
    centre, sd = math.log(model.prior_centre_s), model.prior_sd
    values = grid.normal(
        [math.exp(-0.5 * ((x - centre) / sd) ** 2) for x in model.grid.values()]
    )
    shares = grid.normal(
        [
            math.exp(-0.5 * ((bias - model.bias_centre_s) / model.bias_sd_s) ** 2)
            for bias in model.biases_s
        ]
    )
    rows = (
        (bias, tuple(share * value for value in values))
        for bias, share in zip(model.biases_s, shares, strict=True)
    )
    return tuple(rows)


@dataclass(frozen=True)
class Belief:
    """What is believed of the capacity and of the rating bias, jointly."""

    rows: Rows
    """Each bias that is still followed with its probabilities, one per grid point;
    together they sum to 1."""
    model: Model = STANDARD
    days: int = 0
    """On how many days holds have come in."""
    shown: int = 0
    """How many holds have shown the capacity."""

    @classmethod
    def prior(cls, model: Model = STANDARD) -> Belief:
        """Return what is believed before the first hold."""
        return cls(_prior_rows(model), model)

    def only(self, biases: Container[float]) -> Belief:
        """Return the belief with no other rating biases than these."""
        rows = [(bias, row) for bias, row in self.rows if bias in biases]
        scale_to = 1 / sum(sum(row) for _, row in rows)
        return replace(
            self,
            rows=tuple(
                (bias, tuple(scale_to * value for value in row)) for bias, row in rows
            ),
        )

    @cached_property
    def mass(self) -> tuple[float, ...]:
        """What is believed of the capacity, whatever the bias."""
        return tuple(map(sum, zip(*(row for _, row in self.rows), strict=True)))

    @cached_property
    def biases(self) -> dict[float, float]:
        """What is believed of the rating bias, whatever the capacity."""
        return {bias: sum(row) for bias, row in self.rows}

    @property
    def mean_bias_s(self) -> float:
        """Seconds by which less is left, on average of the belief, than is said."""
        return sum(bias * share for bias, share in self.biases.items())

    def quantile_s(self, share: float) -> float:
        """Return the seconds under which that share of the belief lies."""
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

    @property
    def rating(self) -> str:
        """Say in one sentence how the person rates; empty until that is known."""
        if self.shown < TELLING_HOLDS:
            return ""
        less = sum(p for bias, p in self.biases.items() if bias >= TELLING_BIAS_S)
        more = sum(p for bias, p in self.biases.items() if bias <= -TELLING_BIAS_S)
        if less >= KNOWN:
            return "You tend to have less left than you say."
        if more >= KNOWN:
            return "You tend to have more left than you say."
        return ""

    def later(self, days: float, *, growth: float = 0.0) -> Belief:
        """Return the belief that many days on, without training in between.

        GROWTH is in log seconds per week, for two weeks at most: after that it is no
        gap between sessions any more, and the loss begins.
        """
        if days <= 0:
            return self
        model = self.model
        away_weeks = max(0.0, days - model.loss_after_days) / 7
        lost = min(model.most_loss, model.loss_per_week * away_weeks)
        near_weeks = min(days, model.loss_after_days) / 7
        by = growth * near_weeks - lost
        variance = (
            model.drift_per_week**2 * near_weeks
            + model.drift_away_per_week**2 * away_weeks
        )
        rows = (
            (bias, tuple(grid.drifted(model.grid, row, by=by, variance=variance)))
            for bias, row in self.rows
        )
        return Belief(tuple(rows), model, self.days, self.shown)

    def after(self, holds: Iterable[Seen]) -> Belief:
        """Return the belief after one day's holds."""
        return self.weighed(holds)[0]

    def weighed(self, holds: Iterable[Seen]) -> tuple[Belief, float]:
        """Return the belief after one day's holds, and the log of their likelihood."""
        held = tuple(holds)
        if not held:
            return self, 0.0
        seen = [_seen_day(self.model, held, bias) for bias, _ in self.rows]
        most = max(scale for _, scale in seen)
        found = []
        for (bias, row), (likelihood, scale) in zip(self.rows, seen, strict=True):
            by = math.exp(scale - most)
            values = [by * a * b for a, b in zip(row, likelihood, strict=True)]
            found.append((bias, values, sum(values)))
        total = sum(share for _, _, share in found)
        kept = [one for one in found if one[2] >= self.model.forgotten * total]
        scale_to = 1 / sum(share for _, _, share in kept)
        rows = (
            (bias, tuple([scale_to * value for value in values]))
            for bias, values, _ in kept
        )
        shown = self.shown + sum(hold.shown for hold in held)
        after = Belief(tuple(rows), self.model, self.days + 1, shown)
        return after, most + math.log(total)

    def chance(self, target_s: float, sets: int) -> float:
        """Return the chance, 0 to 1, that one session's SETS sets are all made."""
        model = self.model
        goal_s = max(target_s - CLEAN_SLACK_S, 0.5)
        needed = tuple(Seen(goal_s, tired(nth)) for nth in range(sets))
        likelihood, log_scale = _seen_day(model, needed, 0.0)
        total = math.exp(log_scale) * math.fsum(map(mul, self.mass, likelihood))
        lapse = model.lapse + model.lapse_at_first / max(1, self.days)
        return min(1.0, max(0.0, total)) * (1 - lapse)

    def likely_rpe(self, target_s: float, sets: int) -> float:
        """Return the RPE, to the half, that the person is likely to say after SETS."""
        capacity_s = self.median_s * math.exp(-tired(max(sets, 1) - 1))
        left_s = max(0.0, capacity_s - target_s)
        said_s = left_s + self.mean_bias_s - self.model.leaning_s
        return rpe_for(said_s if left_s else 0.0, target_s)


def looks_back_to(on: date) -> date:
    """Return the day before which holds are left out of an estimate ON a day."""
    block = (on.toordinal() - LOOK_BACK_DAYS) // LOOK_BACK_BLOCK_DAYS
    return date.fromordinal(max(1, block * LOOK_BACK_BLOCK_DAYS))


AT_A_TIME = 8
"""Days of training that are walked together. A belief is some hundred figures: one for
each day of a year that is remembered came to two megabytes."""


@lru_cache(maxsize=1024)
def _days_on(
    belief: Belief, days: tuple[tuple[int, tuple[Seen, ...]], ...], growth: float
) -> tuple[Belief, tuple[float, ...]]:
    """Go through the next days of training: remembered, since each asking walks them.

    Args:
        belief: what is believed before them.
        days: for each, how many days it comes after the one before, and its holds.
        growth: see ``followed``.

    Returns:
        What is believed after them, and the log likelihood of each.
    """
    likelihoods = []
    for gap, holds in days:
        belief, likelihood = belief.later(gap, growth=growth).weighed(holds)
        likelihoods.append(likelihood)
    return belief, tuple(likelihoods)


def estimate(evidence: Evidence, on: date, *, model: Model = STANDARD) -> Belief | None:
    """Return what is believed of the capacity ON a day; None without any evidence."""
    made = followed(evidence, on, start=Belief.prior(model))
    return None if made is None else made[0]


def followed(
    evidence: Evidence, on: date, *, start: Belief, growth: float | None = None
) -> tuple[Belief, float] | None:
    """Return the belief ON a day and the log likelihood of all that led to it.

    START is what is believed before; GROWTH in log seconds per week, the model's where
    None. It comes between one day of training and the next, not after the last.
    """
    first = looks_back_to(on)
    used = [part for part in evidence if part[0] >= first]
    if not used:
        return None
    by = start.model.growth_per_week if growth is None else growth
    dates = [used[0][0], *(day for day, _ in used)]
    gaps = [(day - before).days for before, day in itertools.pairwise(dates)]
    days = tuple((gap, holds) for gap, (_, holds) in zip(gaps, used, strict=True))
    belief, log_likelihood = start, 0.0
    for at in range(0, len(days), AT_A_TIME):
        belief, likelihoods = _days_on(belief, days[at : at + AT_A_TIME], by)
        for likelihood in likelihoods:
            log_likelihood += likelihood
    return belief.later((on - dates[-1]).days), log_likelihood

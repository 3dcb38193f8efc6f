"""Probabilities on an even grid, and the few things that are done to them.

Plain tuples and lists: some tens of points need no array library. Every operation
keeps likelihood ratios in order (each kernel is log-concave), which the filter relies
on.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

ROUND_VARIANCE = 1 / 3
"""The variance, in steps squared, of one three-point step at most. At a third the step
is log-concave, and its fourth cumulant is that of a normal distribution: none."""
KERNEL_SDS = 5.5
"""A normal kernel is cut off here: what is left out is under 1e-7."""


@dataclass(frozen=True, slots=True)
class Grid:
    """An even grid."""

    low: float
    step: float
    points: int

    def values(self) -> tuple[float, ...]:
        """Return the grid's points."""
        return _values(self)


@lru_cache(maxsize=8)
def _values(grid: Grid) -> tuple[float, ...]:
    return tuple(grid.low + grid.step * point for point in range(grid.points))


@lru_cache(maxsize=1024)
def log_over(grid: Grid, mark: float, noise: float) -> tuple[float, ...]:
    """Return, at each point, the log chance to go over MARK through normal noise."""
    scale = noise * math.sqrt(2)
    return tuple(_log_over((mark - x) / scale) for x in grid.values())


def _log_over(z: float) -> float:
    """Return the log of half the complementary error function of Z.

    So far out that it is no float any more, the log density stands in for it.
    """
    chance = 0.5 * math.erfc(z)
    return math.log(chance) if chance > 0 else -z * z


@lru_cache(maxsize=1024)
def log_short(
    grid: Grid, low: float, high: float, noise: float, *, straight_from: float
) -> tuple[float, ...]:
    """Return the log likelihood, at each point, of a hold that ended short.

    None is lost between LOW and HIGH. Beyond them it falls as a normal density does,
    but from points more than STRAIGHT_FROM deviations over HIGH by a straight line: a
    tail that is longer and still log-concave (Huber 1964).
    """
    found = []
    for x in grid.values():
        if low <= x <= high:
            found.append(0.0)
            continue
        z = (x - (low if x < low else high)) / noise
        tail = z > straight_from
        found.append(-straight_from * (z - straight_from / 2) if tail else -0.5 * z * z)
    return tuple(found)


def log_between(
    grid: Grid, low: float | None, high: float | None, scale: float
) -> tuple[float, ...]:
    """Return, at each point, the log chance of LOW to HIGH through logistic noise.

    None: that side is open. Its tails fall by a straight line, 1 / SCALE a unit; over
    a grid of 60 scales either way no exponential comes near its limit.
    """
    # Of F the logistic distribution, F(high) - F(low) without cancelling.
    width = 0.0
    if low is not None and high is not None:
        width = math.log(-math.expm1((low - high) / scale))
    found = []
    for x in grid.values():
        over = 0.0 if high is None else math.exp((x - high) / scale)
        under = 0.0 if low is None else math.exp((low - x) / scale)
        found.append(width - math.log((1 + over) * (1 + under)))
    return tuple(found)


@lru_cache(maxsize=8)
def _kernel(step: float, sd: float) -> tuple[float, ...]:
    radius = math.ceil(KERNEL_SDS * sd / step)
    weights = [
        math.exp(-0.5 * (k * step / sd) ** 2) for k in range(-radius, radius + 1)
    ]
    total = sum(weights)
    return tuple(weight / total for weight in weights)


def smoothed(grid: Grid, values: Sequence[float], sd: float) -> list[float]:
    """Blur VALUES by a normal kernel; beyond the ends they go on as at the ends."""
    kernel = _kernel(grid.step, sd)
    radius = len(kernel) // 2
    padded = [values[0]] * radius + list(values) + [values[-1]] * radius
    size = len(values)
    middle = kernel[radius]
    out = [middle * value for value in values]
    for shift in range(radius):
        weight = kernel[shift]
        before, after = padded[shift:], padded[2 * radius - shift :]
        out = [a + weight * (b + c) for a, b, c in zip(out, before, after)]  # noqa: B905
    return out[:size]


def drifted(
    grid: Grid, mass: Sequence[float], *, by: float, variance: float
) -> list[float]:
    """Move MASS BY so much and let it spread by that variance; the ends keep theirs.

    Whole steps first, then equal three-point steps with the rest of the mean and the
    variance. A rest too large for so little variance adds the variance of its own.
    """
    steps = by / grid.step
    whole = round(steps)
    out = list(mass) if whole == 0 else _rolled(mass, whole)
    in_steps = variance / grid.step**2
    rounds = max(1, math.ceil(in_steps / ROUND_VARIANCE - 1e-9))
    mean = (steps - whole) / rounds
    second = max(in_steps / rounds + mean * mean, abs(mean))
    for _ in range(rounds):
        out = _stepped(out, (second + mean) / 2, (second - mean) / 2)
    return out


def _stepped(mass: Sequence[float], up: float, down: float) -> list[float]:
    """Move the share UP of each point to the next one, and DOWN to the one before."""
    stay = 1 - up - down
    before, after = [0.0, *mass[:-1]], [*mass[1:], 0.0]
    out = [
        up * a + stay * b + down * c
        for a, b, c in zip(before, mass, after, strict=True)
    ]
    out[0] += down * mass[0]
    out[-1] += up * mass[-1]
    return out


def _rolled(mass: Sequence[float], by: int) -> list[float]:
    """Move MASS by whole points; what would leave the grid stays at its end."""
    out = [0.0] * len(mass)
    last = len(mass) - 1
    for point, value in enumerate(mass):
        out[min(last, max(0, point + by))] += value
    return out


def normal(values: Sequence[float]) -> tuple[float, ...]:
    """Scale VALUES to a sum of 1."""
    total = sum(values)
    return tuple(value / total for value in values)

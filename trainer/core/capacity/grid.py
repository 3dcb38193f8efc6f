"""Probabilities on an even grid, and the few things that are done to them.

Plain tuples and lists: a hundred points need no array library. Every operation keeps
likelihood ratios in order (each kernel is log-concave), which the filter relies on.
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
        """Give the grid's points."""
        return _values(self)


@lru_cache(maxsize=8)
def _values(grid: Grid) -> tuple[float, ...]:
    return tuple(grid.low + grid.step * point for point in range(grid.points))


@lru_cache(maxsize=4096)
def seen_through(
    grid: Grid, low: float, high: float, noise: float
) -> tuple[float, ...]:
    """Give the log likelihood, at each point, of a value between LOW and HIGH.

    The value is seen through normal noise. LOW and HIGH the same: of that very value.
    """
    return tuple(
        _log_density((low - x) / noise)
        if low == high
        else _log_between((low - x) / noise, (high - x) / noise)
        for x in grid.values()
    )


def _log_density(z: float) -> float:
    return -0.5 * z * z


def _log_between(low: float, high: float) -> float:
    """Give the log of the normal chance of LOW to HIGH, from the tail that is exact.

    So far out that the chance is no float any more, the log density stands in for it.
    """
    if high < 0:
        low, high = -high, -low
    root = math.sqrt(2)
    chance = 0.5 * (math.erfc(low / root) - math.erfc(high / root))
    return math.log(chance) if chance > 0 else _log_density(max(low, 0.0))


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
    out = [0.0] * size
    for shift, weight in enumerate(kernel):
        part = padded[shift : shift + size]
        out = [a + weight * b for a, b in zip(out, part, strict=True)]
    return out


def spread(grid: Grid, mass: Sequence[float], variance: float) -> list[float]:
    """Let MASS drift by that variance, in equal three-point steps."""
    in_steps = variance / grid.step**2
    rounds = math.ceil(in_steps / ROUND_VARIANCE - 1e-9)
    out = list(mass)
    for _ in range(rounds):
        out = _spread_once(out, in_steps / rounds / 2)
    return out


def _spread_once(mass: Sequence[float], side: float) -> list[float]:
    """Move the share SIDE of each point to either neighbour; the ends keep theirs."""
    stay = 1 - 2 * side
    before, after = [mass[0], *mass[:-1]], [*mass[1:], mass[-1]]
    return [
        side * (a + c) + stay * b for a, b, c in zip(before, mass, after, strict=True)
    ]


def shifted(grid: Grid, mass: Sequence[float], by: float) -> list[float]:
    """Move the whole of MASS; what would leave the grid stays at its end."""
    steps = by / grid.step
    whole = math.floor(steps)
    part = steps - whole
    out = [0.0] * len(mass)
    last = len(mass) - 1
    for point, value in enumerate(mass):
        out[min(last, max(0, point + whole))] += (1 - part) * value
        out[min(last, max(0, point + whole + 1))] += part * value
    return out


def product(one: Sequence[float], other: Sequence[float]) -> list[float]:
    """Multiply point by point."""
    return [a * b for a, b in zip(one, other, strict=True)]


def normal(values: Sequence[float]) -> tuple[float, ...]:
    """Scale VALUES to a sum of 1."""
    total = sum(values)
    return tuple(value / total for value in values)

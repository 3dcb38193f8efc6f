"""Whether a series goes up, stays flat, goes down, or can't be told from noise yet.

Theil–Sen gives the slope: the median of the slopes between all pairs of points (Theil
1950, Sen 1968). Its interval follows Sen 1968, with the variance corrected for ties.
Mann–Kendall says whether there is a trend at all (Mann 1945, Kendall 1975; variance as
in Hussain & Mahmud 2019, JOSS 4(39):1556). Neither is upset by an odd day.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from statistics import NormalDist, median

LEAST_POINTS = 8
"""No verdict on fewer points than this (our choice; the normal approximation under
Mann–Kendall is poor for very short series)."""
CONFIDENCE = 0.95
"""Of the interval and of the test (common practice)."""
FLAT_PER_WEEK = 0.5
"""Slopes within this many units a week either way make no difference (our choice: 2 s
in four weeks, a good way under one step of a target)."""


LEAST_CHANGE = 1.0
"""A change of no more than this over the whole series can't be noted: 1 s, 1°."""


class Direction(StrEnum):
    """What the numbers allow to be said."""

    UP = "up"
    FLAT = "flat"
    DOWN = "down"
    UNKNOWN = "can't tell yet"


@dataclass(frozen=True, slots=True)
class Slope:
    """A Theil–Sen slope, per unit of x, with its interval."""

    slope: float
    intercept: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class MannKendall:
    """The outcome of a Mann–Kendall test."""

    s: int
    variance: float
    z: float
    p: float
    tau: float


@dataclass(frozen=True, slots=True)
class Trend:
    """A verdict and what it rests on. Slopes are per week."""

    direction: Direction
    points: int
    slope: Slope | None = None
    test: MannKendall | None = None


def theil_sen(
    x: Sequence[float], y: Sequence[float], *, confidence: float = CONFIDENCE
) -> Slope:
    """Fit a line by the median of pair slopes; the intercept goes through the medians.

    Raises:
        ValueError: fewer than two points, or all at one x.
    """
    slopes = sorted(
        (y[j] - y[i]) / (x[j] - x[i])
        for i in range(len(x))
        for j in range(i + 1, len(x))
        if x[j] != x[i]
    )
    if not slopes:
        raise ValueError("a slope needs points at two places at least")
    middle = _median_of_sorted(slopes)
    n = len(x)
    spread = n * (n - 1) * (2 * n + 5) - _ties(x) - _ties(y)
    sigma = math.sqrt(max(0.0, spread / 18))
    z = NormalDist().inv_cdf(0.5 + confidence / 2)
    low = max(0, round((len(slopes) - z * sigma) / 2) - 1)
    high = min(len(slopes) - 1, round((len(slopes) + z * sigma) / 2))
    return Slope(
        slope=middle,
        intercept=median(y) - middle * median(x),
        low=slopes[low],
        high=slopes[high],
    )


def mann_kendall(y: Sequence[float]) -> MannKendall:
    """Test a series in order for a trend, two-sided.

    Raises:
        ValueError: fewer than two points.
    """
    n = len(y)
    if n < 2:
        raise ValueError("a trend needs two points at least")
    s = 0
    for i, early in enumerate(y):
        for late in y[i + 1 :]:
            s += (late > early) - (late < early)
    variance = (n * (n - 1) * (2 * n + 5) - _ties(y)) / 18
    if s == 0 or variance <= 0:
        z = 0.0
    else:
        z = (s - math.copysign(1, s)) / math.sqrt(variance)
    return MannKendall(
        s=s,
        variance=variance,
        z=z,
        p=math.erfc(abs(z) / math.sqrt(2)),
        tau=s / (n * (n - 1) / 2),
    )


def judge(weeks: Sequence[float], values: Sequence[float]) -> Trend:
    """Decide what a series of weekly values shows.

    ``up`` and ``down`` need the test, an interval of slopes that leaves nought out as
    it is printed (to the tenth), and a change over the series that can be noted.
    ``flat`` needs an interval within ``FLAT_PER_WEEK`` either way; all else can't be
    told yet.

    Args:
        weeks: where each value stands, in weeks; gaps are left out, never filled.
        values: what was measured.
    """
    if len(values) < LEAST_POINTS:
        return Trend(Direction.UNKNOWN, len(values))
    slope = theil_sen(weeks, values)
    test = mann_kendall(values)
    change = abs(slope.slope) * (weeks[-1] - weeks[0])
    if test.p < 1 - CONFIDENCE and _leaves_nought_out(slope) and change > LEAST_CHANGE:
        direction = Direction.UP if slope.slope > 0 else Direction.DOWN
    elif slope.low >= -FLAT_PER_WEEK and slope.high <= FLAT_PER_WEEK:
        direction = Direction.FLAT
    else:
        direction = Direction.UNKNOWN
    return Trend(direction, len(values), slope, test)


def _leaves_nought_out(slope: Slope) -> bool:
    """Tell whether both ends of the interval, as printed, lie on one side of nought."""
    low, high = round(slope.low, 1), round(slope.high, 1)
    return low > 0 or high < 0


def _ties(values: Sequence[float]) -> int:
    return sum(
        count * (count - 1) * (2 * count + 5)
        for count in Counter(values).values()
        if count > 1
    )


def _median_of_sorted(values: Sequence[float]) -> float:
    middle = len(values) // 2
    if len(values) % 2:
        return values[middle]
    return (values[middle - 1] + values[middle]) / 2

"""How large a difference has to be before it is more than the measurement's own noise.

The standard error of measurement (SEM) is the standard deviation within repeats: the
root of the mean square within groups of a one-way analysis of variance. Two single
measurements differ by more than the minimal detectable change, factor × √2 × SEM, in
one of twenty cases where nothing changed (de Vet; ``1.96`` for the factor).

Own repeats are new photos on one day, each set up afresh. Marking one photo again shows
the marking alone and counts as the same photo.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from statistics import NormalDist, fmean

from trainer.core.angle.check import Method

FACTOR = 1.96
"""Of a known spread, for 95 % (common practice; so in the published identities)."""
LEAST_DOF = 6
"""Degrees of freedom from which own repeats are believed (our choice)."""
PUBLISHED_MDC_DEG: Mapping[Method, float] = {
    Method.INCLINOMETER: 9.5,
    Method.PHOTO: 30.0,
    Method.GONIOMETER: 30.0,
    Method.EYE: 30.0,
}
"""95 % minimal detectable change between two measurements: inclinometer from the MDC90
of 8° of Kolber et al. 2011 (8 × 1.96 / 1.645); the others the lower end of what the
SEM of Hayes et al. 2001 comes to, 11 to 23° within an examiner."""
PUBLISHED_BY: Mapping[Method, str] = {
    Method.INCLINOMETER: "Kolber 2011",
    Method.PHOTO: "Hayes 2001",
    Method.GONIOMETER: "Hayes 2001",
    Method.EYE: "Hayes 2001",
}
LEAST_SEM_DEG = 0.5
"""Nobody repeats better than this; figures that agree by chance prove nothing (our
choice)."""
SMALLEST_GAIN_DEG = 5.0
"""The gain that somebody would like to see (our choice)."""


class Source(StrEnum):
    """Where a noise comes from."""

    OWN = "own"
    PUBLISHED = "published"


@dataclass(frozen=True, slots=True)
class Repeats:
    """What own repeats show."""

    sd: float
    """Standard deviation within groups: the SEM."""
    dof: int
    """Degrees of freedom: repeats beyond the first of each group."""


@dataclass(frozen=True, slots=True)
class Noise:
    """The noise of one measurement, and what a difference of two has to exceed."""

    sem_deg: float
    factor: float
    """Standard deviations that a difference has to exceed."""
    source: Source
    dof: int
    """Of the own repeats that there are, believed or not yet."""

    @property
    def mdc_deg(self) -> float:
        """95 % minimal detectable change between two single measurements."""
        return self.factor * math.sqrt(2) * self.sem_deg

    def between_deg(self, first: int, second: int) -> float:
        """Return what a difference between two means has to exceed.

        Args:
            first: repeats behind the one mean.
            second: repeats behind the other.

        A published noise is that between days and examiners: more photos on one day
        don't make it smaller, so it stays what it is for two single measurements.
        """
        if self.source is Source.PUBLISHED:
            return self.mdc_deg
        return self.factor * self.sem_deg * math.sqrt(1 / first + 1 / second)

    def repeats_for(self, gain_deg: float) -> int:
        """Return the repeats on each day that would make GAIN visible."""
        return max(1, math.ceil((self.mdc_deg / gain_deg) ** 2 - 1e-9))


def pooled(groups: Iterable[Sequence[float]]) -> Repeats:
    """Return the spread within groups of repeats, pooled.

    Args:
        groups: the repeats of each day; a group of one says nothing.
    """
    squares, dof = 0.0, 0
    for group in groups:
        if len(group) < 2:
            continue
        mean = fmean(group)
        squares += sum((value - mean) ** 2 for value in group)
        dof += len(group) - 1
    return Repeats(math.sqrt(squares / dof) if dof else 0.0, dof)


def mdc95(sem: float) -> float:
    """Return the 95 % minimal detectable change of a known SEM: 1.96 × √2 × SEM."""
    return FACTOR * math.sqrt(2) * sem


def published_sem_deg(method: Method) -> float:
    """Return the SEM behind the published minimal detectable change."""
    return PUBLISHED_MDC_DEG[method] / mdc95(1)


def noise_of(method: Method, own: Repeats) -> Noise:
    """Return the noise to judge by: own repeats once there are enough, else published.

    Until then it is the larger of the two: few repeats can be alike by chance.
    """
    if own.dof >= LEAST_DOF:
        sem = max(own.sd, LEAST_SEM_DEG)
        return Noise(sem, student_factor(own.dof), Source.OWN, own.dof)
    published = published_sem_deg(method)
    if own.dof and own.sd > published:
        return Noise(own.sd, FACTOR, Source.OWN, own.dof)
    return Noise(published, FACTOR, Source.PUBLISHED, own.dof)


def student_factor(dof: int) -> float:
    """Return the two-sided 95 % point of Student's t for DOF ≥ ``LEAST_DOF``.

    The expansion about the normal quantile, Abramowitz & Stegun 26.7.5: good to 0.002
    from six degrees of freedom on. A spread that is itself estimated needs more than
    1.96 of itself.
    """
    z = NormalDist().inv_cdf(0.975)
    terms = (
        (z**3 + z) / 4,
        (5 * z**5 + 16 * z**3 + 3 * z) / 96,
        (3 * z**7 + 19 * z**5 + 17 * z**3 - 15 * z) / 384,
        (79 * z**9 + 776 * z**7 + 1482 * z**5 - 1920 * z**3 - 945 * z) / 92160,
    )
    return z + sum(
        term / float(dof**power) for power, term in enumerate(terms, start=1)
    )

"""Checks over time: what changed, whether it is more than noise, and who lent it.

Nothing is mixed across a series' key. Compared across it are only pairs that were made
for it: guarded against free, which is what the back lends, and sunk against pressed,
which is what the press does.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from statistics import fmean

from trainer.core.angle.check import AngleCheck, Blades, Method, Pose, Reach, SeriesKey
from trainer.core.angle.noise import (
    LEAST_DOF,
    Noise,
    Repeats,
    noise_of,
    pooled,
    student_factor,
)

FLARE_NOISE = 0.06
"""What a camera 10° off the side view does to the flare (computed in the tests); a
smaller change shows nothing until own repeats are enough."""
LEAST_FLARE_SEM = 0.01
"""Nobody marks ribs better than to a hundredth of the trunk (our choice)."""

Figure = Callable[[AngleCheck], float | None]


@dataclass(frozen=True, slots=True)
class Reading:
    """One day of a series: the mean over its photos."""

    day: date
    value: float
    photos: tuple[float, ...]
    """The figure of each photo set up afresh."""


@dataclass(frozen=True, slots=True)
class Change:
    """The newest day of a series against its first."""

    first: Reading
    last: Reading
    needs: float
    """What a difference has to exceed to be real."""

    @property
    def by(self) -> float:
        """How much the figure rose."""
        return self.last.value - self.first.value

    @property
    def real(self) -> bool:
        """Whether that is more than noise."""
        return abs(self.by) > self.needs


@dataclass(frozen=True, slots=True)
class Series:
    """All checks of one key, in order of time."""

    key: SeriesKey
    checks: tuple[AngleCheck, ...]

    @property
    def readings(self) -> tuple[Reading, ...]:
        """The overhead angle, day by day."""
        return readings(self.checks, _overhead)

    @property
    def noise(self) -> Noise:
        """What its overhead angle is judged by."""
        own = repeats(self.checks, _overhead)
        return noise_of(self.key.position.method, own)

    @property
    def change(self) -> Change | None:
        """The newest day against the first; None with fewer than two days."""
        days = self.readings
        if len(days) < 2:
            return None
        first, last = days[0], days[-1]
        needs = self.noise.between_deg(len(first.photos), len(last.photos))
        return Change(first, last, needs)

    @property
    def flare(self) -> Change | None:
        """The rib flare's change over the same days; None where ribs weren't marked."""
        return _change_of(self.checks, _flare)

    @property
    def marking(self) -> Repeats:
        """How far two markings of one photo lie apart: the marking error alone."""
        by_photo: defaultdict[str, list[float]] = defaultdict(list)
        for check in self.checks:
            if check.photo is not None:
                by_photo[check.photo.sha256].append(check.overhead_deg)
        return pooled(by_photo.values())


def _overhead(check: AngleCheck) -> float | None:
    return check.overhead_deg


def _flare(check: AngleCheck) -> float | None:
    return check.figures.flare


def _lift(check: AngleCheck) -> float | None:
    return check.figures.lift


def by_series(checks: Iterable[AngleCheck]) -> dict[SeriesKey, Series]:
    """Return the checks by series, in order of time; the series likewise."""
    found: defaultdict[SeriesKey, list[AngleCheck]] = defaultdict(list)
    for check in sorted(checks, key=lambda one: (one.measured_at, one.uid)):
        found[check.series].append(check)
    return {key: Series(key, tuple(of_key)) for key, of_key in found.items()}


def readings(checks: Iterable[AngleCheck], figure: Figure) -> tuple[Reading, ...]:
    """Return a figure day by day.

    Markings of the same photo are averaged first and count as one, on the day on which
    it was first marked.
    """
    photos: dict[str, tuple[date, list[float]]] = {}
    for check in checks:
        value = figure(check)
        if value is None:
            continue
        name = check.uid if check.photo is None else check.photo.sha256
        photos.setdefault(name, (check.local_date, []))[1].append(value)
    days: defaultdict[date, list[float]] = defaultdict(list)
    for day, markings in photos.values():
        days[day].append(fmean(markings))
    return tuple(
        Reading(day, fmean(values), tuple(values))
        for day, values in sorted(days.items())
    )


def repeats(checks: Iterable[AngleCheck], figure: Figure) -> Repeats:
    """Return the spread of a figure among new photos of one day."""
    return pooled(one.photos for one in readings(checks, figure))


def _change_of(checks: Iterable[AngleCheck], figure: Figure) -> Change | None:
    """Return the change of a figure that isn't an angle."""
    days = readings(checks, figure)
    if len(days) < 2:
        return None
    own = pooled(one.photos for one in days)
    needs = FLARE_NOISE
    if own.dof >= LEAST_DOF:
        parts = 1 / len(days[0].photos) + 1 / len(days[-1].photos)
        sem = max(own.sd, LEAST_FLARE_SEM)
        needs = student_factor(own.dof) * sem * math.sqrt(parts)
    return Change(days[0], days[-1], needs)


@dataclass(frozen=True, slots=True)
class Borrowed:
    """A real gain of the free angle that came with more flare."""

    free: Change
    flare: Change
    guarded: Change | None
    """What remains; None without guarded checks on two days."""


def borrowed(free: Series, guarded: Series | None) -> Borrowed | None:
    """Tell whether a free gain was lent by the back; None where it wasn't, or isn't
    known.

    Args:
        free: a series of free reaches.
        guarded: the one that differs from it in being guarded.
    """
    change, flare = free.change, free.flare
    if change is None or not change.real or change.by <= 0:
        return None
    if flare is None or not flare.real or flare.by <= 0:
        return None
    return Borrowed(change, flare, guarded.change if guarded else None)


@dataclass(frozen=True, slots=True)
class Difference:
    """Two positions on one day: guarded and free, or sunk and pressed."""

    day: date
    without: float
    """Guarded, or sunk."""
    with_: float
    """Free, or pressed."""
    needs: float
    """What the difference has to exceed to be real."""
    lift: float | None = None
    """How far the shoulder went up, per upper arm; None where it can't be seen."""

    @property
    def by(self) -> float:
        """What the back lends, or the press does, in degrees."""
        return self.with_ - self.without

    @property
    def real(self) -> bool:
        """Whether that is more than noise."""
        return abs(self.by) > self.needs


def counterpart(key: SeriesKey) -> SeriesKey | None:
    """Return the key that differs in guarded against free, or sunk against pressed."""
    position = key.position
    if position.reach is not None:
        other = Reach.FREE if position.reach is Reach.GUARDED else Reach.GUARDED
        return replace(key, position=replace(position, reach=other))
    if position.blades is not None:
        turned = Blades.PRESSED if position.blades is Blades.SUNK else Blades.SUNK
        return replace(key, position=replace(position, blades=turned))
    return None


def differences(
    found: Mapping[SeriesKey, Series], key: SeriesKey
) -> tuple[Difference, ...]:
    """Return, for each day on which both were measured, what lies between them.

    Args:
        found: all series.
        key: of the guarded or the sunk series.
    """
    other_key = counterpart(key)
    if other_key is None or key not in found or other_key not in found:
        return ()
    one, other = found[key], found[other_key]
    others = {reading.day: reading for reading in other.readings}
    lifts = _lifts(one, other)
    between = []
    for reading in one.readings:
        partner = others.get(reading.day)
        if partner is None:
            continue
        counts = len(reading.photos), len(partner.photos)
        needs = max(one.noise.between_deg(*counts), other.noise.between_deg(*counts))
        between.append(
            Difference(
                reading.day,
                reading.value,
                partner.value,
                needs,
                lifts.get(reading.day),
            )
        )
    return tuple(between)


def _lifts(one: Series, other: Series) -> dict[date, float]:
    before = {each.day: each.value for each in readings(one.checks, _lift)}
    after = {each.day: each.value for each in readings(other.checks, _lift)}
    return {day: after[day] - before[day] for day in before if day in after}


_POSES = (Pose.REACH, Pose.HANG, Pose.PRESS)
_METHODS = (Method.PHOTO, Method.INCLINOMETER, Method.GONIOMETER, Method.EYE)


def headline(series: Iterable[Series]) -> Series | None:
    """Return the series that answers whether the shoulder opens; None without checks.

    The guarded reach before all others, since nothing in it is lent; then what was
    measured on the most days.
    """

    def rank(one: Series) -> tuple[bool, int, bool, int, int]:
        position = one.key.position
        return (
            len(one.readings) < 2,
            _POSES.index(position.pose),
            position.reach is not Reach.GUARDED,
            -len(one.readings),
            _METHODS.index(position.method),
        )

    return min(series, key=rank, default=None)


def pair_of(found: Mapping[SeriesKey, Series], key: SeriesKey) -> Series | None:
    """Return the series that belongs beside that of KEY, if there is one."""
    other = counterpart(key)
    return found.get(other) if other is not None else None


def in_order(series: Sequence[Series]) -> tuple[Series, ...]:
    """Return the series as they are shown: by pose, the guarded before the free."""
    return tuple(
        sorted(
            series,
            key=lambda one: (
                _POSES.index(one.key.position.pose),
                one.key.position.exercise or "",
                one.key.position.side or "",
                one.key.position.reach is Reach.FREE,
                one.key.position.blades is Blades.PRESSED,
                _METHODS.index(one.key.position.method),
                one.key.position.when or "",
                one.key.arm_point or "",
            ),
        )
    )

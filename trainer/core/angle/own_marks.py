"""How well somebody marks: the spread of landmarks on photos that they marked again.

It takes the place of the assumed share of the trunk in what is said of a figure's
uncertainty. It is that of marking alone, and never what a change is judged by: a photo
marked twice shows nothing of how alike two photos are (``noise``).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from statistics import fmean

from trainer.core.angle.check import AngleCheck
from trainer.core.angle.figures import DEFAULT_SD_SHARE, measure
from trainer.core.angle.landmarks import Landmarks
from trainer.core.angle.noise import LEAST_DOF, Repeats, pooled

LEAST_SD_SHARE = 0.002
"""Nobody marks better than to a dot of the closest view (our choice: a millimetre on a
trunk of 50 cm)."""


def marking_error(checks: Iterable[AngleCheck]) -> Repeats:
    """Return the standard deviation of a landmark's coordinate, per trunk length.

    Two coordinates of each landmark that was set every time a photo was marked; four
    landmarks marked once more are eight degrees of freedom.
    """
    by_photo: defaultdict[str, list[Landmarks]] = defaultdict(list)
    for check in checks:
        if check.photo is not None and check.landmarks is not None:
            by_photo[check.photo.sha256].append(check.landmarks)
    return pooled(
        coordinates
        for markings in by_photo.values()
        for coordinates in _coordinates(markings)
    )


def _coordinates(markings: Sequence[Landmarks]) -> Iterator[list[float]]:
    trunk = fmean(one.trunk.length for one in markings)
    points = [one.points() for one in markings]
    for name in set.intersection(*(set(each) for each in points)):
        yield [each[name].x / trunk for each in points]
        yield [each[name].y / trunk for each in points]


def sd_share(checks: Iterable[AngleCheck]) -> float:
    """Return the landmarks' spread to reckon with: one's own once it is known."""
    own = marking_error(checks)
    return DEFAULT_SD_SHARE if own.dof < LEAST_DOF else max(own.sd, LEAST_SD_SHARE)


def with_own_error(checks: Sequence[AngleCheck]) -> tuple[AngleCheck, ...]:
    """Return CHECKS with the uncertainties that follow from one's own marking error."""
    share = sd_share(checks)
    return tuple(
        check
        if check.landmarks is None
        else replace(
            check,
            figures=measure(
                check.landmarks, sd_px=share * check.landmarks.trunk.length
            ),
        )
        for check in checks
    )

"""One's own marking error: measured by marking again, and used where it is said."""

from __future__ import annotations

import random
from dataclasses import replace
from datetime import date, datetime, timezone
from statistics import pstdev
from typing import Any

import pytest

from tests.core.angle.poses import person
from trainer.core.angle.check import AngleCheck, Photo, Position
from trainer.core.angle.figures import measure
from trainer.core.angle.landmarks import Landmarks, Point
from trainer.core.angle.own_marks import (
    LEAST_SD_SHARE,
    marking_error,
    sd_share,
    with_own_error,
)
from trainer.core.angle.series import by_series

TRUNK_PX, SD_PX = 700.0, 14.0
TRUTH = person(
    overhead_deg=168,
    lean_deg=3,
    trunk_px=TRUNK_PX,
    arm_px=420.0,
    at=Point(1500, 1300),
)


def _check(marked: Landmarks, number: int, photo: str = "one") -> AngleCheck:
    return AngleCheck(
        uid=str(number),
        measured_at=datetime(2026, 1, 5, 8, 0, number % 60, tzinfo=timezone.utc),
        utc_offset_min=0,
        local_date=date(2026, 1, 5),
        position=Position(),
        figures=measure(marked),
        landmarks=marked,
        photo=Photo("a.jpg", photo, 4000, 3000),
    )


def _marked(draw: random.Random, sd_px: float = SD_PX) -> Landmarks:
    """Mark the truth with a hand that is off by SD_PX each way."""
    moved: dict[str, Any] = {
        name: Point(draw.gauss(at.x, sd_px), draw.gauss(at.y, sd_px))
        for name, at in TRUTH.points().items()
    }
    return replace(TRUTH, **moved)


def test_is_the_spread_that_the_hand_had() -> None:
    """Forty markings of one photo: within a tenth of what was put in."""
    draw = random.Random(7)
    own = marking_error(_check(_marked(draw), n) for n in range(40))

    assert 39 * 2 * len(TRUTH.points()) == own.dof
    assert pytest.approx(SD_PX / TRUNK_PX, rel=0.1) == own.sd


def test_the_uncertainty_said_is_that_of_the_angle_marked_again() -> None:
    """The propagated figure against the spread of the angles themselves."""
    draw = random.Random(11)
    checks = with_own_error([_check(_marked(draw), n) for n in range(60)])
    said = checks[0].figures.overhead_sd_deg
    (series,) = by_series(checks).values()

    assert said is not None
    assert pytest.approx(said, rel=0.2) == pstdev(one.overhead_deg for one in checks)
    assert pytest.approx(said, rel=0.2) == series.marking.sd


def test_one_photo_marked_once_keeps_the_assumed_one() -> None:
    """Other photos are no second marking."""
    draw = random.Random(3)
    checks = [_check(_marked(draw), n, photo=f"photo {n}") for n in range(5)]

    assert 0 == marking_error(checks).dof
    assert list(checks) == list(with_own_error(checks))


def test_nobody_marks_better_than_the_closest_view() -> None:
    """Two markings that agree by chance don't make a figure certain."""
    assert LEAST_SD_SHARE == sd_share([_check(TRUTH, 0), _check(TRUTH, 1)])


def test_a_figure_read_off_has_none() -> None:
    """It has no landmarks, and keeps what it says."""
    bare = replace(_check(TRUTH, 0), landmarks=None, photo=None)

    assert (bare,) == with_own_error([bare])

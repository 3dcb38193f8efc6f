"""The made-up trainee's angle checks: drawn figures of our own, nobody's photos.

In the first two months half of the free gain is borrowed: the ribs come forward while
the guarded angle hardly moves. From then on the shoulder itself opens, and the ribs go
back. Three photos each time, each set up afresh.
"""

from __future__ import annotations

import math
import random
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, time, timedelta, timezone
from uuid import UUID

from trainer.core.angle.check import AngleCheck, Position, Reach, When
from trainer.core.angle.figures import measure
from trainer.core.angle.landmarks import Facing, Landmarks, Point
from trainer.core.model import Side
from trainer.core.weeks import IsoWeek

SCATTER_DEG, SCATTER_FLARE = 1.5, 0.012
"""How far photos of one day lie apart, one standard deviation."""
PHOTOS = 3
TRUNK_PX, UPPER_ARM_PX = 700.0, 420.0
SHOULDER = Point(1500.0, 1300.0)


@dataclass(frozen=True, slots=True)
class Week:
    """What the photos of one week show, in the mean."""

    week: int
    guarded_deg: float
    free_deg: float
    flare: float
    """Of the free reach; the guarded one stays at ``GUARDED_FLARE``."""


GUARDED_FLARE = 0.10
SCRIPT = (
    Week(0, 152, 158, 0.13),
    Week(4, 153, 165, 0.20),
    Week(8, 155, 169, 0.26),
    Week(12, 159, 170, 0.22),
    Week(16, 164, 172, 0.17),
)


def angle_checks(
    draw: random.Random, first: IsoWeek, zone: timezone
) -> Iterator[AngleCheck]:
    """Yield the checks of all weeks, on their Wednesdays, before training.

    Args:
        draw: the source of the scatter.
        first: the first week of the log.
        zone: the local offset.
    """
    for week in SCRIPT:
        day = first.plus(week.week).monday + timedelta(days=2)
        for number in range(PHOTOS):
            for place, reach in enumerate(Reach):
                free = reach is Reach.FREE
                degrees = week.free_deg if free else week.guarded_deg
                flare = week.flare if free else GUARDED_FLARE
                at = datetime.combine(day, time(16, 30 + 2 * number + place), zone)
                marked = drawn(
                    degrees + draw.gauss(0, SCATTER_DEG),
                    flare + draw.gauss(0, SCATTER_FLARE),
                    lean_deg=draw.gauss(-2 if free else 0, 1),
                )
                yield AngleCheck(
                    uid=str(UUID(int=draw.getrandbits(128), version=4)),
                    measured_at=at.astimezone(timezone.utc),
                    utc_offset_min=round(zone.utcoffset(None).total_seconds() / 60),
                    local_date=day,
                    position=Position(reach=reach, side=Side.RIGHT, when=When.BEFORE),
                    figures=measure(marked),
                    landmarks=marked,
                )


def drawn(overhead_deg: float, flare: float, *, lean_deg: float) -> Landmarks:
    """Return the landmarks of somebody with these figures, facing right."""
    lean = math.radians(lean_deg)
    # Leaning forward, the shoulder stands in front of the hip.
    down = Point(-math.sin(lean), math.cos(lean))
    out = Point(math.cos(lean), math.sin(lean))
    over = math.radians(overhead_deg)
    elbow = down.scaled(math.cos(over)) + out.scaled(math.sin(over))
    rib = down.scaled(0.55 * TRUNK_PX) + out.scaled(flare * TRUNK_PX)
    return Landmarks(
        shoulder=SHOULDER,
        hip=SHOULDER + down.scaled(TRUNK_PX),
        elbow=SHOULDER + elbow.scaled(UPPER_ARM_PX),
        rib=SHOULDER + rib,
        ear_hidden=True,
        facing=Facing.RIGHT,
    )

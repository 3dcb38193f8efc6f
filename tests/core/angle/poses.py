"""Drawn people with known angles: landmarks built forward from the figures.

The independent way round: a person stands upright in a frame of their own, x forward
and y up, and is then leaned, turned upside down, mirrored and scaled into a picture.
"""

from __future__ import annotations

import math

from trainer.core.angle.landmarks import Facing, Landmarks, Point

MIDDLE = Point(1000.0, 1000.0)


def person(
    *,
    overhead_deg: float,
    lean_deg: float = 0.0,
    flare: float = 0.12,
    lift: float = -0.2,
    facing: Facing = Facing.RIGHT,
    upside_down: bool = False,
    trunk_px: float = 500.0,
    arm_px: float = 300.0,
    at: Point = MIDDLE,
    wrist: bool = False,
) -> Landmarks:
    """Return the landmarks of somebody with these figures, chest towards FACING."""
    down = (0.0, -1.0)
    arm = _turned((0.0, -1.0), overhead_deg)
    hip = (down[0] * trunk_px, down[1] * trunk_px)
    rib = (flare * trunk_px, -0.55 * trunk_px)
    end = (arm[0] * arm_px, arm[1] * arm_px)
    ear = (0.05 * trunk_px, -lift * arm_px)
    # Facing right, forward is to the right; upside down it is a turn of half a circle,
    # after which somebody who faced left has the chest to the right.
    mirror = (1 if facing is Facing.RIGHT else -1) * (-1 if upside_down else 1)

    def placed(point: tuple[float, float]) -> Point:
        # Lean is positive with the shoulder in front of the hip: forward is clockwise.
        x, y = _turned(point, -lean_deg)
        if upside_down:
            x, y = -x * mirror, -y
        else:
            x = x * mirror
        return Point(at.x + x, at.y - y)

    return Landmarks(
        shoulder=at,
        hip=placed(hip),
        facing=facing,
        elbow=None if wrist else placed(end),
        wrist=placed(end) if wrist else None,
        rib=placed(rib),
        ear=placed(ear),
    )


def _turned(point: tuple[float, float], degrees: float) -> tuple[float, float]:
    """Turn from hanging down by way of the front (x > 0): counterclockwise."""
    turn = math.radians(degrees)
    x, y = point
    return (
        x * math.cos(turn) - y * math.sin(turn),
        x * math.sin(turn) + y * math.cos(turn),
    )

"""The figures of an angle check from its landmarks, each with its uncertainty.

The overhead angle turns with the person and the camera: a tilted horizon changes
nothing. Which way is forward comes from the side that the person faces, so that an arm
behind the trunk's line reads more than 180° and is never folded back.

Uncertainties are standard ones, propagated to first order from those of the landmarks
(JCGM 100, the GUM, 5.1.2), taken to be independent and alike in both directions.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from trainer.core.angle.landmarks import (
    ArmPoint,
    Facing,
    LandmarkError,
    Landmarks,
    Point,
)

DEFAULT_SD_SHARE = 0.01
"""Standard deviation of a landmark, as a share of the trunk's length, until marking the
same photo again shows one's own (our choice: half a centimetre on a trunk of 50)."""
LEAST_DEG, MOST_DEG = 10.0, 230.0
"""Outside these the arm lies on the trunk, or the side that is faced is wrong (our
choice; published means of shoulder flexion reach 188°: Macedo & Magee)."""
LEVEL_TRUNK_DEG = 30.0
"""A trunk this near to level has its chest to the floor, not to a side (our choice)."""


class Ear(StrEnum):
    """Where the ear is seen against the arm (common practice: shown, no evidence)."""

    FRONT = "front"
    HIDDEN = "hidden"
    BEHIND = "behind"


@dataclass(frozen=True, slots=True, kw_only=True)
class Figures:
    """What was measured; ``sd`` is a standard uncertainty, of marking alone.

    None where the points that it takes aren't marked.
    """

    overhead_deg: float
    """Trunk to arm: 0 the arm at the side, 180 one straight line, more past it."""
    overhead_sd_deg: float | None = None
    arm_point: ArmPoint | None = None
    lean_deg: float | None = None
    """Trunk against the vertical, positive with the shoulder in front of the hip."""
    lean_sd_deg: float | None = None
    arm_deg: float | None = None
    """Arm against the vertical, positive with the hand in front of the shoulder."""
    arm_sd_deg: float | None = None
    flare: float | None = None
    """The rib point in front of the shoulder–hip line, per trunk length."""
    flare_sd: float | None = None
    lift: float | None = None
    """The shoulder above the ear along hip→shoulder, per shoulder–elbow length."""
    lift_sd: float | None = None
    ear: Ear | None = None


def measure(landmarks: Landmarks, *, sd_px: float | None = None) -> Figures:
    """Return the figures of LANDMARKS.

    Args:
        landmarks: in pixels, y growing downward.
        sd_px: standard deviation of one coordinate of a landmark, in pixels; None:
            ``DEFAULT_SD_SHARE`` of the trunk's length.

    Raises:
        LandmarkError: the arm lies over the trunk, or further behind than arms go.
    """
    sd = DEFAULT_SD_SHARE * landmarks.trunk.length if sd_px is None else sd_px
    overhead = overhead_deg(landmarks)
    _refuse_impossible(overhead)
    flare, flare_sd = _flare(landmarks, sd) or (None, None)
    lift, lift_sd = _lift(landmarks, sd) or (None, None)
    arm, trunk = landmarks.arm.length, landmarks.trunk.length
    return Figures(
        arm_point=landmarks.arm_point,
        overhead_deg=overhead,
        overhead_sd_deg=math.degrees(_overhead_sd(landmarks, sd)),
        lean_deg=lean_deg(landmarks),
        lean_sd_deg=math.degrees(sd * math.sqrt(2) / trunk),
        arm_deg=arm_deg(landmarks),
        arm_sd_deg=math.degrees(sd * math.sqrt(2) / arm),
        flare=flare,
        flare_sd=flare_sd,
        lift=lift,
        lift_sd=lift_sd,
        ear=ear_place(landmarks),
    )


def front(landmarks: Landmarks) -> Point:
    """Return the unit way square to the trunk, out of the chest."""
    trunk = landmarks.trunk.scaled(1 / landmarks.trunk.length)
    square = Point(trunk.y, -trunk.x)
    if abs(trunk.y) < math.sin(math.radians(LEVEL_TRUNK_DEG)):
        return square if square.y > 0 else square.scaled(-1)
    faces_right = landmarks.facing is Facing.RIGHT
    return square if (square.x > 0) == faces_right else square.scaled(-1)


def overhead_deg(landmarks: Landmarks) -> float:
    """Return the angle from the trunk to the arm by way of the front, −90 to 270."""
    arm = landmarks.arm
    forward = arm.dot(front(landmarks))
    along = arm.dot(landmarks.trunk) / landmarks.trunk.length
    degrees = math.degrees(math.atan2(forward, along))
    return degrees + 360 if degrees < -90 else degrees


def lean_deg(landmarks: Landmarks) -> float:
    """Return the trunk against the vertical, −90 to 90."""
    up = landmarks.trunk.scaled(-1)
    return math.degrees(math.atan2(_ahead(landmarks) * up.x, abs(up.y)))


def arm_deg(landmarks: Landmarks) -> float:
    """Return the arm against the vertical, upside down against the plumb line."""
    arm = landmarks.arm
    upright = landmarks.trunk.y >= math.sin(math.radians(LEVEL_TRUNK_DEG)) * (
        landmarks.trunk.length
    )
    return math.degrees(
        math.atan2(_ahead(landmarks) * arm.x, -arm.y if upright else arm.y)
    )


def ear_place(landmarks: Landmarks) -> Ear | None:
    """Tell on which side of the arm's line the ear lies; None if it isn't marked."""
    if landmarks.ear_hidden:
        return Ear.HIDDEN
    if landmarks.ear is None:
        return None
    arm, out = landmarks.arm, front(landmarks)
    trunk = landmarks.trunk
    # The arm's own front is the trunk's, turned along with it.
    turned = 1 if trunk.x * out.y - trunk.y * out.x > 0 else -1
    arms_front = Point(arm.y, -arm.x).scaled(turned)
    ahead = (landmarks.ear - landmarks.shoulder).dot(arms_front)
    return Ear.FRONT if ahead > 0 else Ear.BEHIND


def _ahead(landmarks: Landmarks) -> int:
    """Return 1 where the chest points to the right of the picture, else −1."""
    return 1 if front(landmarks).x >= 0 else -1


def _refuse_impossible(overhead: float) -> None:
    if abs(overhead) < LEAST_DEG:
        raise LandmarkError(
            "the arm lies over the trunk: mark a photo with the arm raised"
        )
    if not LEAST_DEG <= overhead <= MOST_DEG:
        back = overhead - 180 if overhead > 180 else 180 + overhead
        raise LandmarkError(
            f"the arm would stand {back:.0f}° behind the trunk's line, which no"
            " shoulder does: look at the side that is faced, and at the points"
        )


def _overhead_sd(landmarks: Landmarks, sd: float) -> float:
    """Return the overhead angle's uncertainty in radians.

    The shoulder is an end of both lines, so its part depends on the angle between them.
    """
    arm, trunk = landmarks.arm.length, landmarks.trunk.length
    between = math.cos(math.radians(overhead_deg(landmarks)))
    shoulder = 1 / arm**2 + 1 / trunk**2 - 2 * between / (arm * trunk)
    return sd * math.sqrt(1 / arm**2 + 1 / trunk**2 + shoulder)


def _flare(landmarks: Landmarks, sd: float) -> tuple[float, float] | None:
    if landmarks.rib is None:
        return None
    trunk, length = landmarks.trunk, landmarks.trunk.length
    out = front(landmarks)
    rib = landmarks.rib - landmarks.shoulder
    flare = rib.dot(out) / length
    along = rib.dot(trunk) / length**2
    # Moving the rib forward by a pixel adds one over the trunk's length; moving the
    # hip turns the line under it and changes the length that it is measured in.
    by_rib = out.scaled(1 / length)
    by_hip = (out.scaled(-along) + trunk.scaled(-flare / length)).scaled(1 / length)
    return flare, _propagated(sd, (by_rib, by_hip))


def _lift(landmarks: Landmarks, sd: float) -> tuple[float, float] | None:
    if landmarks.ear is None or landmarks.elbow is None:
        return None
    up = landmarks.trunk.scaled(-1 / landmarks.trunk.length)
    over_ear = landmarks.shoulder - landmarks.ear
    arm = landmarks.elbow - landmarks.shoulder
    above = over_ear.dot(up)
    lift = above / arm.length
    by_ear = up.scaled(-1 / arm.length)
    by_elbow = arm.scaled(-lift / arm.length**2)
    across = over_ear - up.scaled(above)
    by_hip = across.scaled(-1 / (landmarks.trunk.length * arm.length))
    return lift, _propagated(sd, (by_ear, by_elbow, by_hip))


def _propagated(sd: float, gradients: Sequence[Point]) -> float:
    """Return the uncertainty from gradients by all points but the shoulder.

    A figure doesn't change when all points move alike, so the shoulder's gradient is
    the others' sum, reversed.
    """
    shoulder = Point(-sum(one.x for one in gradients), -sum(one.y for one in gradients))
    return sd * math.sqrt(sum(one.dot(one) for one in (*gradients, shoulder)))

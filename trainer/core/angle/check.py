"""One angle check: in which position, how it was measured, and what came out.

A series is made of checks that differ in nothing but the day. Its key is everything
that moves the figure without the shoulder having changed.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum

from trainer.core.angle.figures import LEAST_DEG, MOST_DEG, Figures
from trainer.core.angle.landmarks import ArmPoint, Landmarks
from trainer.core.exercises import BUILT_IN, Exercise, Family
from trainer.core.model import Side


class Method(StrEnum):
    """What the figure was read off."""

    PHOTO = "photo"
    GONIOMETER = "goniometer"
    INCLINOMETER = "inclinometer"
    EYE = "eye"


class Pose(StrEnum):
    """The position that was photographed."""

    REACH = "reach"
    HANG = "hang"
    PRESS = "press"


class Reach(StrEnum):
    """Whether the back could lend to the reach."""

    GUARDED = "guarded"
    """Lower back and ribs on a door frame's edge, kept there."""
    FREE = "free"


class Blades(StrEnum):
    """What the shoulder blades did in a press."""

    SUNK = "sunk"
    PRESSED = "pressed"


class When(StrEnum):
    """Before or after training, on the day."""

    BEFORE = "before"
    AFTER = "after"


class CheckError(ValueError):
    """A check that makes no sense; the text says why and what would."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Position:
    """How the person stood, hung or pressed, and how it was measured.

    Raises:
        CheckError: two of the answers exclude each other.
    """

    method: Method = Method.PHOTO
    pose: Pose = Pose.REACH
    exercise: str | None = None
    side: Side | None = None
    """The arm that was measured."""
    reach: Reach | None = None
    blades: Blades | None = None
    when: When | None = None

    def __post_init__(self) -> None:
        if self.side is Side.BOTH:
            raise CheckError("a side view shows one arm: side is left or right")
        if self.reach is not None and self.pose is not Pose.REACH:
            raise CheckError(f"{self.reach} belongs to a reach, not to a {self.pose}")
        if self.blades is not None and self.pose is not Pose.PRESS:
            raise CheckError(f"{self.blades} belongs to a press, not to a {self.pose}")
        if self.exercise is not None and self.pose is Pose.REACH:
            raise CheckError("a reach is no exercise: leave the exercise out")


def position(
    *,
    exercises: Mapping[str, Exercise] = BUILT_IN,
    method: Method = Method.PHOTO,
    pose: Pose | None = None,
    exercise: str | None = None,
    side: Side | None = None,
    reach: Reach | None = None,
    blades: Blades | None = None,
    when: When | None = None,
) -> Position:
    """Return the position that these answers describe; an exercise says its pose.

    Raises:
        CheckError: the exercise is unknown or of another pose, or would be sunk into
            upside down.
    """
    family: Family | None = None
    if exercise is not None:
        if exercise not in exercises:
            raise CheckError(f"there is no exercise {exercise!r}")
        family = exercises[exercise].family
    chosen = pose
    if chosen is None:
        chosen = Pose(family.value) if family is not None else _pose_of(blades)
    if family is not None and chosen.value != family.value:
        raise CheckError(f"{exercise} is no {chosen}")
    if blades is Blades.SUNK and exercise and exercises[exercise].upside_down:
        raise CheckError(
            "never sink upside down: compare sunk and pressed in the push-up position,"
            " or in a pike with the feet on the floor"
        )
    return Position(
        method=method,
        pose=chosen,
        exercise=exercise,
        side=side,
        reach=reach,
        blades=blades,
        when=when,
    )


def _pose_of(blades: Blades | None) -> Pose:
    return Pose.REACH if blades is None else Pose.PRESS


@dataclass(frozen=True, slots=True)
class Photo:
    """What is kept of a photo: never itself, and not where it lies."""

    name: str
    """The file's name without its folder."""
    sha256: str
    """By which it is known again when it is given."""
    width: int
    """Pixels, the way up that it is looked at."""
    height: int


@dataclass(frozen=True, slots=True)
class SeriesKey:
    """What all checks of one series share."""

    position: Position
    arm_point: ArmPoint | None


@dataclass(frozen=True, slots=True, kw_only=True)
class AngleCheck:
    """One measurement on one day.

    Raises:
        CheckError: the overhead angle is out of bounds.
    """

    uid: str
    measured_at: datetime
    """UTC."""
    utc_offset_min: int
    local_date: date
    position: Position
    figures: Figures
    """Of the landmarks; by hand the overhead angle alone."""
    landmarks: Landmarks | None = None
    photo: Photo | None = None
    note: str = ""

    def __post_init__(self) -> None:
        check_degrees(self.figures.overhead_deg)

    @property
    def series(self) -> SeriesKey:
        """The key of the series that the check belongs to."""
        return SeriesKey(self.position, self.figures.arm_point)

    @property
    def overhead_deg(self) -> float:
        """The figure that the check is for."""
        return self.figures.overhead_deg


def check_degrees(degrees: float) -> None:
    """Refuse an overhead angle that no raised arm has.

    Raises:
        CheckError: it is no number, or out of bounds.
    """
    if not math.isfinite(degrees) or not LEAST_DEG <= degrees <= MOST_DEG:
        raise CheckError(
            f"{degrees:g}° is no overhead angle: 0° is the arm at the side, 180° one"
            f" straight line; {LEAST_DEG:g} to {MOST_DEG:g} are taken"
        )

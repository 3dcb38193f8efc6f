"""The points that are marked on a side view, in pixels, y growing downward.

Where each lies (goniometry's textbook axes: the shoulder near the acromion, the fixed
arm along the midline of the trunk, the moving arm along the midline of the upper arm):

=========  =======================================================================
elbow      the middle of the elbow; preferred, since a bent elbow flatters the wrist
wrist      the middle of the wrist, where the elbow can't be seen
shoulder   the middle of the shoulder joint, a thumb's breadth under its bony tip
hip        the bump on the outside of the hip, at the top of the thigh bone
rib        the lower edge of the ribs at the front of the body
ear        its opening, or "hidden" where the arm covers it
=========  =======================================================================
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

COINCIDE = 0.02
"""Two ends of a line coincide under this share of the other line (our choice)."""


class LandmarkError(ValueError):
    """Points that no angle can be measured on; the text says which and what to do."""


class Facing(StrEnum):
    """The side of the picture that the chest points to.

    Where the trunk lies level, as in the push-up position, the chest points at the
    floor, whatever is said here.
    """

    LEFT = "left"
    RIGHT = "right"

    @property
    def other(self) -> Facing:
        """The opposite side."""
        return Facing.LEFT if self is Facing.RIGHT else Facing.RIGHT


class ArmPoint(StrEnum):
    """Which point the arm's line runs to."""

    ELBOW = "elbow"
    WRIST = "wrist"


@dataclass(frozen=True, slots=True)
class Point:
    """A place on the picture, or a way from one place to another."""

    x: float
    y: float

    def __add__(self, other: Point) -> Point:
        return Point(self.x + other.x, self.y + other.y)

    def __sub__(self, other: Point) -> Point:
        return Point(self.x - other.x, self.y - other.y)

    def scaled(self, factor: float) -> Point:
        """Return the way made longer or shorter."""
        return Point(self.x * factor, self.y * factor)

    def dot(self, other: Point) -> float:
        """Return the scalar product."""
        return self.x * other.x + self.y * other.y

    @property
    def length(self) -> float:
        """Pixels from end to end."""
        return math.hypot(self.x, self.y)


@dataclass(frozen=True, slots=True, kw_only=True)
class Landmarks:
    """What was marked on one picture.

    Raises:
        LandmarkError: a point is missing, is no number, or coincides with another.
    """

    shoulder: Point
    hip: Point
    facing: Facing
    elbow: Point | None = None
    wrist: Point | None = None
    rib: Point | None = None
    ear: Point | None = None
    ear_hidden: bool = False
    """The arm covers the ear."""

    def __post_init__(self) -> None:
        for name, point in self.points().items():
            if not (math.isfinite(point.x) and math.isfinite(point.y)):
                raise LandmarkError(f"the {name} is no point of two finite numbers")
        if self.elbow is None and self.wrist is None:
            raise LandmarkError("neither elbow nor wrist is marked: mark one of them")
        if self.ear is not None and self.ear_hidden:
            raise LandmarkError("the ear is a point and hidden: choose one of them")
        trunk, arm = self.trunk.length, self.arm.length
        if trunk <= COINCIDE * arm:
            raise LandmarkError("shoulder and hip coincide: mark them apart")
        if arm <= COINCIDE * trunk:
            raise LandmarkError(
                f"shoulder and {self.arm_point} coincide: mark them apart"
            )

    @property
    def arm_point(self) -> ArmPoint:
        """Which point the arm's line runs to: the elbow where it is marked."""
        return ArmPoint.WRIST if self.elbow is None else ArmPoint.ELBOW

    @property
    def arm_end(self) -> Point:
        """The point that the arm's line runs to."""
        end = self.wrist if self.elbow is None else self.elbow
        if end is None:
            raise LandmarkError("neither elbow nor wrist is marked: mark one of them")
        return end

    @property
    def arm(self) -> Point:
        """The way from the shoulder to the elbow, or to the wrist without one."""
        return self.arm_end - self.shoulder

    @property
    def trunk(self) -> Point:
        """The way from the shoulder to the hip."""
        return self.hip - self.shoulder

    def points(self) -> dict[str, Point]:
        """Return the points that are marked, by name."""
        named = {
            "elbow": self.elbow,
            "wrist": self.wrist,
            "shoulder": self.shoulder,
            "hip": self.hip,
            "rib": self.rib,
            "ear": self.ear,
        }
        return {name: point for name, point in named.items() if point is not None}

    def check_within(self, width: int, height: int) -> None:
        """Refuse points outside a picture of WIDTH by HEIGHT pixels.

        Raises:
            LandmarkError: one lies outside.
        """
        for name, point in self.points().items():
            if not (0 <= point.x <= width and 0 <= point.y <= height):
                raise LandmarkError(
                    f"the {name} at {point.x:g},{point.y:g} lies outside the photo of"
                    f" {width} × {height} pixels"
                )

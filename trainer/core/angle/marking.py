"""Marking the landmarks on a photo, step by step: a machine without a screen.

A landmark is found by going closer: a key or a click says "here", the view closes in on
that place, and once one dot of the screen is two pixels of the photo or so, the
next "here" sets the landmark. So a landmark is good to a pixel or two of the photo and
not to a cell of the screen, with three "here" for a photo of twelve megapixels.

Every move returns a new state. Undo goes back to what was set before, whatever was
looked at since.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum

from trainer.core.angle.check import Photo
from trainer.core.angle.figures import Figures, front, measure
from trainer.core.angle.landmarks import Facing, LandmarkError, Landmarks, Point

CLOSER = 6.0
"""How much one "here" closes in (our choice: few keys from any start)."""
FINE_SHARE = 1 / 1600
"""Where a dot of the screen is no more than this share of the photo's longer side,
"here" sets the landmark: 2.5 pixels of 4000, and a third of a degree of an arm."""
COARSE_DOTS, FINE_DOTS = 4, 1
"""Dots that an arrow key moves by."""
MARGIN = 0.12
"""Nearer to the view's edge than this share of it, the view goes along."""


class Step(StrEnum):
    """What is asked, in order."""

    FACING = "facing"
    SHOULDER = "shoulder"
    ELBOW = "elbow"
    WRIST = "wrist"
    HIP = "hip"
    RIB = "rib"
    EAR = "ear"
    DONE = "done"


OPTIONAL = frozenset({Step.RIB, Step.EAR})
"""Steps that may be left out."""
_NEXT: Mapping[Step, Step] = {
    Step.FACING: Step.SHOULDER,
    Step.SHOULDER: Step.ELBOW,
    Step.ELBOW: Step.HIP,
    Step.WRIST: Step.HIP,
    Step.HIP: Step.RIB,
    Step.RIB: Step.EAR,
    Step.EAR: Step.DONE,
}
EXPLAINED: Mapping[Step, str] = {
    Step.FACING: "Which side of the photo does the chest point to? Left: ←, right: →",
    Step.SHOULDER: (
        "Shoulder: the middle of the joint, a thumb's breadth under its bony tip."
    ),
    Step.ELBOW: "Elbow: its middle. Not to be seen? Leave it out for the wrist.",
    Step.WRIST: "Wrist: its middle. It counts only where the elbow can't be seen.",
    Step.HIP: "Hip: the bump on its outside, at the top of the thigh bone.",
    Step.RIB: "Rib: the lower edge of the ribs, at the front of the body.",
    Step.EAR: "Ear: its opening; or say that the arm hides it.",
    Step.DONE: "All marked. Keep it, mark it once more unseen, or undo.",
}


@dataclass(frozen=True, slots=True)
class Marked:
    """What came of it: a photo, and its landmarks once for each time it was marked."""

    photo: Photo
    landmarks: tuple[Landmarks, ...]


@dataclass(frozen=True, slots=True)
class View:
    """The part of the photo on the screen, in dots of the same size both ways."""

    width: int
    """Pixels of the photo."""
    height: int
    columns: int
    """Dots of the screen."""
    rows: int
    centre: Point
    px_per_dot: float

    @classmethod
    def whole(cls, width: int, height: int, columns: int, rows: int) -> View:
        """Return the view of a whole photo."""
        scale = max(width / columns, height / rows)
        return cls(width, height, columns, rows, Point(width / 2, height / 2), scale)

    @property
    def left(self) -> float:
        """The photo's x at the view's left edge; negative beside a narrow photo."""
        return self.centre.x - self.columns * self.px_per_dot / 2

    @property
    def top(self) -> float:
        """The photo's y at the view's upper edge."""
        return self.centre.y - self.rows * self.px_per_dot / 2

    @property
    def fine_px(self) -> float:
        """Pixels in a dot that are close enough to set a landmark."""
        return FINE_SHARE * max(self.width, self.height)

    def pixel(self, column: float, row: float) -> Point:
        """Return the place on the photo in the middle of a dot, or at its edge."""
        x = self.left + (column + 0.5) * self.px_per_dot
        y = self.top + (row + 0.5) * self.px_per_dot
        return self.within(Point(x, y))

    def dot(self, point: Point) -> tuple[int, int]:
        """Return the dot that a place on the photo falls on; it may lie outside."""
        return (
            math.floor((point.x - self.left) / self.px_per_dot),
            math.floor((point.y - self.top) / self.px_per_dot),
        )

    def finer(self, times: int) -> View:
        """Return the same view on a screen of so many times more dots each way."""
        return replace(
            self,
            columns=self.columns * times,
            rows=self.rows * times,
            px_per_dot=self.px_per_dot / times,
        )

    def place(self, point: Point) -> tuple[float, float]:
        """Return where a place on the photo lies on the screen, in dots from its
        upper left corner."""
        return (
            (point.x - self.left) / self.px_per_dot,
            (point.y - self.top) / self.px_per_dot,
        )

    def within(self, point: Point) -> Point:
        """Return the place, moved onto the photo."""
        return Point(
            min(max(point.x, 0.0), float(self.width)),
            min(max(point.y, 0.0), float(self.height)),
        )

    def at(self, centre: Point, px_per_dot: float) -> View:
        """Return the view about CENTRE, kept on the photo, no wider than all of it."""
        widest = View.whole(self.width, self.height, self.columns, self.rows).px_per_dot
        scale = min(px_per_dot, widest)
        return replace(
            self,
            centre=Point(
                _kept(centre.x, self.width, self.columns * scale),
                _kept(centre.y, self.height, self.rows * scale),
            ),
            px_per_dot=scale,
        )

    def following(self, point: Point) -> View:
        """Return the view moved so far that POINT isn't at its edge."""
        across, down = self.columns * self.px_per_dot, self.rows * self.px_per_dot
        room = (0.5 - MARGIN) * across, (0.5 - MARGIN) * down
        x = min(max(self.centre.x, point.x - room[0]), point.x + room[0])
        y = min(max(self.centre.y, point.y - room[1]), point.y + room[1])
        return self.at(Point(x, y), self.px_per_dot)


def _kept(centre: float, size: int, seen: float) -> float:
    if seen >= size:
        return size / 2
    return min(max(centre, seen / 2), size - seen / 2)


@dataclass(frozen=True, slots=True)
class Marking:
    """The photo's size, where one looks, and what is set so far."""

    view: View
    cursor: Point
    """On the photo."""
    step: Step = Step.FACING
    facing: Facing | None = None
    placed: Mapping[Step, Point] = field(default_factory=dict)
    ear_hidden: bool = False
    before: Marking | None = field(default=None, repr=False)
    """What undo goes back to."""

    @property
    def done(self) -> bool:
        """Whether nothing more is asked."""
        return self.step is Step.DONE

    @property
    def sets_next(self) -> bool:
        """Whether the next "here" sets the landmark."""
        return self.view.px_per_dot <= self.view.fine_px

    @property
    def landmarks(self) -> Landmarks:
        """What was marked.

        Raises:
            LandmarkError: not enough yet, or nothing that an angle is measured on.
        """
        return self._with(self.placed)

    def figures_now(self) -> Figures | None:
        """Return the figures with the cursor as the landmark asked for; None: none yet.

        So they move while the cursor does.
        """
        placed = dict(self.placed)
        if self.step not in (Step.FACING, Step.DONE):
            placed[self.step] = self.cursor
        try:
            return measure(self._with(placed))
        except LandmarkError:
            return None

    def _with(self, placed: Mapping[Step, Point]) -> Landmarks:
        if Step.SHOULDER not in placed or Step.HIP not in placed:
            raise LandmarkError("shoulder and hip have to be marked")
        return Landmarks(
            shoulder=placed[Step.SHOULDER],
            hip=placed[Step.HIP],
            elbow=placed.get(Step.ELBOW),
            wrist=placed.get(Step.WRIST),
            rib=placed.get(Step.RIB),
            ear=None if self.ear_hidden else placed.get(Step.EAR),
            ear_hidden=self.ear_hidden,
            facing=self.facing or Facing.RIGHT,
        )


def begin(width: int, height: int, columns: int, rows: int) -> Marking:
    """Return the marking of a photo on a screen of so many dots, nothing set.

    Raises:
        ValueError: a size is not positive.
    """
    if min(width, height, columns, rows) < 1:
        raise ValueError(f"no photo of {width} × {height} on {columns} × {rows} dots")
    view = View.whole(width, height, columns, rows)
    return Marking(view, view.centre)


def resized(marking: Marking, columns: int, rows: int) -> Marking:
    """Return the same on a screen of another size, looking at as much of the photo."""
    view = marking.view
    whole = View.whole(view.width, view.height, view.columns, view.rows)
    closeness = view.px_per_dot / whole.px_per_dot
    fresh = View.whole(view.width, view.height, columns, rows)
    before = marking.before and resized(marking.before, columns, rows)
    return replace(
        marking,
        view=fresh.at(view.centre, fresh.px_per_dot * closeness),
        before=before,
    )


def face(marking: Marking, facing: Facing) -> Marking:
    """Answer the first question; later it turns the answer round."""
    if marking.step is not Step.FACING:
        return replace(marking, facing=facing)
    return _on(replace(marking, facing=facing), marking)


def move(marking: Marking, right: int, down: int, *, fine: bool = False) -> Marking:
    """Move the cursor by an arrow key's step; the view goes along at its edge."""
    if marking.done:
        return marking
    by = (FINE_DOTS if fine else COARSE_DOTS) * marking.view.px_per_dot
    moved = marking.view.within(marking.cursor + Point(right * by, down * by))
    return replace(marking, cursor=moved, view=marking.view.following(moved))


def point_at(marking: Marking, column: float, row: float) -> Marking:
    """Move the cursor to a dot of the screen, as the mouse does."""
    if marking.done:
        return marking
    return replace(marking, cursor=marking.view.pixel(column, row))


def here(marking: Marking) -> Marking:
    """Go closer to the cursor, or set the landmark where one is close enough."""
    if marking.step in (Step.FACING, Step.DONE):
        return marking
    return place(marking) if marking.sets_next else closer(marking)


def closer(marking: Marking, factor: float = CLOSER) -> Marking:
    """Look at the cursor's surroundings from so much nearer, or further off under 1."""
    scale = max(marking.view.px_per_dot / factor, marking.view.fine_px / CLOSER)
    return replace(marking, view=marking.view.at(marking.cursor, scale))


def place(marking: Marking) -> Marking:
    """Set the landmark at the cursor."""
    if marking.step in (Step.FACING, Step.DONE):
        return marking
    placed = {**marking.placed, marking.step: marking.cursor}
    return _on(replace(marking, placed=placed), marking)


def leave_out(marking: Marking) -> Marking:
    """Leave the landmark out: the wrist stands in for the elbow, rib and ear may go."""
    if marking.step is Step.ELBOW:
        return _asking(replace(marking, before=marking), Step.WRIST)
    if marking.step in OPTIONAL:
        return _on(marking, marking)
    return marking


def hide_ear(marking: Marking) -> Marking:
    """Say that the arm hides the ear."""
    if marking.step is not Step.EAR:
        return marking
    return _on(replace(marking, ear_hidden=True), marking)


def undo(marking: Marking) -> Marking:
    """Go back to what was asked before, with the whole photo in view.

    The cursor stands where it stood when that was answered.
    """
    before = marking.before
    if before is None:
        return marking
    view = before.view
    whole = View.whole(view.width, view.height, view.columns, view.rows)
    return replace(before, view=whole)


def _on(marking: Marking, before: Marking) -> Marking:
    return _asking(replace(marking, before=before), _NEXT[marking.step])


def _asking(marking: Marking, step: Step) -> Marking:
    """Ask for the next landmark: the whole photo, the cursor where it is likely."""
    view = marking.view
    whole = View.whole(view.width, view.height, view.columns, view.rows)
    asked = replace(marking, step=step, view=whole)
    return replace(asked, cursor=whole.within(_likely(asked)))


def _likely(marking: Marking) -> Point:
    """Return where the next landmark is likely, for an upright person to begin with.

    Proportions are rough (our choice); they only save keys.
    """
    width, height = marking.view.width, marking.view.height
    placed = marking.placed
    shoulder = placed.get(Step.SHOULDER)
    if shoulder is None:
        return Point(0.5 * width, 0.4 * height)
    arm_end = placed.get(Step.ELBOW) or placed.get(Step.WRIST)
    if arm_end is None:
        return shoulder + Point(0.0, -0.14 * height)
    hip = placed.get(Step.HIP)
    if hip is None:
        far = 1.6 if Step.ELBOW in placed else 0.9
        return shoulder + (shoulder - arm_end).scaled(far)
    trunk = hip - shoulder
    try:
        out = front(marking.landmarks)
    except LandmarkError:
        return shoulder + trunk.scaled(0.5)
    if marking.step is Step.RIB:
        return shoulder + trunk.scaled(0.5) + out.scaled(0.12 * trunk.length)
    return shoulder + trunk.scaled(-0.25) + out.scaled(0.05 * trunk.length)

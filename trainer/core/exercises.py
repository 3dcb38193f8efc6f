"""The two ladders, each from easier to harder, and what each exercise loads.

All lengths are our choice and can be set per exercise. Which exercise loads which
site is common practice, with no published source.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from enum import StrEnum
from typing import Any

from trainer.core.model import Site, StoppedBy


class Family(StrEnum):
    """The two positions that are trained."""

    HANG = "hang"
    PRESS = "press"


TEST_RPE, TEST_RPE_HEAD_DOWN = 8.0, 7.0
"""A first-day test is held until one breath is left, with the head down until two are
(our choice)."""
LONGEST_PART_S = 120.0
"""Set-up, go-up lead, allowance and come-out of an own exercise (our choice)."""
SHORTEST_SETUP_S = 4.0
"""Its last seconds lead an exhale, so it can't be shorter."""


def between(low: float, high: float) -> Mapping[str, float]:
    """Return the metadata of a field whose figure goes from LOW to HIGH."""
    return {"low": low, "high": high}


def bounds_of(kind: type[Any]) -> dict[str, tuple[float, float]]:
    """Return the bounds of each figure of a dataclass whose fields say them."""
    return {
        each.name: (each.metadata["low"], each.metadata["high"])
        for each in fields(kind)
        if each.metadata
    }


SHOULDER_SITES = frozenset(
    {
        Site.PECS,
        Site.ARMPIT,
        Site.LATS,
        Site.RIBS,
        Site.TRICEPS,
        Site.FRONT_SHOULDER,
        Site.TOP_SHOULDER,
        Site.BETWEEN_BLADES,
    }
)
_ARM_AND_NECK = frozenset({Site.HAND, Site.WRIST, Site.FOREARM, Site.ELBOW, Site.NECK})
HANG_LOADS = SHOULDER_SITES | _ARM_AND_NECK
PRESS_LOADS = HANG_LOADS | {Site.LOW_BACK}


@dataclass(frozen=True, slots=True, kw_only=True)
class Exercise:
    """One position to hold, with the lengths of what surrounds it."""

    id: str
    name: str
    short_name: str = ""
    """The name where there is little room for it; empty: the name."""
    family: Family | None
    setup_s: float = field(metadata=between(SHORTEST_SETUP_S, LONGEST_PART_S))
    go_up_lead_s: float = field(metadata=between(0, LONGEST_PART_S))
    """Seconds before the hold at which the go-up cue comes."""
    allowance_s: float = field(metadata=between(0, LONGEST_PART_S))
    """Come-down allowance: seconds from letting go to reaching a key."""
    come_out_s: float = field(default=4.0, metadata=between(0, LONGEST_PART_S))
    overhead: bool = True
    """Counts toward overhead time."""
    upside_down: bool = False
    """The head is below the hips: the screen offers to turn itself over."""
    may_stay: bool = True
    """Whether a hold may count on past its target."""
    loads: frozenset[Site] = frozenset()
    how: tuple[str, ...] = ()
    """How to do it, in plain lines (common practice, no source)."""
    instructions: tuple[str, ...] = ()
    """Short lines, one shown for a few breaths, then the next."""
    position_lost: str = ""
    """What ends *kept*, in words for the log."""
    caution: str = ""
    """One line before the exercise."""

    @property
    def test_rpe(self) -> float:
        """The RPE to which a first-day test of it is held."""
        return TEST_RPE_HEAD_DOWN if self.upside_down else TEST_RPE

    @property
    def brief_name(self) -> str:
        """Give the shortest name that it has."""
        return self.short_name or self.name

    @property
    def said_name(self) -> str:
        """What it is called inside a sentence: ``pike press-away``.

        An exercise of somebody's own keeps its letters as they were given.
        """
        name = self.brief_name
        return name[:1].lower() + name[1:] if self.id in BUILT_IN else name


HANG_SUPPORTED = Exercise(
    id="hang-supported",
    name="Supported hang",
    family=Family.HANG,
    setup_s=10,
    go_up_lead_s=3,
    allowance_s=3,
    loads=HANG_LOADS,
    how=(
        "Hands on the bar, arms straight, feet on a box or the floor.",
        "The feet carry what the hands can't; let the rest hang long.",
    ),
    instructions=(
        "Feet take only what they must; let the rest of you grow long.",
        "Empty the lungs until the ribs drop.",
        "Arms straight, neck easy, eyes level.",
    ),
    position_lost="elbows bent, feet took more weight, back arched or ribs popped",
    caution="Check the bar and the floor under it; step down, don't drop.",
)
HANG = Exercise(
    id="hang",
    name="Passive hang",
    family=Family.HANG,
    setup_s=10,
    go_up_lead_s=3,
    allowance_s=3,
    loads=HANG_LOADS,
    how=(
        "Step up to the bar, hands as wide as the shoulders, arms straight.",
        "Take the feet away and hang still; the box stays within reach.",
    ),
    instructions=(
        "Let the weight lengthen you.",
        "Empty the lungs until the ribs drop.",
        "Arms straight, shoulders let go up to the ears.",
    ),
    position_lost="elbows bent, feet took weight, back arched or ribs popped",
    caution="Check the bar and the floor under it; step down, don't drop.",
)
PRESS_PUSHUP = Exercise(
    id="press-pushup",
    name="Press-away, push-up position",
    short_name="Push-up press-away",
    family=Family.PRESS,
    setup_s=8,
    go_up_lead_s=3,
    allowance_s=2,
    overhead=False,
    loads=PRESS_LOADS,
    how=(
        "Hands under the shoulders, legs straight back, elbows straight.",
        "Push the floor away until the shoulder blades come apart.",
    ),
    instructions=(
        "Push the floor away and keep pushing.",
        "Long breath out: ribs in, belly firm.",
        "Elbows straight, one line from head to heels.",
    ),
    position_lost="elbows bent, shoulders sank, belly sagged or hips left the line",
    caution="Stop at a sharp or pinching pain; breathe out, never strain.",
)
PRESS_PIKE = Exercise(
    id="press-pike",
    name="Press-away, pike with feet on a bench",
    short_name="Pike press-away",
    family=Family.PRESS,
    setup_s=12,
    go_up_lead_s=5,
    allowance_s=4,
    upside_down=True,
    loads=PRESS_LOADS,
    how=(
        "Hands on the floor, toes on a bench that stands against a wall.",
        "Walk the hands back until hips and shoulders stand over them.",
    ),
    instructions=(
        "Push the floor away and keep pushing.",
        "Long breath out: let the ribs come in.",
        "Hips over the hands, ears between the arms.",
    ),
    position_lost="elbows bent, shoulders sank, ribs popped or hips left the line",
    caution="Head down: the bench against a wall; come down at any dizziness.",
)
PRESS_WALL = Exercise(
    id="press-wall",
    name="Press-away, chest to the wall",
    short_name="Wall press-away",
    family=Family.PRESS,
    setup_s=20,
    go_up_lead_s=10,
    allowance_s=7,
    come_out_s=8,
    upside_down=True,
    may_stay=False,
    loads=PRESS_LOADS,
    how=(
        "Back to the wall, hands down; walk the feet up and the hands in.",
        "Belly towards the wall, toes on it; walk back out to come down.",
    ),
    instructions=(
        "Push the floor away and keep pushing.",
        "Long breath out: ribs to the wall, belly in.",
        "Grow tall through the shoulders; toes up the wall.",
    ),
    position_lost="elbows bent, shoulders sank, belly sagged or ribs popped",
    caution="Upside down: come down while you still can, walk down unhurried.",
)

_RUNGS = (HANG_SUPPORTED, HANG, PRESS_PUSHUP, PRESS_PIKE, PRESS_WALL)
"""Every built-in exercise; those of a family in order from easier to harder."""

BUILT_IN: Mapping[str, Exercise] = {exercise.id: exercise for exercise in _RUNGS}
LADDERS: Mapping[Family, tuple[str, ...]] = {
    family: tuple(each.id for each in _RUNGS if each.family is family)
    for family in Family
}


def brief_name(exercise_id: str) -> str:
    """Return the short name of a rung; another exercise is called by its id."""
    known = BUILT_IN.get(exercise_id)
    return exercise_id if known is None else known.brief_name


def said_name(exercise_id: str) -> str:
    """Return what a rung is called inside a sentence: ``pike press-away``."""
    known = BUILT_IN.get(exercise_id)
    return exercise_id if known is None else known.said_name


def stop_reasons(family: Family | None) -> tuple[StoppedBy, ...]:
    """Return what can end a hold of FAMILY early: no grip ends a press."""
    no_grip = family is Family.PRESS
    return tuple(why for why in StoppedBy if not (no_grip and why is StoppedBy.GRIP))


def rung_below(exercise_id: str) -> str | None:
    """Give the next easier rung of the same ladder, or None at the bottom."""
    return _neighbour(exercise_id, -1)


def rung_above(exercise_id: str) -> str | None:
    """Give the next harder rung of the same ladder, or None at the top."""
    return _neighbour(exercise_id, +1)


def _neighbour(exercise_id: str, step: int) -> str | None:
    for ladder in LADDERS.values():
        if exercise_id in ladder:
            index = ladder.index(exercise_id) + step
            return ladder[index] if 0 <= index < len(ladder) else None
    return None

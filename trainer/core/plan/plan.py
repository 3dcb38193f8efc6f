"""The plan: which exercises on which days, sets, targets, rests, step and cap.

Start, step and cap of the defaults (20 to 30 s, 5 s more a week, up to 60 s) are
common practice, with no published source.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum

from trainer.core.cues.breathing import Pattern
from trainer.core.exercises import (
    BUILT_IN,
    LADDERS,
    Exercise,
    Family,
    between,
    bounds_of,
)
from trainer.core.model import LONGEST_HOLD_S, EndOfHold

SMALLEST_STEP_S, LARGEST_STEP_S = 0.5, 15.0
SHORTEST_TARGET_S = 1.0
TARGET_BOUNDS_S = (SHORTEST_TARGET_S, LONGEST_HOLD_S)
MOST_SETS = 20
LONGEST_REST_S = 900.0
IN_ORDER = (("floor_s", "cap_s"), ("floor_s", "start_s"), ("start_s", "cap_s"))
"""Of each pair of figures the first is not over the second."""


class Order(StrEnum):
    """In which order a day's sets come."""

    IN_TURN = "in-turn"
    HANG_FIRST = "hang-first"
    PRESS_FIRST = "press-first"


class Grip(StrEnum):
    """What the hands are on in a press."""

    FLOOR = "floor"
    FISTS = "fists"
    HANDLES = "handles"
    WEDGE = "wedge"


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanExercise:
    """One exercise of the plan; its floor, start and cap lie in that order.

    Raises:
        ValueError: a figure is out of bounds or out of order; the message names it.
    """

    exercise: str
    sets: int = field(default=3, metadata=between(1, MOST_SETS))
    start_s: float = field(default=20.0, metadata=between(*TARGET_BOUNDS_S))
    rest_s: float = field(default=60.0, metadata=between(0, LONGEST_REST_S))
    step_s: float = field(
        default=5.0, metadata=between(SMALLEST_STEP_S, LARGEST_STEP_S)
    )
    cap_s: float = field(default=60.0, metadata=between(*TARGET_BOUNDS_S))
    floor_s: float = field(default=10.0, metadata=between(*TARGET_BOUNDS_S))
    end_of_hold: EndOfHold = EndOfHold.STOP
    pattern: Pattern = field(default_factory=Pattern)
    grip: Grip | None = None
    cue: str = ""
    """A coach's cue: shown on Today, shown or spoken once in the hold."""

    def __post_init__(self) -> None:
        for name, (lowest, highest) in ENTRY_BOUNDS.items():
            value = getattr(self, name)
            if not lowest <= value <= highest:
                raise ValueError(
                    f"{name.removesuffix('_s')} is {value:g}: "
                    f"between {lowest:g} and {highest:g}, please"
                )
        for low, high in IN_ORDER:
            said = order_fault(low, getattr(self, low), high, getattr(self, high))
            if said:
                raise ValueError(said)


ENTRY_BOUNDS = bounds_of(PlanExercise)
"""A figure of a line of the plan to the least and the most that it may be."""


def order_fault(low: str, low_s: float, high: str, high_s: float) -> str:
    """Say that the field LOW is over the field HIGH; empty where it isn't."""
    if low_s <= high_s:
        return ""
    low, high = low.removesuffix("_s"), high.removesuffix("_s")
    return f"the {low}, {low_s:g} s, is over the {high}, {high_s:g} s"


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """What somebody means to do each week."""

    days: tuple[int, ...] = (1, 3, 5)
    """ISO weekdays, Monday is 1."""
    order: Order = Order.IN_TURN
    warm_up_s: float = 240.0
    exercises: tuple[PlanExercise, ...] = ()
    top: Mapping[Family, str] = field(
        default_factory=lambda: {Family.HANG: "hang", Family.PRESS: "press-pike"}
    )
    """The hardest rung that may be offered, per family."""
    own: tuple[Exercise, ...] = ()
    """Exercises that the plan file brings along."""
    coach: str = ""
    """Who wrote the plan, where somebody says so."""
    note: str = ""
    """What the coach says about it."""

    def exercise(self, exercise_id: str) -> Exercise:
        """Look an exercise up, own ones first.

        Raises:
            KeyError: there is none of that id.
        """
        for exercise in self.own:
            if exercise.id == exercise_id:
                return exercise
        return BUILT_IN[exercise_id]

    def brief_name(self, exercise_id: str) -> str:
        """Return an exercise's short name; its id where the plan doesn't know it."""
        if exercise_id not in self.known_ids():
            return exercise_id
        return self.exercise(exercise_id).brief_name

    def entry(self, exercise_id: str) -> PlanExercise | None:
        """Give the plan's line for an exercise, or None if it isn't planned."""
        for entry in self.exercises:
            if entry.exercise == exercise_id:
                return entry
        return None

    def known_ids(self) -> tuple[str, ...]:
        """Give every exercise id that can be used."""
        return (*BUILT_IN, *(exercise.id for exercise in self.own))

    def with_entry(self, entry: PlanExercise) -> Plan:
        """Give the plan with ENTRY in place of that exercise's line, or added."""
        if self.entry(entry.exercise) is None:
            return replace(self, exercises=(*self.exercises, entry))
        return replace(
            self,
            exercises=tuple(
                entry if old.exercise == entry.exercise else old
                for old in self.exercises
            ),
        )

    def entries_in_order(self) -> tuple[PlanExercise, ...]:
        """Give the lines with the family that goes first in front."""
        if self.order is Order.IN_TURN:
            return self.exercises
        first = Family.HANG if self.order is Order.HANG_FIRST else Family.PRESS
        return tuple(
            sorted(
                self.exercises,
                key=lambda entry: self.exercise(entry.exercise).family is not first,
            )
        )


def default_entry(exercise_id: str) -> PlanExercise:
    """Give a newcomer's line for an exercise: 3 sets, rest 60 s or 90 s by family."""
    press = exercise_id in LADDERS[Family.PRESS]
    return PlanExercise(exercise=exercise_id, rest_s=90.0 if press else 60.0)


def default_plan(*, hang_was_easy: bool = False, press: str = "press-pushup") -> Plan:
    """Give a newcomer's plan: three days, in turn, one hang and one press."""
    hang = "hang" if hang_was_easy else "hang-supported"
    return Plan(exercises=(default_entry(hang), default_entry(press)))


def rest_after(rest_s: float, target_s: float) -> float:
    """Give the rest after a hold: the plan's figure and at least twice the target."""
    return max(rest_s, 2 * target_s)

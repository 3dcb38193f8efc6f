"""A session's program: the sets in their order, and the warm-up before them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from trainer.core.cues.breathing import DEFAULT, Pattern
from trainer.core.exercises import Exercise, Family
from trainer.core.model import EndOfHold, PlannedSet, SessionKind
from trainer.core.plan.first_day import when_to_come_down
from trainer.core.plan.plan import Grip, Order, PlanExercise, rest_after

STAY_LIMIT = 2.0
"""A ``stay`` ends by itself at this many times the target (our choice)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ProgramSet:
    """One set as it will be led."""

    exercise: Exercise
    set_number: int
    """1 for the first set of its exercise."""
    sets: int
    """How many sets of this exercise there are."""
    target_s: float
    rest_s: float
    """The rest after it, already at least twice the target."""
    pattern: Pattern = DEFAULT
    end_of_hold: EndOfHold = EndOfHold.STOP
    limit_s: float | None = None
    """Where a ``stay`` ends by itself; None for ``stop``."""
    grip: Grip | None = None
    cue: str = ""
    photo: str = ""
    """That a photo for an angle check is due in it, and when; empty: none is."""

    @property
    def longest_s(self) -> float:
        """When the hold ends by itself, in seconds from its start."""
        return self.target_s if self.limit_s is None else self.limit_s


@dataclass(frozen=True, slots=True)
class WarmUpMove:
    """One movement of the warm-up."""

    name: str
    instruction: str
    length_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SessionProgram:
    """All that one session will lead."""

    kind: SessionKind
    sets: tuple[ProgramSet, ...]
    warm_up: tuple[WarmUpMove, ...] = ()
    watches: bool = True
    """Pause where nobody answers anything; off where nobody could (a rehearsal, or
    no terminal to answer on)."""

    @property
    def planned(self) -> tuple[PlannedSet, ...]:
        """What the log keeps of the program."""
        return tuple(
            PlannedSet(s.exercise.id, s.set_number, s.target_s, s.rest_s)
            for s in self.sets
        )

    def says_first(self, planned: ProgramSet) -> str:
        """Return what is said of a set before all else: of a test when it ends, else
        that a photo is due in it and the coach's cue, else nothing."""
        if self.kind is SessionKind.TEST:
            return f"TEST: {when_to_come_down(planned.exercise)}."
        cue = f"Cue: {planned.cue}" if planned.cue else ""
        return " ".join(filter(None, (planned.photo, cue)))


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """One exercise's part of a session, before the sets are put in order."""

    exercise: Exercise
    entry: PlanExercise
    targets_s: tuple[float, ...]
    """One target a set."""
    find_out_limit_s: float | None = None
    """The last set counts on up to here, to find out what is possible."""


def block_sets(block: Block) -> tuple[ProgramSet, ...]:
    """Give a block's sets; ``stay`` only where the exercise allows it."""
    entry, exercise, count = block.entry, block.exercise, len(block.targets_s)
    made = []
    for number, target_s in enumerate(block.targets_s, start=1):
        stays = entry.end_of_hold is EndOfHold.STAY
        limit_s = STAY_LIMIT * target_s
        if block.find_out_limit_s is not None and number == count:
            stays, limit_s = True, block.find_out_limit_s
        stays = stays and exercise.may_stay
        made.append(
            ProgramSet(
                exercise=exercise,
                set_number=number,
                sets=count,
                target_s=target_s,
                rest_s=rest_after(entry.rest_s, target_s),
                pattern=entry.pattern,
                end_of_hold=EndOfHold.STAY if stays else EndOfHold.STOP,
                limit_s=limit_s if stays else None,
                grip=entry.grip,
                cue=entry.cue,
            )
        )
    return tuple(made)


def put_in_order(
    columns: Sequence[tuple[ProgramSet, ...]], order: Order
) -> tuple[ProgramSet, ...]:
    """Put columns of sets, one an exercise, in the plan's order.

    ``in-turn`` gives one set of each column in turn until all are used up; the others
    give whole columns, the named family first.
    """
    if order is Order.IN_TURN:
        rounds = max((len(column) for column in columns), default=0)
        return tuple(
            column[turn]
            for turn in range(rounds)
            for column in columns
            if turn < len(column)
        )
    first = Family.HANG if order is Order.HANG_FIRST else Family.PRESS
    filled = [column for column in columns if column]
    filled.sort(key=lambda column: column[0].exercise.family is not first)
    return tuple(one for column in filled for one in column)


_MOVES = (
    ("Arm circles, forward", "Large and slow, elbows straight.", 2.0),
    ("Arm circles, backward", "Large and slow, elbows straight.", 2.0),
    ("Wrist rocks, fingers forward", "On all fours, rock the weight over.", 2.5),
    ("Wrist rocks, fingers back", "On all fours, rock the weight over.", 2.5),
    (
        "Shrugs, feet down",
        "Hands on the bar or the wall, up to the ears and down.",
        3.0,
    ),
)
"""The movements and their share of the time: common practice, shares our choice."""

EASY_HOLD_S = 10.0
EASY_HOLD_WITH_SETUP_S = 20.0
"""Ten seconds to get in place and an easy ten in it."""


def warm_up(total_s: float, exercises: Sequence[Exercise]) -> tuple[WarmUpMove, ...]:
    """Lay out a warm-up of about TOTAL_S: movements, then an easy try of each hold.

    Args:
        total_s: the plan's warm-up; 0 for none. Under two minutes the easy tries go.
        exercises: what the session holds, each once.
    """
    if total_s <= 0:
        return ()
    tries: list[WarmUpMove] = []
    if total_s >= 120:
        tries = [
            WarmUpMove(
                f"{exercise.name}, an easy {EASY_HOLD_S:.0f} s",
                "Get in place and out of it again, far from your limit.",
                EASY_HOLD_WITH_SETUP_S,
            )
            for exercise in exercises[: int((total_s - 60) // EASY_HOLD_WITH_SETUP_S)]
        ]
    left_s = total_s - sum(move.length_s for move in tries)
    shares = sum(share for _, _, share in _MOVES)
    moves = [
        WarmUpMove(name, how, round(left_s * share / shares))
        for name, how, share in _MOVES
    ]
    return (*moves, *tries)

"""Which exercise stands for each line of the plan after moves along the ladder.

The plan itself is not changed by a move. A target that came with ``from_exercise``
says that its exercise stands in for the one left, until a further move leaves it, or a
person or a coach sets a target on the planned exercise again. A press that comes back
as an easier one for a single session (rule ``away``) is no move, nor is an exercise
that gives way because the head stays up.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from trainer.core.exercises import PRESS_PUSHUP, rung_above
from trainer.core.model import Author, History, TargetSet
from trainer.core.next_week.days import days_of, trained
from trainer.core.next_week.suggestion import Rule
from trainer.core.plan.plan import Plan, PlanExercise, default_entry
from trainer.core.weeks import IsoWeek

TRIAL_SESSIONS = 2
"""So many sessions have the next rung in the first set only (our choice)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Slot:
    """One exercise that next week is asked for."""

    planned: PlanExercise
    """The plan's line that it comes from."""
    entry: PlanExercise
    """The line as it is for the exercise that stands there now."""
    reached_by: TargetSet | None = None
    """The move that led here."""
    trial: bool = False
    """The next rung, in the first set only."""
    beside_trial: bool = False
    """The old rung, which fills the other sets."""
    head_down: PlanExercise | None = None
    """The head-down exercise that gives way, for somebody whose head stays up."""
    gives_way: bool = False
    """It gives way to an exercise that is asked for anyway: nothing is left to do."""


def slots_of(
    history: History, plan: Plan, week: IsoWeek, *, head_up: bool = False
) -> tuple[Slot, ...]:
    """Give the exercises that next week is asked for, in the plan's order.

    With HEAD_UP, for somebody with an eye or blood-pressure caution, whatever is
    head-down gives way to the press-away in the push-up position. That is no move: it
    ends with the caution.
    """
    lines = [
        (planned, _standing(history, plan, planned, week))
        for planned in plan.entries_in_order()
    ]
    if head_up:
        lines = _heads_up(plan, lines)
    found: dict[str, Slot] = {}
    for slot in (slot for _, slots in lines for slot in slots):
        # A line of its own goes before a move that led to the same exercise.
        known = found.get(slot.entry.exercise)
        if known is None or (known.reached_by and not slot.reached_by):
            found[slot.entry.exercise] = slot
    return tuple(found.values())


_Line = tuple[PlanExercise, tuple[Slot, ...]]


def _heads_up(plan: Plan, lines: Sequence[_Line]) -> list[_Line]:
    """Let each line that is head-down give way, the push-up position asked for once."""
    upright = PRESS_PUSHUP.id
    asked_for = any(
        planned.exercise == upright
        or any(slot.entry.exercise == upright for slot in slots)
        for planned, slots in lines
    )
    made: list[_Line] = []
    for planned, slots in lines:
        down = next(
            (s for s in slots if plan.exercise(s.entry.exercise).upside_down), None
        )
        if down is None:
            made.append((planned, slots))
            continue
        own_line = planned.exercise == upright
        gives_way = asked_for and not own_line
        asked_for = True
        entry = down.entry if gives_way else _entry_for(plan, upright, planned)
        slot = Slot(
            planned=planned,
            entry=entry,
            head_down=down.entry,
            gives_way=gives_way,
        )
        made.append((planned, (slot,)))
    return made


def _standing(
    history: History, plan: Plan, planned: PlanExercise, week: IsoWeek
) -> tuple[Slot, ...]:
    current = planned.exercise
    move: TargetSet | None = None
    for target in history.targets:
        if target.week is not None and target.week > week:
            continue
        if target.from_exercise == current != target.exercise:
            if target.rule != Rule.AWAY:
                current, move = target.exercise, target
        elif target.exercise == planned.exercise and target.author in (
            Author.PERSON,
            Author.COACH,
        ):
            current, move = planned.exercise, None
    if move is None:
        return (Slot(planned=planned, entry=planned),)
    entry = _entry_for(plan, current, planned)
    if rung_above(move.from_exercise) != current:
        return (Slot(planned=planned, entry=entry, reached_by=move),)
    since = [
        day
        for day in trained(days_of(history, plan, current))
        if day.date >= move.local_date
    ]
    if len(since) >= TRIAL_SESSIONS:
        return (Slot(planned=planned, entry=entry, reached_by=move),)
    first = Slot(
        planned=planned, entry=replace(entry, sets=1), reached_by=move, trial=True
    )
    if planned.sets == 1:
        return (first,)
    old = replace(_entry_for(plan, move.from_exercise, planned), sets=planned.sets - 1)
    return (first, Slot(planned=planned, entry=old, beside_trial=True))


def _entry_for(plan: Plan, exercise: str, planned: PlanExercise) -> PlanExercise:
    own = plan.entry(exercise)
    if own is not None:
        return own
    return replace(default_entry(exercise), sets=planned.sets, pattern=planned.pattern)

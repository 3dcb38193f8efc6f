"""Phrases of the session screen: figures, places, what comes next, what to do now."""

from __future__ import annotations

import math

from trainer.core.breathing import lay
from trainer.core.program import ProgramSet
from trainer.core.session_state import SessionState

BREATHS_PER_INSTRUCTION = 2
"""Breaths for which one instruction stands before the next (our choice)."""
SECONDS_PER_INSTRUCTION = 10.0
"""The same where no breath is led (our choice)."""
_TINY = 1e-6
LAST_SET = "last set"
"""Stands for what comes next where nothing does."""


def left(seconds: float) -> str:
    """Give whole seconds left: the figure changes with the tick that is heard."""
    return str(max(0, math.ceil(seconds - _TINY)))


def past(seconds: float) -> str:
    """Give whole seconds past, rounded down."""
    return str(max(0, math.floor(seconds + _TINY)))


def seconds_of(value: float) -> str:
    """Give a planned figure of seconds, without a needless fraction."""
    return f"{value:g} s"


def set_of(planned: ProgramSet) -> str:
    """Say which set of its exercise this is."""
    return f"set {planned.set_number} of {planned.sets}"


def place_of(state: SessionState) -> str:
    """Say where in the session a set stands."""
    total = len(state.program.sets)
    both = set_of(state.set)
    if total == state.set.sets:
        return both
    return f"{both} · hold {state.index + 1} of {total}"


def coming_after(state: SessionState) -> str:
    """Say which set comes next."""
    index = state.next_index()
    if index is None:
        return LAST_SET
    planned = state.program.sets[index]
    name = planned.exercise.brief_name
    return f"{name}, {seconds_of(planned.target_s)}, {set_of(planned)}"


def coming_after_rest(state: SessionState) -> str:
    """Say in few words what comes after a hold."""
    index = state.next_index()
    if index is None:
        return LAST_SET
    planned = state.program.sets[index]
    return (
        f"rest {seconds_of(state.set.rest_s)}, then"
        f" {planned.exercise.id} {seconds_of(planned.target_s)}"
    )


def instruction(planned: ProgramSet, elapsed_s: float) -> str:
    """Give the line that stands ELAPSED_S into a hold.

    One line for a few breaths, then the next; a coach's cue comes second, once.
    """
    lines = planned.exercise.instructions
    breaths = lay(planned.target_s, planned.pattern)
    if breaths is None:
        turn = int(elapsed_s // SECONDS_PER_INSTRUCTION)
    else:
        turn = (breaths.at(elapsed_s).number - 1) // BREATHS_PER_INSTRUCTION
    if planned.cue:
        if turn == 1 or not lines:
            return planned.cue
        turn = turn if turn == 0 else turn - 1
    return lines[turn % len(lines)] if lines else ""

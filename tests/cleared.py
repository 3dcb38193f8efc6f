"""A program past the gate, for tests of what comes behind it."""

from __future__ import annotations

from datetime import date

from trainer.core.answers import HEAD_UP, NO, SHOULDER, WALL_UNHURRIED, YES
from trainer.core.safety import Person
from trainer.core.session.clearance import Cleared, ask_gate, cleared
from trainer.core.session.program import SessionProgram

WELL = Person({SHOULDER: NO, HEAD_UP: NO, WALL_UNHURRIED: YES})
"""Somebody for whom nothing speaks against anything."""


def through(program: SessionProgram) -> Cleared:
    """Ask the gate for somebody who is well; a long hold is gone on with anyway."""
    return cleared(ask_gate(program, WELL, on=date(2026, 3, 9)), anyway=True)

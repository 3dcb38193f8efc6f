"""The made-up trainee as most tests want it: on one day, made up once."""

from __future__ import annotations

from datetime import date
from functools import cache

from trainer.demo.trainee import MadeUp, made_up

LAST_DAY = date(2026, 11, 25)
"""A Wednesday."""


@cache
def trainee() -> MadeUp:
    """Give it when it is asked for: nineteen weeks of suggestions take long to make,
    and every worker reads every test's module."""
    return made_up(LAST_DAY)

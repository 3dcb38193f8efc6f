"""Which session was asked for on the command line; both front ends take it.

Apart from ``start``, so that a command's help loads none of the rules.
"""

from __future__ import annotations

from dataclasses import dataclass

FASTEST = 20.0
"""The pace of the fastest rehearsal (our choice)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SessionRequest:
    """What to lead: today's session, or one exercise; for real, or as a rehearsal."""

    exercise: str | None = None
    """Set: this exercise alone, without a warm-up; it sets no target."""
    sets: int | None = None
    target_s: float | None = None
    rest_s: float | None = None
    anyway: bool = False
    """Past the gate too: what it says is kept with the session."""
    rehearse: bool = False
    """Nothing is logged."""
    speed: float = 1.0
    """How many times as fast; only a rehearsal has another pace than 1."""

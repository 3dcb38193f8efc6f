"""Time that nobody watched: the machine slept, or the process was stopped.

Seen from two monotonic clocks, never from the wall clock, which people set: one that
stands still during sleep (its jump between two looks is a stopped process) and one
that counts sleep (its lead over the other is the sleep).
"""

from __future__ import annotations

from dataclasses import dataclass

LONGEST_UNWATCHED_S = 2.0
"""A gap longer than this is not a hold that was watched (our choice)."""


@dataclass(frozen=True, slots=True)
class Watch:
    """The last look at both clocks."""

    seen_s: float
    counted_s: float | None
    """The clock that counts sleep, or None where there is none."""


@dataclass(frozen=True, slots=True)
class Unwatched:
    """A stretch of time that nobody watched."""

    since_s: float
    """The last monotonic moment that was watched."""
    lost_s: float
    """How long it was, sleep included."""
    slept_s: float
    """The part of it that the monotonic clock did not count."""


def look(
    watch: Watch, *, now_s: float, counted_s: float | None
) -> tuple[Watch, Unwatched | None]:
    """Look again; tell whether too long a time went by since the last look."""
    slept_s = 0.0
    if counted_s is not None and watch.counted_s is not None:
        slept_s = max(0.0, (counted_s - watch.counted_s) - (now_s - watch.seen_s))
    lost_s = now_s - watch.seen_s + slept_s
    fresh = Watch(now_s, counted_s)
    if lost_s <= LONGEST_UNWATCHED_S:
        return fresh, None
    return fresh, Unwatched(watch.seen_s, lost_s, slept_s)

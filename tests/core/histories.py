"""Small makers of holds and sessions for the review's tests."""

from __future__ import annotations

from datetime import date, datetime, time, timezone
from typing import Any

from trainer.core.model import EndedBy, Hold, Session, SessionKind


def hold(
    exercise: str = "hang",
    held_s: float = 30.0,
    *,
    day: date = date(2026, 3, 2),
    set_number: int = 1,
    **rest: Any,
) -> Hold:
    """Give a hold that ended at its target unless told otherwise."""
    fields: dict[str, Any] = {
        "uid": f"{exercise}-{day}-{set_number}",
        "exercise": exercise,
        "set_number": set_number,
        "held_s": held_s,
        "target_s": held_s,
        "ended_by": EndedBy.TARGET,
        "started_at": datetime.combine(day, time(17), timezone.utc),
        "confirmed": True,
    }
    return Hold(**(fields | rest))


def session(
    day: date, *holds: Hold, kind: SessionKind = SessionKind.PLAN, **rest: Any
) -> Session:
    """Give a session of a day with these holds, or with one plain hold."""
    fields: dict[str, Any] = {
        "uid": f"s-{day}-{len(holds)}",
        "kind": kind,
        "started_at": datetime.combine(day, time(17), timezone.utc),
        "utc_offset_min": 0,
        "local_date": day,
        "holds": holds or (hold(day=day),),
    }
    return Session(**(fields | rest))

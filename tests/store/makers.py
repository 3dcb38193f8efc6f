"""Makers of sessions and holds for the store's tests."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import uuid4

from trainer.core.clock import ManualClock
from trainer.core.model import EndedBy, Hold, PlannedSet, Session, SessionKind
from trainer.store import Store


@dataclass(frozen=True)
class Makers:
    """Makes sessions and holds on a manual clock."""

    clock: ManualClock

    def session(self, at: datetime | None = None, **rest: Any) -> Session:
        at = at or self.clock.wall()
        offset = at.utcoffset()
        assert offset is not None
        fields: dict[str, Any] = {
            "uid": str(uuid4()),
            "kind": SessionKind.PLAN,
            "started_at": at,
            "utc_offset_min": round(offset.total_seconds() / 60),
            "local_date": at.date(),
            "planned": (PlannedSet("hang", 1, 30.0, 60.0),),
        }
        return Session(**(fields | rest))

    def hold(self, at: datetime | None = None, **rest: Any) -> Hold:
        fields: dict[str, Any] = {
            "uid": str(uuid4()),
            "exercise": "hang",
            "set_number": 1,
            "target_s": 30.0,
            "held_s": 30.0,
            "ended_by": EndedBy.TARGET,
            "started_at": at or self.clock.wall(),
        }
        return Hold(**(fields | rest))

    def logged(self, store: Store, *holds: Hold, **rest: Any) -> Session:
        """Log a session with these holds, and give it."""
        session = self.session(rest.pop("started_at", None), **rest)
        store.begin_session(session)
        for hold in holds:
            store.save_hold(session.uid, hold)
        return session

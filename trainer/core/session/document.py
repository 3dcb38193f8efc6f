"""A session as a document of plain values: the last resort of what can't be written.

The keys are those of ``trainer data export``, so that ``trainer data import`` takes it;
the ids are the session's own, so that what had been written already is there once.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from datetime import datetime, timedelta, timezone

from trainer.core.model import Hold, Session

FORMAT = "overhead-hold-trainer"
VERSION = 3
"""Raised when a reader of the former version would misread the document: from 2 on an
RPE is in breaths left unless its hold says otherwise, from 3 on an angle check says its
pose."""


def session_document(
    session: Session, *, taken_out: Sequence[Hold] = (), changed_at: datetime
) -> dict[str, object]:
    """Give SESSION, with its holds, as an export of just this.

    Args:
        session: what was led, with the holds that count.
        taken_out: those that were written once and don't count any more.
        changed_at: when it was as it is here: what the data file has from before that
            gives way, what was corrected there since doesn't.
    """
    zone = timezone(timedelta(minutes=session.utc_offset_min))
    at = changed_at.astimezone(timezone.utc).isoformat()
    stamps = {"logged_at": at, "updated_at": at}
    return {
        "format": FORMAT,
        "version": VERSION,
        "sessions": [
            {
                "uid": session.uid,
                "kind": session.kind.value,
                "started_at": session.started_at.astimezone(zone).isoformat(),
                "utc_offset_min": session.utc_offset_min,
                "local_date": session.local_date.isoformat(),
                "zone": session.zone,
                "planned": [
                    {
                        "exercise": planned.exercise,
                        "set": planned.set_number,
                        "target_s": planned.target_s,
                        "rest_s": planned.rest_s,
                    }
                    for planned in session.planned
                ],
                "overrides": [asdict(each) for each in session.overrides],
                "holds": [hold_document(hold) | stamps for hold in session.holds],
            }
        ],
        "taken_back": {
            "holds": [
                hold_document(hold)
                | stamps
                | {"session_uid": session.uid, "deleted_at": at}
                for hold in taken_out
            ]
        },
    }


def hold_document(hold: Hold) -> dict[str, object]:
    """Give a hold; enumerations are texts already, as JSON writes them."""
    plain = asdict(hold)
    plain["set"] = plain.pop("set_number")
    plain["started_at"] = hold.started_at.isoformat()
    for pain, sign in zip(plain["pain"], hold.pain, strict=True):
        pain["gone_on"] = sign.gone_on.isoformat() if sign.gone_on else None
    return plain

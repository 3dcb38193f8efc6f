"""The export as one document of plain values, for people and for other machines.

What was taken back is listed apart, under ``taken_back``, so that a reader who knows
nothing of it counts right and another machine still learns of it. ``rest_weeks`` are
plain words; their stamps stand in ``rest_week_rows``.
"""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Callable, Iterable
from datetime import date, timedelta, timezone
from typing import Any

from sqlite_utils import Database

from trainer.core.made_up import MADE_UP_KEY, is_made_up
from trainer.core.plan import default_plan
from trainer.core.plan_codec import plan_to_dict
from trainer.core.rescue import FORMAT, VERSION
from trainer.store.decisions import read_answers, read_plan
from trainer.store.rows import from_utc_text

Plain = dict[str, Any]


def export_document(db: Database, today: date) -> Plain:
    """Give all that is in the data file.

    Args:
        db: the data file, in a transaction.
        today: the local date, for the plan in force.
    """
    sessions, gone_sessions, gone_holds = _sessions(db)
    live: dict[str, list[Plain]] = {}
    taken_back: dict[str, list[Plain]] = {
        "sessions": gone_sessions,
        "holds": gone_holds,
    }
    for key, read in _TABLES.items():
        rows = read(db)
        live[key] = [row for row in rows if not row.get("deleted_at")]
        taken_back[key] = [row for row in rows if row.get("deleted_at")]
    weeks = live.pop("rest_week_rows")
    return {
        "format": FORMAT,
        "version": VERSION,
        **({"made_up": True} if is_made_up(read_answers(db)) else {}),
        "sessions": sessions,
        "angle_checks": live.pop("angle_checks"),
        "rest_weeks": [row["week"] for row in weeks],
        "plan": plan_to_dict(read_plan(db, today) or default_plan()),
        **live,
        "rest_week_rows": weeks,
        "answers": _answers(db),
        "corrections": _corrections(db),
        "taken_back": taken_back,
    }


def _sessions(db: Database) -> tuple[list[Plain], list[Plain], list[Plain]]:
    """Give the sessions, those taken back, and holds taken back out of live ones."""
    planned = _grouped(db, "planned_sets", "session_uid")
    felt = _grouped(db, "hold_felt", "hold_uid")
    pain = _grouped(db, "hold_pain", "hold_uid")
    holds: defaultdict[str, list[Plain]] = defaultdict(list)
    for row in db.query(
        "SELECT * FROM holds ORDER BY started_at, exercise, set_number, uid"
    ):
        holds[row["session_uid"]].append(row)
    live: list[Plain] = []
    gone: list[Plain] = []
    gone_holds: list[Plain] = []
    for row in db.query("SELECT * FROM sessions ORDER BY started_at, uid"):
        offset = row["utc_offset_min"]
        whole = {
            **_without_empty_deletion(row),
            "started_at": _local(row["started_at"], offset),
            "ended_at": _local(row["ended_at"], offset),
            "planned": [_with_set(each) for each in planned[row["uid"]]],
            "holds": [],
        }
        for hold in holds[row["uid"]]:
            said = {"felt": felt[hold["uid"]], "pain": pain[hold["uid"]]}
            plain = _hold(hold, offset) | said
            if hold["deleted_at"] and not row["deleted_at"]:
                gone_holds.append(plain | {"session_uid": row["uid"]})
            else:
                whole["holds"].append(plain)
        (gone if row["deleted_at"] else live).append(whole)
    return live, gone, gone_holds


def _hold(row: Plain, offset_min: int) -> Plain:
    plain = _with_set(_without_empty_deletion(row))
    plain.pop("session_uid")
    return {
        **plain,
        "started_at": _local(row["started_at"], offset_min),
        "confirmed": bool(row["confirmed"]),
        "pain_overridden": bool(row["pain_overridden"]),
    }


def _with_set(row: Plain) -> Plain:
    """Name the set's number as the document does."""
    return {("set" if key == "set_number" else key): row[key] for key in row}


def _without_empty_deletion(row: Plain) -> Plain:
    return {k: v for k, v in row.items() if k != "deleted_at" or v is not None}


def _local(text: str | None, offset_min: int) -> str | None:
    """Give a stored time as the person's clock showed it, with its offset."""
    if text is None:
        return None
    zone = timezone(timedelta(minutes=offset_min))
    return from_utc_text(text).astimezone(zone).isoformat()


def _grouped(db: Database, table: str, owner: str) -> defaultdict[str, list[Plain]]:
    found: defaultdict[str, list[Plain]] = defaultdict(list)
    for row in db.query(f'SELECT * FROM "{table}" ORDER BY "{owner}", position'):
        del row["position"]
        found[row.pop(owner)].append(row)
    return found


def _plain_rows(db: Database, table: str, order: str) -> list[Plain]:
    rows: Iterable[Plain] = db.query(f'SELECT * FROM "{table}" ORDER BY {order}, uid')
    return [_without_empty_deletion(row) for row in rows]


def _plans(db: Database) -> list[Plain]:
    rows = _plain_rows(db, "plans", "valid_from")
    for row in rows:
        row["plan"] = json.loads(row.pop("document"))
    return rows


def _angle_checks(db: Database) -> list[Plain]:
    rows = _plain_rows(db, "angle_checks", "measured_at")
    for row in rows:
        row["landmarks"] = json.loads(row["landmarks"])
        row["measured_at"] = _local(row["measured_at"], row["utc_offset_min"])
    return rows


def _answers(db: Database) -> list[Plain]:
    """Give what was answered once; that the file is made up stands at the head."""
    return list(
        db.query(
            "SELECT key, value, updated_at FROM answers WHERE key <> ? ORDER BY key",
            [MADE_UP_KEY],
        )
    )


def _corrections(db: Database) -> list[Plain]:
    return [
        {
            "uid": row["uid"],
            "hold_uid": row["hold_uid"],
            "what": row["what"],
            "from": json.loads(row["from_json"]),
            "to": json.loads(row["to_json"]),
            "corrected_at": row["corrected_at"],
        }
        for row in db.query("SELECT * FROM corrections ORDER BY corrected_at, uid")
    ]


_TABLES: dict[str, Callable[[Database], list[Plain]]] = {
    "angle_checks": _angle_checks,
    "rest_week_rows": lambda db: _plain_rows(db, "rest_weeks", "week"),
    "plans": _plans,
    "targets": lambda db: _plain_rows(db, "targets", "set_at"),
    "shown_suggestions": lambda db: _plain_rows(db, "shown_suggestions", "shown_at"),
}

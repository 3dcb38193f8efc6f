"""Sessions, holds and the journal: written and read, set-wise, in few queries."""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any, TypeVar
from uuid import uuid4

from trainer.core.logbook import UnfinishedHold, corrections, hold_end
from trainer.core.model import (
    EndedBy,
    Feet,
    Hold,
    Session,
    SessionKind,
)
from trainer.settings.zone import zone_name
from trainer.store.connection import Connection
from trainer.store.rows import (
    FELT_COLUMNS,
    HOLD_COLUMNS,
    OVERRIDE_COLUMNS,
    PAIN_COLUMNS,
    PLANNED_COLUMNS,
    felt_of,
    felt_row,
    from_utc_text,
    hold_of,
    hold_row,
    insert,
    offset_min,
    override_of,
    override_row,
    pain_of,
    pain_row,
    planned_of,
    planned_row,
    put,
    session_of,
    session_row,
    utc_text,
)

_T = TypeVar("_T")
_JOURNALED = frozenset(
    {
        "exercise",
        "set_number",
        "started_at",
        "target_s",
        "held_s",
        "allowance_s",
        "feet",
    }
)


def added_session(at: datetime, hold: Hold) -> Session:
    """Give the session that a hold added by hand begins, at a local time."""
    return Session(
        uid=str(uuid4()),
        kind=SessionKind.ADDED,
        started_at=at,
        utc_offset_min=offset_min(at),
        local_date=at.date(),
        zone=zone_name(at),
        ended_at=hold_end(replace(hold, started_at=at)),
    )


def write_session(db: Connection, session: Session, now: str) -> None:
    """Write a session and what was planned for it; its holds are written alone."""
    put(db, "sessions", session_row(session), now)
    write_planned(db, session)
    write_overrides(db, session)


def write_planned(db: Connection, session: Session) -> None:
    """Write what was planned for a session in place of what stood there."""
    db.execute("DELETE FROM planned_sets WHERE session_uid = ?", [session.uid])
    for position, planned in enumerate(session.planned):
        owner = {"session_uid": session.uid, "position": position}
        insert(db, "planned_sets", owner | planned_row(planned))


def write_overrides(db: Connection, session: Session) -> None:
    """Write what the person went on with anyway in place of what stood there."""
    db.execute("DELETE FROM session_overrides WHERE session_uid = ?", [session.uid])
    for position, override in enumerate(session.overrides):
        owner = {"session_uid": session.uid, "position": position}
        insert(db, "session_overrides", owner | override_row(override))


def write_hold(db: Connection, session_uid: str, hold: Hold, now: str) -> None:
    """Write a hold with what was felt; it is under way no longer."""
    put(db, "holds", {**hold_row(hold), "session_uid": session_uid}, now)
    write_said(db, hold)
    db.execute("DELETE FROM journal WHERE hold_uid = ?", [hold.uid])


def write_said(db: Connection, hold: Hold) -> None:
    """Write what was felt in a hold in place of what stood there."""
    db.execute("DELETE FROM hold_felt WHERE hold_uid = ?", [hold.uid])
    db.execute("DELETE FROM hold_pain WHERE hold_uid = ?", [hold.uid])
    for position, felt in enumerate(hold.felt):
        owner = {"hold_uid": hold.uid, "position": position}
        insert(db, "hold_felt", owner | felt_row(felt))
    for position, pain in enumerate(hold.pain):
        owner = {"hold_uid": hold.uid, "position": position}
        insert(db, "hold_pain", owner | pain_row(pain))


def write_corrections(db: Connection, before: Hold, after: Hold, now: str) -> None:
    """Keep the former figures of a hold that is corrected."""
    for each in corrections(before, after):
        insert(
            db,
            "corrections",
            {
                "uid": str(uuid4()),
                "hold_uid": before.uid,
                "what": each.what,
                "from_json": json.dumps(each.before, ensure_ascii=False),
                "to_json": json.dumps(each.after, ensure_ascii=False),
                "corrected_at": now,
            },
        )


def read_sessions(
    db: Connection, where: str = "", values: Sequence[Any] = ()
) -> tuple[Session, ...]:
    """Read sessions with their holds, in order of time, without those taken back.

    Args:
        db: the data file, in a transaction.
        where: a condition on ``s``, the table of sessions; empty for all.
        values: the values of its question marks.
    """
    live = f"live_sessions s WHERE {where or '1'}"
    mine = f"IN (SELECT s.uid FROM {live})" if where else ""
    planned = _children(
        db,
        f"SELECT session_uid, {PLANNED_COLUMNS} FROM planned_sets"
        + (f" WHERE session_uid {mine}" if mine else "")
        + " ORDER BY session_uid, position",
        values,
        planned_of,
    )
    overrides = _children(
        db,
        f"SELECT session_uid, {OVERRIDE_COLUMNS} FROM session_overrides"
        + (f" WHERE session_uid {mine}" if mine else "")
        + " ORDER BY session_uid, position",
        values,
        override_of,
    )
    holds: defaultdict[str, list[Hold]] = defaultdict(list)
    for session_uid, hold in read_holds(
        db, f"session_uid {mine}" if mine else "", values
    ):
        holds[session_uid].append(hold)
    return tuple(
        session_of(
            row,
            planned=planned.get(row["uid"], ()),
            holds=holds.get(row["uid"], ()),
            overrides=overrides.get(row["uid"], ()),
        )
        for row in db.query(
            f"SELECT s.* FROM {live} ORDER BY s.started_at, s.uid",
            list(values),
        )
    )


def read_holds(
    db: Connection, where: str = "", values: Sequence[Any] = ()
) -> list[tuple[str, Hold]]:
    """Read holds with their session's uid, in order of time, without those taken back.

    Args:
        db: the data file, in a transaction.
        where: a condition on the table of holds; empty for all, those of sessions
            that were taken back among them.
        values: the values of its question marks.
    """
    live = "deleted_at IS NULL" + (f" AND {where}" if where else "")
    mine = f" WHERE hold_uid IN (SELECT uid FROM holds WHERE {live})" if where else ""
    felt = _children(
        db,
        f"SELECT hold_uid, {FELT_COLUMNS} FROM hold_felt{mine}"
        " ORDER BY hold_uid, position",
        values,
        felt_of,
    )
    pain = _children(
        db,
        f"SELECT hold_uid, {PAIN_COLUMNS} FROM hold_pain{mine}"
        " ORDER BY hold_uid, position",
        values,
        pain_of,
    )
    return [
        (
            row[0],
            hold_of(row[1:], felt=felt.get(row[1], ()), pain=pain.get(row[1], ())),
        )
        for row in db.execute(
            f"SELECT session_uid, {HOLD_COLUMNS} FROM holds WHERE {live}"
            " ORDER BY started_at, exercise, set_number, uid",
            list(values),
        )
    ]


def _children(
    db: Connection,
    sql: str,
    values: Sequence[Any],
    read: Callable[[tuple[Any, ...]], _T],
) -> dict[str, list[_T]]:
    """Read the rows of a child table, by the uid of their owner in the first column."""
    found: defaultdict[str, list[_T]] = defaultdict(list)
    for row in db.execute(sql, list(values)):
        found[row[0]].append(read(row[1:]))
    return found


def write_journal(db: Connection, session_uid: str, hold: Hold, now: str) -> None:
    """Note how far the hold under way has come: one row a session."""
    row = hold_row(hold)
    kept = [name for name in row if name in _JOURNALED]
    insert(
        db,
        "journal",
        {
            "session_uid": session_uid,
            "hold_uid": hold.uid,
            **{name: row[name] for name in kept},
            "journaled_at": now,
        },
        "ON CONFLICT (session_uid) DO UPDATE SET hold_uid = excluded.hold_uid, "
        + ", ".join(f"{name} = excluded.{name}" for name in [*kept, "journaled_at"]),
    )


def read_unfinished(db: Connection) -> UnfinishedHold | None:
    """Give the hold that was last under way and never saved, or None."""
    for row in db.query(
        "SELECT j.* FROM journal j JOIN sessions s ON s.uid = j.session_uid"
        " WHERE s.deleted_at IS NULL"
        " AND NOT EXISTS (SELECT 1 FROM holds h WHERE h.uid = j.hold_uid)"
        " ORDER BY j.journaled_at DESC LIMIT 1"
    ):
        hold = Hold(
            uid=row["hold_uid"],
            exercise=row["exercise"],
            set_number=row["set_number"],
            held_s=row["held_s"],
            ended_by=EndedBy.CRASH,
            started_at=from_utc_text(row["started_at"]),
            target_s=row["target_s"],
            allowance_s=row["allowance_s"],
            feet=Feet(row["feet"]) if row["feet"] else None,
        )
        return UnfinishedHold(
            session_uid=row["session_uid"],
            hold=hold,
            journaled_at=from_utc_text(row["journaled_at"]),
        )
    return None


def close_unfinished(db: Connection, unfinished: UnfinishedHold, now: str) -> None:
    """End the session of a hold that was dealt with, and forget all journals."""
    for row in db.query(
        "SELECT ended_at FROM sessions WHERE uid = ?", [unfinished.session_uid]
    ):
        if row["ended_at"] is None:
            ended_at = utc_text(unfinished.journaled_at)
            end_session(db, unfinished.session_uid, ended_at, now)
    forget_journal(db, unfinished.session_uid)


def forget_journal(db: Connection, session_uid: str) -> None:
    """Forget the hold under way in a session."""
    db.execute("DELETE FROM journal WHERE session_uid = ?", [session_uid])


def end_session(db: Connection, uid: str, ended_at: str, now: str) -> None:
    """Write when a session ended; nothing is under way in it any more."""
    for row in db.query("SELECT * FROM sessions WHERE uid = ?", [uid]):
        own = {
            name: value
            for name, value in row.items()
            if name not in ("logged_at", "updated_at", "deleted_at")
        }
        put(db, "sessions", own | {"ended_at": ended_at}, now)
    forget_journal(db, uid)


def read_numbered(db: Connection) -> dict[str, int]:
    """Return each hold's number: counted as they were logged, those gone as well."""
    rows = db.execute("SELECT uid FROM holds ORDER BY logged_at, rowid").fetchall()
    return {uid: number for number, (uid,) in enumerate(rows, start=1)}


def former_hold(db: Connection, uid: str) -> tuple[str, Hold] | None:
    """Give a hold with its session's uid as it stands; None if there is none."""
    found = read_holds(db, "uid = ?", [uid])
    return found[0] if found else None

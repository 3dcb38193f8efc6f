"""Sessions, holds and the journal: written and read, set-wise, in few queries."""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Sequence
from typing import Any
from uuid import uuid4

from sqlite_utils import Database

from trainer.core.logbook import UnfinishedHold, corrections
from trainer.core.model import (
    EndedBy,
    Feet,
    Felt,
    Hold,
    Pain,
    PlannedSet,
    Session,
)
from trainer.store.rows import (
    felt_of,
    felt_row,
    from_utc_text,
    hold_of,
    hold_row,
    pain_of,
    pain_row,
    planned_row,
    session_of,
    session_row,
    utc_text,
)
from trainer.store.write import insert, put

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


def write_session(db: Database, session: Session, now: str) -> None:
    """Write a session and what was planned for it; its holds are written alone."""
    put(db, "sessions", session_row(session), now)
    write_planned(db, session)


def write_planned(db: Database, session: Session) -> None:
    """Write what was planned for a session in place of what stood there."""
    db.execute("DELETE FROM planned_sets WHERE session_uid = ?", [session.uid])
    for position, planned in enumerate(session.planned):
        owner = {"session_uid": session.uid, "position": position}
        insert(db, "planned_sets", owner | planned_row(planned))


def write_hold(db: Database, session_uid: str, hold: Hold, now: str) -> None:
    """Write a hold with what was felt; it is under way no longer."""
    put(db, "holds", {**hold_row(hold), "session_uid": session_uid}, now)
    write_said(db, hold)
    db.execute("DELETE FROM journal WHERE hold_uid = ?", [hold.uid])


def write_said(db: Database, hold: Hold) -> None:
    """Write what was felt in a hold in place of what stood there."""
    db.execute("DELETE FROM hold_felt WHERE hold_uid = ?", [hold.uid])
    db.execute("DELETE FROM hold_pain WHERE hold_uid = ?", [hold.uid])
    for position, felt in enumerate(hold.felt):
        owner = {"hold_uid": hold.uid, "position": position}
        insert(db, "hold_felt", owner | felt_row(felt))
    for position, pain in enumerate(hold.pain):
        owner = {"hold_uid": hold.uid, "position": position}
        insert(db, "hold_pain", owner | pain_row(pain))


def write_corrections(db: Database, before: Hold, after: Hold, now: str) -> None:
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
    db: Database, where: str = "1", values: Sequence[Any] = ()
) -> tuple[Session, ...]:
    """Read sessions with their holds, in order of time, without those taken back.

    Args:
        db: the data file, in a transaction.
        where: a condition on ``s``, the table of sessions.
        values: the values of its question marks.
    """
    live = f"s.deleted_at IS NULL AND ({where})"
    planned: defaultdict[str, list[PlannedSet]] = defaultdict(list)
    for row in db.query(
        "SELECT p.* FROM planned_sets p JOIN sessions s ON s.uid = p.session_uid"
        f" WHERE {live} ORDER BY p.session_uid, p.position",
        list(values),
    ):
        planned[row["session_uid"]].append(
            PlannedSet(
                row["exercise"], row["set_number"], row["target_s"], row["rest_s"]
            )
        )
    holds: defaultdict[str, list[Hold]] = defaultdict(list)
    for session_uid, hold in read_holds(db, live, values):
        holds[session_uid].append(hold)
    return tuple(
        session_of(row, planned=planned[row["uid"]], holds=holds[row["uid"]])
        for row in db.query(
            f"SELECT s.* FROM sessions s WHERE {live} ORDER BY s.started_at, s.uid",
            list(values),
        )
    )


def read_holds(
    db: Database, where: str, values: Sequence[Any] = ()
) -> list[tuple[str, Hold]]:
    """Read holds with their session's uid, in order of time, without those taken back.

    Args:
        db: the data file, in a transaction.
        where: a condition on ``s`` and ``h``, the tables of sessions and holds.
        values: the values of its question marks.
    """
    source = (
        "FROM holds h JOIN sessions s ON s.uid = h.session_uid{child}"
        f" WHERE h.deleted_at IS NULL AND {where}"
    )
    felt: defaultdict[str, list[Felt]] = defaultdict(list)
    for row in db.query(
        "SELECT c.* "
        + source.format(child=" JOIN hold_felt c ON c.hold_uid = h.uid")
        + " ORDER BY c.hold_uid, c.position",
        list(values),
    ):
        felt[row["hold_uid"]].append(felt_of(row))
    pain: defaultdict[str, list[Pain]] = defaultdict(list)
    for row in db.query(
        "SELECT c.* "
        + source.format(child=" JOIN hold_pain c ON c.hold_uid = h.uid")
        + " ORDER BY c.hold_uid, c.position",
        list(values),
    ):
        pain[row["hold_uid"]].append(pain_of(row))
    return [
        (
            row["session_uid"],
            hold_of(row, felt=felt.get(row["uid"], ()), pain=pain.get(row["uid"], ())),
        )
        for row in db.query(
            "SELECT h.* "
            + source.format(child="")
            + " ORDER BY h.started_at, h.exercise, h.set_number, h.uid",
            list(values),
        )
    ]


def write_journal(db: Database, session_uid: str, hold: Hold, now: str) -> None:
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


def read_unfinished(db: Database) -> UnfinishedHold | None:
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


def close_unfinished(db: Database, unfinished: UnfinishedHold, now: str) -> None:
    """End the session of a hold that was dealt with, and forget all journals."""
    for row in db.query(
        "SELECT ended_at FROM sessions WHERE uid = ?", [unfinished.session_uid]
    ):
        if row["ended_at"] is None:
            ended_at = utc_text(unfinished.journaled_at)
            end_session(db, unfinished.session_uid, ended_at, now)
    db.execute("DELETE FROM journal WHERE session_uid = ?", [unfinished.session_uid])


def end_session(db: Database, uid: str, ended_at: str, now: str) -> None:
    """Write when a session ended; nothing is under way in it any more."""
    for row in db.query("SELECT * FROM sessions WHERE uid = ?", [uid]):
        own = {
            name: value
            for name, value in row.items()
            if name not in ("logged_at", "updated_at", "deleted_at")
        }
        put(db, "sessions", own | {"ended_at": ended_at}, now)
    db.execute("DELETE FROM journal WHERE session_uid = ?", [uid])


def former_hold(db: Database, uid: str) -> tuple[str, Hold] | None:
    """Give a hold with its session's uid as it stands; None if there is none."""
    found = read_holds(db, "h.uid = ?", [uid])
    return found[0] if found else None

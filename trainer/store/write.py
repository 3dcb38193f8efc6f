"""The few ways in which a row is changed, with its stamps kept right."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import timedelta
from typing import Any

from sqlite_utils import Database

from trainer.store.rows import from_utc_text, utc_text


def stamp(db: Database, table: str, uid: str, now: str) -> str:
    """Give the ``updated_at`` of a change: now, but always after the former one.

    Wall clocks are set back at times, and where two files are merged the later change
    has to win.
    """
    found = db.execute(
        f'SELECT updated_at FROM "{table}" WHERE uid = ?', [uid]
    ).fetchone()
    return now if found is None else later_than(found[0], now)


def later_than(former: str, now: str) -> str:
    """Give NOW, or where that isn't later than FORMER, the moment after FORMER."""
    if former < now:
        return now
    return utc_text(from_utc_text(former) + timedelta(microseconds=1))


def put(db: Database, table: str, row: Mapping[str, Any], now: str) -> None:
    """Write a row, new or changed; whether it was taken back stays as it is."""
    stamped = {
        **row,
        "logged_at": now,
        "updated_at": stamp(db, table, row["uid"], now),
    }
    changed = [name for name in stamped if name not in ("uid", "logged_at")]
    insert(
        db,
        table,
        stamped,
        "ON CONFLICT (uid) DO UPDATE SET "
        + ", ".join(f'"{name}" = excluded."{name}"' for name in changed),
    )


def insert(
    db: Database, table: str, row: Mapping[str, Any], on_conflict: str = ""
) -> None:
    """Insert a row as it is."""
    columns = ", ".join(f'"{name}"' for name in row)
    marks = ", ".join("?" for _ in row)
    db.execute(
        f'INSERT INTO "{table}" ({columns}) VALUES ({marks}) {on_conflict}',
        list(row.values()),
    )


def set_deleted(db: Database, table: str, uid: str, now: str, *, deleted: bool) -> bool:
    """Take a row back, or put it back; False if there is none to change."""
    cursor = db.execute(
        f'UPDATE "{table}" SET deleted_at = ?, updated_at = ?'
        " WHERE uid = ? AND (deleted_at IS NULL) = ?",
        [now if deleted else None, stamp(db, table, uid, now), uid, int(deleted)],
    )
    return cursor.rowcount > 0

"""Reading out of a damaged data file what can be read.

Row by row, into a fresh file of our own tables in memory: what those tables refuse is
damage too. The damaged file is copied first and never touched.
"""

from __future__ import annotations

import shutil
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import closing, suppress
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from trainer.errors import DataError
from trainer.store.care import faults
from trainer.store.care.trust import beside
from trainer.store.connection import Connection, connect
from trainer.store.document import export_document
from trainer.store.rows import insert
from trainer.store.schema import make_views, migrate

Row = dict[str, Any]
_NOT_TAKEN = ("journal", "seal", "_sqlite_migrations")
_OWNERS = (
    ("planned_sets", "session_uid"),
    ("session_overrides", "session_uid"),
    ("hold_felt", "hold_uid"),
    ("hold_pain", "hold_uid"),
)
"""Tables without a row number: they are read owner by owner."""
LAST_ROW = 1 << 22
"""No table has rows beyond this one, where it can't say itself (our choice)."""

MOST_FAILURES = 20_000
"""Tries that fail after which a table is given up: its first page is gone (our choice).
"""


@dataclass(frozen=True, slots=True)
class Salvaged:
    """What could be read."""

    document: dict[str, Any]
    """As ``trainer data import`` takes it."""
    sessions: int
    holds: int
    unread: int
    """Rows that are there and can't be read, or that can't be true."""


def salvage(path: Path, *, today: date) -> Salvaged:
    """Read out of the data file PATH what can be read; it is left as it is.

    Raises:
        DataError: there is no such file, or nothing in it can be read.
    """
    if not path.is_file():
        raise faults.absent(path)
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder) / "copy.db"
        with faults.plain_faults(path):
            for ending in ("", "-wal", "-journal"):
                if beside(path, ending).exists():
                    shutil.copy(beside(path, ending), beside(copy, ending))
        with closing(connect(copy.as_uri())) as damaged:
            return _Salvage(damaged, path).run(today)


class _Salvage:
    def __init__(self, damaged: Connection, path: Path) -> None:
        self.damaged, self.path = damaged, path
        damaged.row_factory = sqlite3.Row
        self.fresh = connect(":memory:")
        migrate(self.fresh)
        make_views(self.fresh)
        self.fresh.execute("PRAGMA foreign_keys = OFF")
        self.unread = 0
        self._read_on_past_its_schema()

    def _read_on_past_its_schema(self) -> None:
        """Let what is damaged in the schema be left out, and the rest be read.

        Otherwise SQLite takes no statement at all, on no table (sqlite.org/pragma.html,
        writable_schema): one bit in the text of one view would cost every hold.
        """
        try:
            self.damaged.execute("SELECT 1 FROM sqlite_master LIMIT 1")
        except sqlite3.DatabaseError:
            self.damaged.execute("PRAGMA writable_schema = ON")
            self.unread += 1

    def run(self, today: date) -> Salvaged:
        """Take over every table, and export what came of it."""
        children = {table for table, _ in _OWNERS}
        tables = [
            name
            for (name,) in self.fresh.execute(
                "SELECT name FROM sqlite_master WHERE type = 'table'"
            )
            if name not in _NOT_TAKEN and name not in children
        ]
        for table in tables:
            self._take(table, self._rows(table))
        self._adopt()
        for table, owner in _OWNERS:
            self._take(table, self._rows_of_owners(table, owner))
        self._drop_what_has_no_owner()
        with closing(self.fresh):
            document = export_document(self.fresh, today)
        live = document["sessions"]
        holds = sum(len(session["holds"]) for session in live)
        if not holds and not live:
            raise DataError(
                f"Nothing in {self.path} can be read any more",
                "Go back to a copy: trainer data restore",
            )
        return Salvaged(document, len(live), holds, self.unread)

    def _rows(self, table: str) -> Iterator[Row]:
        """Read a table in halves: around a damaged page everything else is there."""
        last = LAST_ROW
        with suppress(sqlite3.DatabaseError):
            found = self.damaged.execute(f'SELECT max(rowid) FROM "{table}"').fetchone()
            last = found[0] or 0
        ranges, failed = [(1, last)], 0
        while ranges and failed < MOST_FAILURES:
            low, high = ranges.pop()
            if low > high:
                continue
            try:
                rows = self.damaged.execute(
                    f'SELECT * FROM "{table}" WHERE rowid BETWEEN ? AND ?', [low, high]
                ).fetchall()
            except sqlite3.DatabaseError as fault:
                if _is_not_there(fault):
                    return
                failed += 1
                if low == high:
                    self.unread += 1
                else:
                    middle = (low + high) // 2
                    ranges += [(middle + 1, high), (low, middle)]
                continue
            yield from map(dict, rows)

    def _rows_of_owners(self, table: str, owner: str) -> Iterator[Row]:
        of = "sessions" if owner == "session_uid" else "holds"
        for (uid,) in self.fresh.execute(f"SELECT uid FROM {of}").fetchall():
            try:
                rows = self.damaged.execute(
                    f'SELECT * FROM "{table}" WHERE {owner} = ? ORDER BY position',
                    [uid],
                ).fetchall()
            except sqlite3.DatabaseError as fault:
                if _is_not_there(fault):
                    return
                self.unread += 1
                continue
            yield from map(dict, rows)

    def _take(self, table: str, rows: Iterator[Row]) -> None:
        columns = {row[1] for row in self.fresh.execute(f"PRAGMA table_info({table})")}
        for row in rows:
            known = {name: value for name, value in row.items() if name in columns}
            try:
                insert(self.fresh, table, known)
            except (sqlite3.Error, ValueError):
                self.unread += 1

    def _adopt(self) -> None:
        """Give a session to holds whose own can't be read."""
        orphans = self.fresh.query(
            "SELECT session_uid, min(started_at) AS started_at, min(logged_at) AS at"
            " FROM holds WHERE session_uid NOT IN (SELECT uid FROM sessions)"
            " GROUP BY session_uid"
        )
        for row in list(orphans):
            insert(
                self.fresh,
                "sessions",
                {
                    "uid": row["session_uid"],
                    "kind": "added",
                    "started_at": row["started_at"],
                    "utc_offset_min": 0,
                    "local_date": row["started_at"][:10],
                    "note": "read out of a damaged file",
                    "logged_at": row["at"],
                    "updated_at": row["at"],
                },
            )

    def _drop_what_has_no_owner(self) -> None:
        """Leave out corrections of what is gone: no import would take them."""
        for table, owner, of in (
            ("corrections", "hold_uid", "holds"),
            ("angle_corrections", "check_uid", "angle_checks"),
        ):
            gone = self.fresh.execute(
                f"DELETE FROM {table} WHERE {owner} NOT IN (SELECT uid FROM {of})"
            )
            self.unread += gone.rowcount


def _is_not_there(fault: sqlite3.DatabaseError) -> bool:
    """Tell whether no row of a table will be read, so that trying on finds nothing.

    The file's head can't be read; or there is no such table: the file was made by an
    older version, or that part of its schema is damaged.
    """
    return fault.sqlite_errorcode in (sqlite3.SQLITE_NOTADB, sqlite3.SQLITE_ERROR)

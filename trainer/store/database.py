"""Opening the data file: where it lies, its settings, its migrations, its writers.

Everything that changes the file goes through ``DataFile.writing``, which takes the
write lock at once and so waits for another writer. A transaction that reads first and
writes later fails instantly where somebody else wrote in between, whatever the
timeout says.
"""

from __future__ import annotations

import os
import sqlite3
import threading
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from datetime import datetime
from pathlib import Path

from sqlite_utils import Database

from trainer.errors import DataError, DataWriteError
from trainer.store import faults
from trainer.store.backups import BackupKind, daily_is_due, make_backup
from trainer.store.faults import plain_faults
from trainer.store.schema import APPLICATION_ID, has_our_views, make_views, migrations

OPEN_WAIT_S = 3.0
"""How long opening waits for another program (our choice)."""
WRITE_WAIT_S = 0.5
"""How long a write waits, so that a screen never stands still for long (our choice)."""
OLDEST_SQLITE = (3, 38, 0)
"""STRICT tables came with 3.37, JSON functions in every build with 3.38
(https://sqlite.org/changes.html)."""
_MAGIC = b"SQLite format 3\x00"
"""The first bytes of every database (https://sqlite.org/fileformat2.html)."""


class DataFile:
    """One opened data file. May be used from several threads, one at a time."""

    def __init__(self, db: Database, path: Path, *, read_only: bool) -> None:
        self.db = db
        self.path = path
        self.read_only = read_only
        self.notices: list[str] = []
        """What went wrong beside the point, in sentences for people."""
        self._guard = threading.RLock()

    @contextmanager
    def writing(self) -> Iterator[Database]:
        """Run a block as one write: all of it is on the disk afterwards, or nothing.

        Raises:
            DataError: the file can't be written; see ``plain_faults``.
        """
        if self.read_only:
            raise DataWriteError(f"The data file {self.path} is open for reading only")
        with self._guard, plain_faults(self.path), transaction(self.db):
            yield self.db

    @contextmanager
    def reading(self) -> Iterator[Database]:
        """Run a block of queries that all see the same state.

        Raises:
            DataError: the file can't be read; see ``plain_faults``.
        """
        with self._guard, plain_faults(self.path):
            self.db.execute("BEGIN")
            try:
                yield self.db
            finally:
                if self.db.conn.in_transaction:
                    self.db.rollback()

    def close(self) -> None:
        """Close the file; the last one to do so tidies up SQLite's side files."""
        with self._guard:
            self.db.close()


@contextmanager
def transaction(db: Database) -> Iterator[None]:
    """Take the write lock, then commit, or undo everything on any error."""
    db.execute("BEGIN IMMEDIATE")
    try:
        yield
        db.commit()
    except BaseException:
        if db.conn.in_transaction:
            db.rollback()
        raise


def open_file(
    path: Path, now: datetime, *, read_only: bool, may_be_older: bool = False
) -> DataFile:
    """Open the data file PATH, making and migrating it where needed.

    Args:
        path: the file.
        now: the local time, for the names of backups.
        read_only: refuse to make, migrate or change it.
        may_be_older: with read_only, open a file that would have to be migrated.

    Raises:
        DataError: newer, damaged, not ours, locked, or not writable.
    """
    if sqlite3.sqlite_version_info < OLDEST_SQLITE:
        raise DataError(
            f"This Python brings SQLite {sqlite3.sqlite_version}, which is too old",
            "Use a Python with SQLite 3.38 or later",
        )
    with plain_faults(path):
        _prepare(path, read_only=read_only)
        _look_before_touching(path)
        db = _connect(path, _options(path, read_only=read_only), wait_s=OPEN_WAIT_S)
        try:
            opened = DataFile(db, path, read_only=read_only)
            _refuse_strangers(db, path)
            if not read_only:
                _bring_up_to_date(opened, now)
            elif migrations.pending(db) and not may_be_older:
                raise faults.older(path)
            db.execute(f"PRAGMA busy_timeout = {WRITE_WAIT_S * 1000:.0f}")
            db.execute("PRAGMA foreign_keys = ON")
        except BaseException:
            db.close()
            raise
    return opened


def _prepare(path: Path, *, read_only: bool) -> None:
    """Make folder and file, for the owner only, and look at the first bytes."""
    if not path.exists():
        if read_only:
            raise faults.absent(path)
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        with suppress(FileExistsError):
            os.close(os.open(path, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o600))
    if not (path.is_file() or path.is_dir()):
        # A device or a pipe: a read might wait for ever, and its mode is not ours.
        raise faults.not_a_database(path)
    with path.open("rb") as file:
        head = file.read(len(_MAGIC))
    if head and head != _MAGIC:
        raise faults.not_a_database(path)
    if read_only and not head:
        raise faults.absent(path)
    if not read_only and path.stat().st_mode & 0o077:
        with suppress(OSError):
            path.chmod(0o600)


def _connect(path: Path, options: str, *, wait_s: float) -> Database:
    """Open a connection with the options of SQLite's file addresses."""
    connection = sqlite3.connect(
        f"{path.absolute().as_uri()}?{options}",
        uri=True,
        timeout=wait_s,
        check_same_thread=False,
    )
    # Plugins are other people's code that any installed package can bring along.
    db = Database(connection, strict=True, execute_plugins=False)
    db.execute("PRAGMA synchronous = FULL")
    # Off until the file is migrated: tables are remade then, their rows for a moment
    # without owners.
    db.execute("PRAGMA foreign_keys = OFF")
    return db


def _is_alone(path: Path) -> bool:
    """Tell whether nothing lies beside the file that belongs to its content."""
    sides = (path.with_name(path.name + side) for side in ("-wal", "-journal"))
    return not any(side.exists() and side.stat().st_size for side in sides)


def _options(path: Path, *, read_only: bool) -> str:
    if not read_only:
        return "mode=rw"
    if os.access(path.parent, os.W_OK) or not _is_alone(path):
        return "mode=ro"
    # Where SQLite can't put its side files, nobody else can be writing either.
    return "mode=ro&immutable=1"


def _look_before_touching(path: Path) -> None:
    """Refuse what isn't ours without changing a byte or leaving a file beside it."""
    options = "mode=ro&immutable=1" if _is_alone(path) else "mode=ro"
    # Somebody who writes just now can make this look see a file in pieces. Real damage
    # shows again on opening.
    with suppress(sqlite3.DatabaseError):
        db = _connect(path, options, wait_s=0)
        with closing(db):
            _refuse_strangers(db, path)


def _refuse_strangers(db: Database, path: Path) -> None:
    applied = {migration.name for migration in migrations.applied(db)}
    with closing(Database(memory=True, execute_plugins=False)) as nothing:
        known = {migration.name for migration in migrations.pending(nothing)}
    if applied - known:
        raise faults.newer(path)
    application_id = db.execute("PRAGMA application_id").fetchone()[0]
    is_empty = not db.execute("SELECT 1 FROM sqlite_master LIMIT 1").fetchone()
    if not is_empty and not applied and application_id != APPLICATION_ID:
        raise faults.foreign(path)


def _bring_up_to_date(opened: DataFile, now: datetime) -> None:
    db, path = opened.db, opened.path
    if migrations.pending(db):
        # Another process may be doing the same: under the write lock, look again.
        with transaction(db):
            _refuse_strangers(db, path)
            if migrations.applied(db) and migrations.pending(db):
                make_backup(path, BackupKind.MIGRATION, now)
            migrations.apply(db)
            make_views(db)
            broken = db.execute("PRAGMA foreign_key_check").fetchone()
            if broken is not None:
                raise faults.damaged(path, f"a row of {broken[0]} has lost its owner")
    elif daily_is_due(path, now):
        _daily_backup(opened, now)
    if not has_our_views(db):
        with transaction(db):
            make_views(db)
    _prefer_wal(db)


def _daily_backup(opened: DataFile, now: datetime) -> None:
    """Copy the file once a day; a damaged one must not push good copies out."""
    found = opened.db.execute("PRAGMA quick_check(1)").fetchone()[0]
    if found != "ok":
        raise faults.damaged(opened.path, found)
    try:
        make_backup(opened.path, BackupKind.DAILY, now)
    except (OSError, sqlite3.Error) as error:
        opened.notices.append(f"Today's backup of {opened.path} failed ({error}).")


def _prefer_wal(db: Database) -> None:
    """Let readers and a writer work at once, where the file system can do that."""
    db.execute("PRAGMA busy_timeout = 0")
    # Somebody else is just opening it: whoever comes next sets the mode.
    with suppress(sqlite3.OperationalError):
        db.enable_wal()

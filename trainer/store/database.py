"""Opening the data file: where it lies, its settings, its migrations, its writers.

Everything that changes the file goes through ``DataFile.writing``, which takes the
write lock at once and so waits for another writer. A transaction that reads first and
writes later fails instantly where somebody else wrote in between, whatever the
timeout says.
"""

from __future__ import annotations

import errno
import os
import sqlite3
import threading
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from datetime import datetime
from enum import Enum, Flag, auto
from pathlib import Path

from trainer.errors import DataError, DataGoneError, DataWriteError
from trainer.store import schema
from trainer.store.care import faults, trust
from trainer.store.care.backups import BackupKind, daily_is_due, make_backup, tidy
from trainer.store.care.faults import plain_faults
from trainer.store.connection import Connection, connect
from trainer.store.schema import APPLICATION_ID, has_our_views, make_views

OPEN_WAIT_S = 3.0
"""How long opening waits for another program (our choice)."""
WRITE_WAIT_S = 0.5
"""How long a write waits, so that a screen never stands still for long (our choice)."""
OLDEST_SQLITE = (3, 38, 0)
"""STRICT tables came with 3.37, JSON functions in every build with 3.38
(https://sqlite.org/changes.html)."""


class MayBe(Flag):
    """What a file may be and is opened all the same, for reading."""

    OLDER = auto()
    """Of an older version: it would have to be migrated."""
    DAMAGED = auto()
    """Damaged: what can be read is read, and what can't is the reader's to meet."""


class _State(Enum):
    """What waits in SQLite's log to be brought into the file."""

    WRITTEN = auto()
    QUIET = auto()
    """Something, and nothing came since the last look."""
    SETTLED = auto()


class DataFile:
    """One opened data file. May be used from several threads, one at a time."""

    def __init__(
        self, db: Connection, opened: trust.OpenedFile, *, read_only: bool
    ) -> None:
        self.db = db
        self.path = opened.path
        self.read_only = read_only
        self.notices: list[str] = []
        """What went wrong beside the point, in sentences for people."""
        self._opened = opened
        self._gone: DataGoneError | None = None
        self._state = _State.SETTLED
        self._guard = threading.RLock()

    @contextmanager
    def writing(self, *, counts: bool = True) -> Iterator[Connection]:
        """Run a block as one write: all of it is on the disk afterwards, or nothing.

        Inside another such block it is a part of that one.

        Args:
            counts: False for what the next second makes worthless: it isn't sealed.

        Raises:
            DataError: the file can't be written; see ``plain_faults``.
            DataGoneError: it is no longer the one that was opened.
        """
        if self.read_only:
            raise DataWriteError(f"The data file {self.path} is open for reading only")
        with self._guard:
            self.look()
            with plain_faults(self.path):
                if self.db.in_transaction:
                    yield self.db
                    return
                with transaction(self.db):
                    yield self.db
                    if counts:
                        trust.write_seal(self.db)
            self._state = _State.WRITTEN
            self.look()  # what went into another file is written nowhere

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """Run a block of queries that all see the same state.

        Raises:
            DataError: the file can't be read; see ``plain_faults``.
        """
        with self._guard, plain_faults(self.path):
            if self._gone is not None:
                raise self._gone
            if self.db.in_transaction:
                yield self.db
                return
            self.db.execute("BEGIN")
            try:
                yield self.db
            finally:
                if self.db.in_transaction:
                    self.db.rollback()

    def look(self) -> None:
        """Make sure that the file on the path is the one that is open.

        One that isn't is never touched again.

        Raises:
            DataGoneError: it was moved, deleted, replaced, overwritten or cut off.
        """
        with self._guard:
            if self._gone is not None:
                raise self._gone
            if self.read_only:
                return
            try:
                self._opened.look()
            except DataGoneError as error:
                self._gone = error
                self._step_aside()
                raise

    def look_after(self) -> None:
        """Look at the file, and when nothing was written since the last time, empty
        SQLite's log into it, so that the file alone is whole.

        To be called now and then while the file is open. Whoever copies it, a
        folder-syncing program say, has all that was logged; and no log is left that
        would be played into another file put in its place. Where somebody reads just
        now, the next time does it.

        Raises:
            DataGoneError: see ``look``.
        """
        with self._guard:
            self.look()
            if self._state is _State.WRITTEN:
                self._state = _State.QUIET
            elif self._state is _State.QUIET:
                with suppress(sqlite3.Error):
                    if self._empty_log():
                        self._state = _State.SETTLED
                        trust.keep_sum(self._opened)

    def close(self) -> None:
        """Close the file; the last one to do so tidies up SQLite's side files."""
        with self._guard:
            self.db.close()
            if not self.read_only and self._gone is None and is_alone(self.path):
                trust.keep_sum(self._opened)
            self._opened.close()

    def _empty_log(self) -> bool:
        self.db.execute("PRAGMA busy_timeout = 0")
        try:
            waiting, _, _ = self.db.execute(
                "PRAGMA wal_checkpoint(TRUNCATE)"
            ).fetchone()
        finally:
            self.db.execute(f"PRAGMA busy_timeout = {WRITE_WAIT_S * 1000:.0f}")
        return not waiting

    def _step_aside(self) -> None:
        """Leave nothing that could be taken for the file that lies there now.

        SQLite knows its log by its name alone: beside another file it would be played
        into that. It goes into the file that it belongs to, wherever that is now.
        """
        with suppress(sqlite3.Error, OSError):
            self._empty_log() if self._opened.is_intact() else self._opened.drop_log()
        with suppress(sqlite3.Error):
            self.db.close()


@contextmanager
def transaction(db: Connection) -> Iterator[None]:
    """Take the write lock, then commit, or undo everything on any error."""
    db.execute("BEGIN IMMEDIATE")
    try:
        yield
        db.commit()
    except BaseException:
        if db.in_transaction:
            db.rollback()
        raise


def open_file(
    path: Path, now: datetime, *, read_only: bool, may_be: MayBe | None = None
) -> DataFile:
    """Open the data file PATH, making and migrating it where needed.

    Args:
        path: the file.
        now: the local time, for the names of backups.
        read_only: refuse to make, migrate or change it.
        may_be: with read_only, what it may be and is opened all the same.

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
        opened = trust.OpenedFile(path)
        try:
            return _open_ours(
                opened, now, read_only=read_only, may_be=may_be or MayBe(0)
            )
        except BaseException:
            opened.close()
            raise


def _open_ours(
    opened: trust.OpenedFile, now: datetime, *, read_only: bool, may_be: MayBe
) -> DataFile:
    """Connect to what was opened; let go of the connection if that comes to nothing."""
    path = opened.path
    _refuse_other_kinds(opened, read_only=read_only)
    _look_before_touching(path)
    changed = not is_alone(path) or trust.sum_differs(opened)
    db = _connect(path, _options(path, read_only=read_only), wait_s=OPEN_WAIT_S)
    try:
        file = DataFile(db, opened, read_only=read_only)
        _refuse_strangers(db, path)
        if MayBe.DAMAGED not in may_be:
            _look_it_over(file, changed=changed)
        if not read_only:
            _bring_up_to_date(file, now)
        elif schema.pending(db) and MayBe.OLDER not in may_be:
            raise faults.older(path)
        db.execute(f"PRAGMA busy_timeout = {WRITE_WAIT_S * 1000:.0f}")
        db.execute("PRAGMA foreign_keys = ON")
        opened.learn(db)
    except BaseException:
        db.close()
        raise
    return file


def _prepare(path: Path, *, read_only: bool) -> None:
    """Make folder and file, for the owner only, and look at the first bytes."""
    if not path.exists():
        if path.is_symlink():
            raise faults.dangling(path)
        if read_only:
            raise faults.absent(path)
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        with suppress(FileExistsError):
            os.close(os.open(path, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o600))
    if path.is_dir():
        raise IsADirectoryError(errno.EISDIR, "it is a folder", str(path))
    if not path.is_file():
        # A device or a pipe: a read might wait for ever, and its mode is not ours.
        raise faults.not_a_database(path)
    if not read_only:
        # SQLite makes its journals with the mode of the file; older ones keep theirs.
        for ours in (path, *_sides(path)):
            with suppress(OSError):
                if ours.stat().st_mode & 0o077:
                    ours.chmod(0o600)


def _refuse_other_kinds(opened: trust.OpenedFile, *, read_only: bool) -> None:
    """Refuse what isn't a database, or is one without anything of ours in it."""
    size, header = opened.size(), opened.header()
    if size and header is None:
        raise faults.not_a_database(opened.path)
    if read_only and not size:
        raise faults.absent(opened.path)


def _look_it_over(file: DataFile, *, changed: bool) -> None:
    """Say damage before anything rests on the file.

    Sum and seal are cheap, and no verdict: they ask for SQLite's own check.
    """
    db, path = file.db, file.path
    seal = None
    with suppress(sqlite3.OperationalError):  # a file from before there was a seal
        seal = trust.read_seal(db)
    broken = seal is not None and seal.broken
    if not (changed or broken) or not _has_tables(db):
        return
    found = trust.quick_check(db)
    if found != "ok":
        raise faults.damaged(path, found)
    if seal is not None and broken:
        file.notices.append(faults.other_rows(path, seal.holds_then, seal.holds_now))


def _has_tables(db: Connection) -> bool:
    return db.execute("SELECT 1 FROM sqlite_master LIMIT 1").fetchone() is not None


def _connect(path: Path, options: str, *, wait_s: float) -> Connection:
    """Open a connection with the options of SQLite's file addresses."""
    db = connect(f"{path.absolute().as_uri()}?{options}", wait_s=wait_s)
    try:
        db.execute("PRAGMA synchronous = FULL")
        # macOS alone: there a plain fsync leaves it to the drive when it writes
        # (https://sqlite.org/pragma.html#pragma_fullfsync).
        db.execute("PRAGMA fullfsync = ON")
        # Off until the file is migrated: tables are remade then, their rows for a
        # moment without owners.
        db.execute("PRAGMA foreign_keys = OFF")
    except BaseException:
        # Left to the garbage collector it would hold on to what lies beside the file.
        db.close()
        raise
    return db


def is_alone(path: Path) -> bool:
    """Tell whether nothing lies beside the file that belongs to its content."""
    return not any(side.exists() and side.stat().st_size for side in _sides(path))


def _sides(path: Path) -> tuple[Path, ...]:
    return tuple(trust.beside(path, ending) for ending in ("-wal", "-journal"))


def _options(path: Path, *, read_only: bool) -> str:
    if not read_only:
        return "mode=rw"
    if os.access(path.parent, os.W_OK) or not is_alone(path):
        return "mode=ro"
    # Where SQLite can't put its side files, nobody else can be writing either.
    return "mode=ro&immutable=1"


def _look_before_touching(path: Path) -> None:
    """Refuse what isn't ours without changing a byte or leaving a file beside it."""
    options = "mode=ro&immutable=1" if is_alone(path) else "mode=ro"
    # Somebody who writes just now can make this look see a file in pieces. Real damage
    # shows again on opening.
    with suppress(sqlite3.DatabaseError):
        db = _connect(path, options, wait_s=0)
        with closing(db):
            if _has_tables(db):
                _refuse_strangers(db, path)


def _refuse_strangers(db: Connection, path: Path) -> None:
    # Looked at first: somebody may be making the file just now.
    has_bytes = path.stat().st_size > 0
    applied = schema.applied(db)
    if applied - {migration.__name__ for migration in schema.MIGRATIONS}:
        raise faults.newer(path)
    application_id = db.execute("PRAGMA application_id").fetchone()[0]
    # Also one without tables: it may be another program's, just made.
    if has_bytes and not applied and application_id != APPLICATION_ID:
        raise faults.foreign(path)


def _bring_up_to_date(file: DataFile, now: datetime) -> None:
    db, path = file.db, file.path
    if schema.pending(db):
        # Another process may be doing the same: under the write lock, look again.
        with transaction(db):
            _refuse_strangers(db, path)
            if schema.applied(db) and schema.pending(db):
                make_backup(path, BackupKind.MIGRATION, now)
            schema.migrate(db)
            make_views(db)
            broken = db.execute("PRAGMA foreign_key_check").fetchone()
            if broken is not None:
                raise faults.damaged(path, f"a row of {broken[0]} has lost its owner")
            trust.write_seal(db)
    elif daily_is_due(path, now):
        _daily_backup(file, now)
    if not has_our_views(db):
        with transaction(db):
            make_views(db)
    _prefer_wal(db)
    tidy(path)


def _daily_backup(file: DataFile, now: datetime) -> None:
    """Copy the file once a day; a damaged one must not push good copies out."""
    found = trust.quick_check(file.db)
    if found != "ok":
        raise faults.damaged(file.path, found)
    try:
        make_backup(file.path, BackupKind.DAILY, now)
    except (OSError, sqlite3.Error) as error:
        reason = getattr(error, "strerror", None) or error
        file.notices.append(f"Today's backup of {file.path} failed ({reason}).")


def _prefer_wal(db: Connection) -> None:
    """Let readers and a writer work at once, where the file system can do that."""
    db.execute("PRAGMA busy_timeout = 0")
    # Somebody else is just opening it: whoever comes next sets the mode.
    with suppress(sqlite3.OperationalError):
        db.execute("PRAGMA journal_mode = WAL")

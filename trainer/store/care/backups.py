"""Copies of the data file: made through SQLite, whole, and kept in a folder beside it.

A copy is a single file in rollback mode, readable by its owner only. Seven daily ones
and five from before migrations are kept, those that were asked for are never deleted.
"""

from __future__ import annotations

import os
import sqlite3
import sys
from contextlib import closing, suppress
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from pathlib import Path

from trainer.store.connection import COPYING_WAIT_S, connect

_SECOND = "%Y-%m-%d-%H%M%S"
DAILY_KEPT = 7
MIGRATION_KEPT = 5


class BackupKind(StrEnum):
    """Why a copy was made."""

    DAILY = "daily"
    MIGRATION = "migration"
    IMPORT = "import"
    RESTORE = "restore"
    ASKED = "asked"


_KEPT = {
    BackupKind.DAILY: DAILY_KEPT,
    BackupKind.MIGRATION: MIGRATION_KEPT,
    BackupKind.IMPORT: MIGRATION_KEPT,
    BackupKind.RESTORE: MIGRATION_KEPT,
}


@dataclass(frozen=True, slots=True)
class Backup:
    """One copy of the data file."""

    path: Path
    kind: BackupKind
    name: str
    """The date, or the date and time, of the copy."""
    size_bytes: int


def folder_of(path: Path) -> Path:
    """Give the folder in which the copies of the data file PATH are kept."""
    return path.parent / f"{path.name}-backups"


def list_backups(path: Path) -> list[Backup]:
    """List the copies of the data file PATH, the latest first."""
    found = []
    for kind in BackupKind:
        for each in folder_of(path).glob(f"{kind.value}-*.db"):
            name = each.stem.removeprefix(kind.value + "-")
            found.append(Backup(each, kind, name, each.stat().st_size))
    return sorted(found, key=lambda each: each.name.replace("-", ""), reverse=True)


@dataclass(frozen=True, slots=True)
class GoodCopy:
    """A copy that SQLite finds whole, and what is in it."""

    copy: Backup
    holds: int
    last_day: str
    """The local date of its latest session; empty: it has none."""


def last_good(path: Path) -> GoodCopy | None:
    """Give the latest copy of the data file PATH that is whole, or None."""
    for copy in list_backups(path):
        address = copy.path.absolute().as_uri() + "?mode=ro&immutable=1"
        with suppress(sqlite3.Error), closing(connect(address)) as db:
            if db.execute("PRAGMA quick_check(1)").fetchone()[0] != "ok":
                continue
            holds = db.execute("SELECT count(*) FROM holds").fetchone()[0]
            last = db.execute("SELECT max(local_date) FROM sessions").fetchone()[0]
            return GoodCopy(copy, holds, last or "")
    return None


def daily_is_due(path: Path, now: datetime) -> bool:
    """Tell whether no copy of NOW's day has been made."""
    return not _named(path, BackupKind.DAILY, now).exists()


def make_backup(path: Path, kind: BackupKind, now: datetime) -> Path:
    """Copy the data file PATH into its folder of copies and drop the oldest ones.

    Raises:
        sqlite3.Error: the file can't be read.
        OSError: the copy can't be written.
    """
    target = name_for(path, kind, now)
    copy_database(path, target)
    kept = _KEPT.get(kind)
    if kept is not None:
        of_kind = [each for each in list_backups(path) if each.kind is kind]
        # A clock that was wrong once must not push out what a right one names.
        today = now.strftime(_SECOND)
        for dated in (
            [each for each in of_kind if each.name <= today],
            [each for each in of_kind if each.name > today],
        ):
            for each in dated[kept:]:
                each.path.unlink(missing_ok=True)
    return target


def name_for(path: Path, kind: BackupKind, now: datetime) -> Path:
    """Give a name for a copy of the data file PATH, and make the folder.

    Raises:
        OSError: it can't be made.
    """
    target = free_name(_named(path, kind, now))
    target.parent.mkdir(mode=0o700, exist_ok=True)
    return target


def free_name(wanted: Path) -> Path:
    """Give a name that nothing has, the wanted one if it is free: no copy is lost to
    another one made within the same second."""
    free, number = wanted, 1
    while os.path.lexists(free):
        number += 1
        free = wanted.with_name(f"{wanted.stem}-{number}{wanted.suffix}")
    return free


def tidy(path: Path) -> None:
    """Take away what a copying that was broken off has left behind."""
    left = [*folder_of(path).glob("*.part"), *path.parent.glob(f"{path.name}.*.part")]
    for part in left:
        # NAME.process.part; the sides that SQLite keeps of it go with it.
        if not _is_running(part.suffixes[-2].lstrip(".")):
            for ending in ("", "-journal", "-wal", "-shm"):
                with suppress(OSError):
                    part.with_name(part.name + ending).unlink(missing_ok=True)


def _is_running(process: str) -> bool:
    """Tell whether there may be such a process: it may still be copying."""
    if not process.isdecimal():
        return False
    if sys.platform == "win32":
        return True  # asking there would end it
    try:
        os.kill(int(process), 0)
    except ProcessLookupError:
        return False
    except (OSError, OverflowError):
        return True
    return True


def copy_database(source: Path, target: Path) -> None:
    """Copy a database as it stands, in one piece, while others use it.

    The copy appears under its name only when it is complete and on the disk.

    Raises:
        sqlite3.Error: the source can't be read.
        OSError: the copy can't be written.
    """
    part = target.with_name(f"{target.name}.{os.getpid()}.part")
    try:
        _make_empty(part, called=target)
        read_only = source.absolute().as_uri() + "?mode=ro"
        with (
            closing(connect(read_only, wait_s=COPYING_WAIT_S)) as original,
            closing(connect(part.absolute().as_uri())) as copy,
        ):
            # With a read already begun the copying itself is never told to wait, which
            # it would do for ever.
            original.execute("BEGIN")
            original.execute("SELECT count(*) FROM sqlite_master").fetchone()
            original.backup(copy)
            copy.execute("PRAGMA journal_mode = DELETE")
        _sync(part)
        os.replace(part, target)
    finally:
        with suppress(OSError):
            part.unlink(missing_ok=True)


def _make_empty(part: Path, *, called: Path) -> None:
    """Make the file that is filled, for its owner alone.

    Raises:
        OSError: it can't be made; named as it would have been called in the end.
    """
    try:
        part.unlink(missing_ok=True)
        os.close(os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600))
    except OSError as error:
        error.filename = str(called)
        raise


def _sync(path: Path) -> None:
    descriptor = os.open(path, os.O_RDWR)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)


def _named(path: Path, kind: BackupKind, now: datetime) -> Path:
    form = "%Y-%m-%d" if kind is BackupKind.DAILY else _SECOND
    return folder_of(path) / f"{kind.value}-{now.strftime(form)}.db"

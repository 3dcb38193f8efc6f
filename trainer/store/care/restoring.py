"""Going back to a copy of the data file, without losing the present one."""

from __future__ import annotations

import os
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

from trainer.core.clock import Clock
from trainer.errors import DataBusyError, DataError
from trainer.store.care import faults
from trainer.store.care.backups import (
    BackupKind,
    copy_database,
    folder_of,
    free_name,
    list_backups,
    make_backup,
)
from trainer.store.care.lock import FileLock
from trainer.store.care.trust import HEADER_BYTES, read_header
from trainer.store.connection import COPYING_WAIT_S, connect
from trainer.store.database import MayBe, open_file
from trainer.store.schema import APPLICATION_ID
from trainer.store.store import lock_path

_SIDES = ("-wal", "-shm", "-journal")
"""What SQLite keeps beside a data file."""


def restore(path: Path, backup: Path, *, clock: Clock) -> Path | None:
    """Put a copy in the place of the data file PATH; the present one is copied first.

    Gives where the present file was kept; None if there was none. A damaged one is
    kept as it is, byte by byte.

    Raises:
        DataBusyError: another program is using the file.
        DataError: the copy is damaged, newer or none of ours; nothing was changed.
    """
    _check_copy(backup, clock)
    _refuse_strangers(path)
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    lock = FileLock(lock_path(path))
    with faults.plain_faults(path):
        if not lock.take():
            raise _in_use(path)
        # Named as a part of a copy, so that what a kill leaves is tidied away.
        fresh = path.with_name(f"{path.name}.restored.{os.getpid()}.part")
        try:
            copy_database(backup, fresh)
            kept = _keep_present(path, clock)
            for side in _SIDES:
                path.with_name(path.name + side).unlink(missing_ok=True)
            os.replace(fresh, path)
        finally:
            fresh.unlink(missing_ok=True)
            lock.release()
    return kept


def _check_copy(backup: Path, clock: Clock) -> None:
    if not backup.is_file():
        raise DataError(
            f"There is no backup {backup}", "List them with: trainer data restore"
        )
    with faults.plain_faults(backup):
        address = backup.absolute().as_uri() + "?mode=ro"
        with closing(connect(address, wait_s=COPYING_WAIT_S)) as copy:
            found = copy.execute("PRAGMA integrity_check(1)").fetchone()[0]
    if found != "ok":
        raise DataError(f"The backup {backup} is damaged ({found})", "Choose another")
    open_file(backup, clock.wall(), read_only=True, may_be=MayBe.OLDER).close()


def _refuse_strangers(path: Path) -> None:
    """Refuse to put a copy in the place of what isn't ours.

    One too damaged to be known again is known by its folder of copies.
    """
    if not os.path.lexists(path):
        return
    if not path.is_file():
        raise faults.not_a_database(path)
    with faults.plain_faults(path), path.open("rb") as present:
        head = present.read(HEADER_BYTES)
    header = read_header(head)
    ours = not head or (header is not None and header.application_id == APPLICATION_ID)
    if not ours and not list_backups(path):
        raise faults.not_to_replace(path)


def _keep_present(path: Path, clock: Clock) -> Path | None:
    if not path.exists():
        return None
    now = clock.wall()
    try:
        _close_to_others(path)
        return make_backup(path, BackupKind.RESTORE, now)
    except sqlite3.Error:
        kept = folder_of(path) / f"damaged-{now.strftime('%Y-%m-%d-%H%M%S')}.db"
        kept = free_name(kept)
        kept.parent.mkdir(mode=0o700, exist_ok=True)
        for side in ("", *_SIDES):
            present = path.with_name(path.name + side)
            if present.exists():
                shutil.copy2(present, kept.with_name(kept.name + side))
        return kept


def _close_to_others(path: Path) -> None:
    """Bring what SQLite keeps beside the file into it; refuse while others have it.

    Leaving write-ahead mode is only granted to the one connection that is left.
    """
    with closing(connect(path.absolute().as_uri(), wait_s=1.0)) as present:
        try:
            present.execute("PRAGMA journal_mode = DELETE")
        except sqlite3.OperationalError as error:
            if error.sqlite_errorcode & 0xFF == sqlite3.SQLITE_BUSY:
                raise _in_use(path) from None
            raise


def _in_use(path: Path) -> DataBusyError:
    return DataBusyError(
        f"Another program has the data file {path} open",
        "Close it there, then try again",
    )

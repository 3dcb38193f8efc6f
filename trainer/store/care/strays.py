"""A log that a crash has left beside the data file, and whether it is the file's own.

SQLite knows its log by its name alone (https://sqlite.org/howtocorrupt.html, 1.4):
after a crash it is played into whatever lies there by the name of the file. Where a
folder-syncing program, or a person with a copy, has put another state of the file there
meanwhile, that state would be gone without a word. So a log that may not be the file's
own is looked at on copies, the file with it and without it, before anything touches
either.
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path

from trainer.store.care import trust
from trainer.store.connection import connect
from trainer.store.schema import APPLICATION_ID

LOOKS = 5
LOOK_EVERY_S = 0.05
"""How often copies may be in pieces before the file is: another program may be writing
just now (our choice)."""


def is_suspect(path: Path) -> bool:
    """Tell whether a log lies beside the data file PATH that may not be its own.

    A log that a crash leaves was written after the file, and the file's bytes are as
    this program left them. Where one of the two isn't so, the log is suspect, no more.
    """
    log = trust.beside(path, "-wal")
    if not _has_bytes(log) or not _has_bytes(path):
        return False
    opened = trust.OpenedFile(path)
    try:
        header = opened.header()
        if header is None or header.application_id != APPLICATION_ID:
            return False  # none of ours: it is refused, whatever lies beside it
        with suppress(FileNotFoundError):  # closed just now, by whoever had it open
            if opened.changed_at_ns() > log.stat().st_mtime_ns:
                return True
        return trust.sum_path(path).exists() and trust.sum_differs(opened)
    finally:
        opened.close()


@contextmanager
def copied(path: Path) -> Iterator[tuple[Path, Path]]:
    """Copy the data file twice for a while: alone, and with the log beside it.

    Raises:
        OSError: it can't be read, or there is no room for copies.
    """
    # Seldom needed, and long to load.
    import shutil
    from tempfile import TemporaryDirectory

    with TemporaryDirectory() as folder:
        alone, both = Path(folder, "alone.db"), Path(folder, "both.db")
        opened = trust.OpenedFile(path)
        try:
            opened.copy_to(alone)
        finally:
            opened.close()
        shutil.copyfile(alone, both)
        shutil.copyfile(trust.beside(path, "-wal"), trust.beside(both, "-wal"))
        yield alone, both


def is_whole(copy: Path) -> bool:
    """Tell whether a copy is a state that this program has left: whole, and sealed."""
    with (
        suppress(sqlite3.DatabaseError),
        closing(connect(copy.as_uri())) as db,
    ):
        if trust.quick_check(db) != "ok":
            return False
        tables = db.execute("SELECT count(*) FROM sqlite_master").fetchone()[0]
        seal = None
        with suppress(sqlite3.OperationalError):  # from before there was a seal
            seal = trust.read_seal(db)
        return tables > 0 and not (seal is not None and seal.broken)
    return False


def _has_bytes(path: Path) -> bool:
    return path.is_file() and path.stat().st_size > 0


def real_path(path: Path) -> Path:
    """Give the file that a link stands for: its log, its lock and its copies lie beside
    that, whatever name it is opened by. A link to nothing stays one."""
    if os.path.islink(path) and os.path.exists(path):
        return Path(os.path.realpath(path))
    return path

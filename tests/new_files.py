"""New data files for tests that are about something else.

To make one takes twenty milliseconds, most of it SQLite reading all the tables anew for
each column that a migration adds. So one is made in each process of the tests, by the
program itself, and copied. Tests of what opening makes (copies, migrations, what lies
beside a file) open a path with nothing on it.
"""

from __future__ import annotations

import itertools
import tempfile
from functools import cache
from pathlib import Path

from trainer.core.clock import Clock, ManualClock
from trainer.store import Store, open_store
from trainer.store.care import trust
from trainer.store.care.backups import BackupKind, name_for

_FILE_ID = slice(60, 64)
"""Where the header has the ``user_version`` (https://sqlite.org/fileformat2.html)."""
_ids = itertools.count(1)


@cache
def _made() -> bytes:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "trainer.db"
        open_store(path, clock=ManualClock()).close()
        return path.read_bytes()


def lay_new_file(path: Path, clock: Clock) -> None:
    """Put a data file without a row on PATH, as if it was made earlier in CLOCK's day.

    The day's copy and the sum lie beside it; its id is its own, as that of any file.

    Raises:
        FileExistsError: there is one.
    """
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    made = bytearray(_made())
    made[_FILE_ID] = next(_ids).to_bytes(4, "big")
    for each in (path, name_for(path, BackupKind.DAILY, clock.wall())):
        each.touch(mode=0o600, exist_ok=False)
        each.write_bytes(made)
    opened = trust.OpenedFile(path)
    trust.keep_sum(opened)
    opened.close()


def new_store(path: Path, clock: Clock) -> Store:
    """Open a data file without a row, laid on PATH."""
    lay_new_file(path, clock)
    return open_store(path, clock=clock)

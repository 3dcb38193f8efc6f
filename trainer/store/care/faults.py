"""What SQLite and the file system say, in words for people."""

from __future__ import annotations

import errno
import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from trainer.errors import (
    DataBusyError,
    DataDamagedError,
    DataError,
    DataGoneError,
    DataWriteError,
    TrainerError,
)
from trainer.store.connection import connect

_READ_ONLY = "Make the folder and the file writable, or choose another with --db FILE"


@contextmanager
def plain_faults(path: Path) -> Iterator[None]:
    """Turn every fault of the data file PATH into one clear sentence.

    Raises:
        DataError: damaged, or no data file of ours.
        DataBusyError: another program is writing for longer than we wait.
        DataWriteError: the disk is full, or it can't be written.
    """
    try:
        yield
    except (sqlite3.ProgrammingError, sqlite3.InterfaceError):
        raise  # a defect of ours, not a fault of the file
    except sqlite3.Error as error:
        raise _from_sqlite(error, path) from error
    except OSError as error:
        raise _from_system(error, path) from error


def _from_sqlite(error: sqlite3.Error, path: Path) -> TrainerError:
    code = getattr(error, "sqlite_errorcode", 0) & 0xFF
    if code in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
        return DataBusyError(
            f"The data file {path} is being written by another program",
            "Wait a moment or close the other program, then try again",
        )
    if code == sqlite3.SQLITE_FULL:
        return DataWriteError(
            f"The disk is full: the data file {path} can't grow", "Free some space"
        )
    if code in (sqlite3.SQLITE_READONLY, sqlite3.SQLITE_PERM, sqlite3.SQLITE_AUTH):
        return DataWriteError(f"The data file {path} can't be written", _READ_ONLY)
    if code == sqlite3.SQLITE_CANTOPEN:
        return DataWriteError(f"The data file {path} can't be opened", _READ_ONLY)
    if code == sqlite3.SQLITE_IOERR:
        return DataWriteError(
            f"The disk refused to read or write the data file {path}",
            "Check the disk and its free space, then run: trainer data check",
        )
    if code == sqlite3.SQLITE_NOTADB:
        return not_a_database(path)
    if code == sqlite3.SQLITE_CONSTRAINT:
        return DataError(
            f"The data file {path} refused a value as impossible ({error})",
            "Nothing was changed; correct the value and try again",
        )
    return damaged(path, str(error))


def _from_system(error: OSError, path: Path) -> TrainerError:
    if error.errno in (errno.ENOSPC, errno.EDQUOT, errno.EFBIG):
        return DataWriteError(
            f"The disk is full: {error.filename or path} can't be written",
            "Free some space",
        )
    reason = error.strerror or type(error).__name__
    named = Path(error.filename or path)
    if not named.absolute().is_relative_to(path.parent.absolute()):  # a copy elsewhere
        return DataWriteError(
            f"{named} can't be written ({reason})",
            "Choose another place, or make that one writable",
        )
    in_the_way = error.errno in (errno.EISDIR, errno.ENOTDIR, errno.EEXIST)
    return DataWriteError(
        f"{named} can't be used for the data ({reason})",
        "Name another file with --db FILE" if in_the_way else _READ_ONLY,
    )


def damaged(path: Path, detail: str) -> DataDamagedError:
    """Make the error for a file whose content can't be trusted.

    It names the last good copy, with what that lacks.
    """
    return DataDamagedError(
        f"The data file {path} is damaged ({detail}), and was left as it is",
        f"{_last_good_copy(path)} Read out what can be read: trainer data salvage FILE",
    )


def _last_good_copy(path: Path) -> str:
    from trainer.store.care.backups import last_good

    found = last_good(path)
    if found is None:
        return "There is no good copy of it."
    upto = f" up to {found.last_day}" if found.last_day else ""
    holds = "1 hold" if found.holds == 1 else f"{found.holds} holds"
    counted = _counted(path)
    lacks = "" if counted is None else f"; {counted} were in the file when last written"
    return (
        f"The last good copy has {holds}{upto}{lacks}. Go back to it, with"
        f" the damaged file kept beside it: trainer data restore {found.copy.name}."
    )


def _counted(path: Path) -> int | None:
    """Give how many holds the damaged file had, if it still says so."""
    address = path.absolute().as_uri() + "?mode=ro&immutable=1"
    try:
        with closing(connect(address)) as file:
            found = file.execute("SELECT holds FROM seal").fetchone()
    except sqlite3.Error:
        return None
    return None if found is None else int(found[0])


def other_rows(path: Path, then: int, now: int) -> str:
    """Say that the rows are others than trainer left, though the file is whole."""
    counts = (
        f"{now} holds where trainer left {then}" if then != now else "other figures"
    )
    return (
        f"The data file {path} was changed by another program, or lost rows: it has"
        f" {counts}. Compare it with a copy: trainer data restore."
    )


def gone(path: Path, what: str) -> DataGoneError:
    """Make the error for a file that is no longer the one that was opened."""
    return DataGoneError(
        f"The data file {path} {what} while it was open, and was left as it is",
        "Start trainer again to go on with what lies there now",
    )


def not_a_database(path: Path) -> DataError:
    """Make the error for a file that SQLite can't read at all."""
    return DataError(
        f"{path} is no SQLite file, or its beginning is damaged",
        "Name another file with --db FILE, or go back to a backup with:"
        " trainer data restore",
    )


def foreign(path: Path) -> DataError:
    """Make the error for the database of another program."""
    return DataError(
        f"{path} is a database, but not one of this program",
        "It was left as it is; name another file with --db FILE",
    )


def not_to_replace(path: Path) -> DataError:
    """Make the error for a restore into the place of what isn't ours."""
    return DataError(
        f"{path} is no data file of this program, and was left as it is",
        "Move it away yourself, or name another file with --db FILE",
    )


def stray_log(path: Path) -> DataDamagedError:
    """Make the error for a log beside the file that belongs to another state of it."""
    return DataDamagedError(
        f"Beside the data file {path} a crash has left a log ({path.name}-wal) that"
        " isn't its own: the file was replaced since; neither was touched",
        "Move the log to another folder and try again; what was logged last before the"
        " crash may be in it alone",
    )


def dangling(path: Path) -> DataError:
    """Make the error for a link in the file's place that leads nowhere."""
    return DataError(
        f"{path} is a link to {os.readlink(path)}, which isn't there",
        "Bring that file back (is its disk there?), or name another with --db FILE",
    )


def newer(path: Path) -> DataError:
    """Make the error for a file that a newer version has changed."""
    return DataError(
        f"The data file {path} was made by a newer version of trainer",
        "It was left as it is; update trainer, or name another file with --db FILE",
    )


def older(path: Path) -> DataError:
    """Make the error for a file that would have to be changed to be read."""
    return DataError(
        f"The data file {path} is from an older version and only open for reading",
        "Open it once with: trainer data check",
    )


def absent(path: Path) -> DataError:
    """Make the error for a file that isn't there and must not be made."""
    return DataError(f"There is no data file {path} yet", "Log a hold first")

"""What every data file needs, whatever is in it: lock, check, copies, exchange.

What is seldom asked for is imported when it is: each command waits for less.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import TracebackType
from typing import Any, Self

from sqlite_utils import Database

from trainer.core.clock import Clock
from trainer.core.logbook import ImportReport
from trainer.core.record import RecordError
from trainer.errors import DataBusyError, UsageError
from trainer.store import backups, faults
from trainer.store.backups import Backup, BackupKind, make_backup
from trainer.store.database import DataFile
from trainer.store.lock import FileLock
from trainer.store.rows import utc_text


class DataCare:
    """An opened data file with its lock, its copies and its ways in and out."""

    def __init__(self, file: DataFile, clock: Clock) -> None:
        self._file = file
        self._clock = clock
        self._lock = FileLock(lock_path(file.path))

    @property
    def path(self) -> Path:
        """Where the data file lies."""
        return self._file.path

    @property
    def notices(self) -> tuple[str, ...]:
        """What went wrong beside the point on opening, in sentences for people."""
        return tuple(self._file.notices)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def close(self) -> None:
        """Close the file and let go of the lock. Closing twice does no harm."""
        self._file.close()
        self._lock.release()

    def take_lock(self) -> bool:
        """Take the right to run a session; False: another program has it.

        Held until ``close``. Taking it twice is taking it once.
        """
        if self._file.read_only:
            return False
        with faults.plain_faults(self.path):
            return self._lock.take()

    @contextmanager
    def _lock_for_now(self) -> Iterator[bool]:
        """Have the lock for a block; False if another program has it.

        Whoever had it before, for a session, has it afterwards.
        """
        had = self._lock.taken
        taken = self.take_lock()
        try:
            yield taken
        finally:
            if taken and not had:
                self._lock.release()

    @contextmanager
    def _to_settle(self) -> Iterator[None]:
        """Have the lock for a block that changes what a crash left.

        Raises:
            DataBusyError: another program has it: what is under way is its own.
        """
        with self._lock_for_now() as ours:
            if not ours and not self._file.read_only:
                raise DataBusyError(
                    f"Another program leads a session on {self.path} by now",
                    "Wait for its end, then open this one again",
                )
            yield

    def _now(self) -> str:
        return utc_text(self._clock.wall())

    @contextmanager
    def _read(self) -> Iterator[Database]:
        with self._file.reading() as db:
            try:
                yield db
            except (RecordError, KeyError, ValueError) as error:
                raise faults.damaged(
                    self.path, f"a row can't be read: {error}"
                ) from error

    def check(self) -> list[str]:
        """List what is wrong with the file, in sentences; none: it is well."""
        from trainer.store.checks import find_faults

        with self._file.reading() as db:
            return find_faults(db, self.path)

    def export(self) -> dict[str, Any]:
        """Give all that is in the file as one document of plain values."""
        from trainer.store.document import export_document

        with self._read() as db:
            return export_document(db, self._clock.wall().date())

    def export_csv(self, folder: Path) -> list[Path]:
        """Write a comma-separated file for each table into FOLDER.

        Raises:
            DataWriteError: one can't be written.
        """
        from trainer.store.exchange import write_csv_files

        with faults.plain_faults(folder), self._file.reading() as db:
            return write_csv_files(db, folder)

    def import_document(
        self, document: object, *, dry_run: bool = False
    ) -> ImportReport:
        """Take an exported document in, all of it or nothing; a copy is made before.

        Args:
            document: what ``export`` gave, here or on another machine.
            dry_run: say what would be done, and do nothing.

        Raises:
            UsageError: something in it can't be believed; nothing was changed.
        """
        from trainer.store.merge import merge_document

        if not dry_run:
            with faults.plain_faults(self.path):
                make_backup(self.path, BackupKind.IMPORT, self._clock.wall())
        with self._file.writing() as db:
            try:
                report = merge_document(
                    db,
                    document,
                    now=self._now(),
                    today=self._clock.wall().date(),
                )
            except RecordError as error:
                raise UsageError(
                    f"The document can't be imported: {error}", "Nothing was changed"
                ) from None
            if dry_run:
                db.rollback()
        return report

    def backup(self, to: Path | None = None) -> Path:
        """Copy the data file, whole, to TO or into its folder of copies.

        Raises:
            DataError: it can't be read, or the copy can't be written.
        """
        with faults.plain_faults(self.path):
            if to is None:
                wall = self._clock.wall()
                return make_backup(self.path, BackupKind.ASKED, wall)
            backups.copy_database(self.path, to)
            return to

    def backups(self) -> list[Backup]:
        """List the copies in its folder, the latest first."""
        return backups.list_backups(self.path)


def lock_path(path: Path) -> Path:
    """Give the lock file of the data file PATH."""
    return path.with_name(path.name + ".lock")

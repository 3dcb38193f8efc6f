"""The store as the rest of the program sees it: values of the core in and out."""

from __future__ import annotations

import time
from collections.abc import Iterable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import replace
from datetime import date, datetime
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Any, Self

from trainer.core.logbook import (
    ImportReport,
    Logged,
    UnfinishedHold,
    hold_end,
    next_set_number,
    session_end,
    session_to_join,
    time_on_day,
    with_held,
)
from trainer.core.model import (
    RPE_WORDING,
    History,
    Hold,
    Session,
    SessionKind,
    ShownSuggestion,
    TargetSet,
)
from trainer.core.plan.plan import Plan, default_plan
from trainer.core.record import RecordError
from trainer.core.weeks import IsoWeek
from trainer.errors import DataBusyError, DataError, UsageError
from trainer.store import decisions, log
from trainer.store.care import backups, faults, strays
from trainer.store.care.backups import Backup, BackupKind, make_backup
from trainer.store.care.lock import FileLock
from trainer.store.connection import Connection
from trainer.store.database import DataFile, MayBe, open_file
from trainer.store.rows import set_deleted, utc_text

if TYPE_CHECKING:
    from trainer.core.angle.check import AngleCheck
    from trainer.core.clock import Clock


def lock_path(path: Path) -> Path:
    """Give the lock file of the data file PATH."""
    return path.with_name(path.name + ".lock")


@contextmanager
def _refused() -> Iterator[None]:
    """Say in a sentence what in a document can't be believed.

    Raises:
        UsageError: something in it; nothing was changed.
    """
    try:
        yield
    except RecordError as error:
        raise UsageError(
            f"The document can't be imported: {error}", "Nothing was changed"
        ) from None


def open_store(
    path: Path, *, clock: Clock, read_only: bool = False, may_be: MayBe | None = None
) -> Store:
    """Open the data file, made and migrated where needed, with the day's backup.

    Args:
        path: the file.
        clock: what tells the time.
        read_only: refuse to make, migrate or change it.
        may_be: with read_only, what it may be and is opened all the same.

    Raises:
        DataError: newer, damaged, no data file of ours, locked, or not writable.
    """
    path = strays.real_path(path)
    apart = None if read_only else _what_a_log_would_hide(path, clock)
    store = Store(
        open_file(path, clock.wall(), read_only=read_only, may_be=may_be), clock
    )
    if apart is not None:
        try:
            store.join(apart)
        except BaseException:
            store.close()
            raise
    return store


def _what_a_log_would_hide(path: Path, clock: Clock) -> dict[str, Any] | None:
    """Export the file without the log beside it, where that may not be its own.

    None: the log is the file's, or there is none.

    Raises:
        DataDamagedError: the log is another file's, or neither is whole with it or
            without it; nothing was touched.
    """
    parted = False
    with faults.plain_faults(path):
        for _ in range(strays.LOOKS):
            if not strays.is_suspect(path):
                return None
            # Whoever closes the file last takes its log away.
            with suppress(FileNotFoundError), strays.copied(path) as (alone, both):
                if strays.is_whole(both):
                    return _export_apart(path, alone, both, clock)
                parted = strays.is_whole(alone)
            time.sleep(strays.LOOK_EVERY_S)  # somebody may be emptying it just now
        if parted:
            raise faults.stray_log(path)
        raise faults.damaged(path, "with the log beside it, and without it")


def _export_apart(
    path: Path, alone: Path, both: Path, clock: Clock
) -> dict[str, Any] | None:
    if not strays.is_whole(alone):
        return None  # broken off while the log was emptied into it: it is needed
    wall = clock.wall()
    with (
        Store(open_file(alone, wall, read_only=False), clock) as without_log,
        Store(open_file(both, wall, read_only=False), clock) as with_log,
    ):
        document = without_log.export()
        try:
            if not with_log.import_document(document, dry_run=True).changed:
                return None  # the log goes on from it
            others = with_log.may_be_somebody_elses(document)
        except UsageError:
            raise faults.stray_log(path) from None
        if others:
            raise faults.stray_log(path)
        without_log.backup(backups.name_for(path, BackupKind.RESTORE, wall))
        return document


class Store:
    """One trainee's data file, with its lock, its copies and its ways in and out.

    Every method that writes has written to the disk when it returns, or has raised a
    ``DataError`` and changed nothing. May be used from several threads.
    """

    def __init__(self, file: DataFile, clock: Clock) -> None:
        self._file = file
        self._clock = clock
        self._lock = FileLock(lock_path(file.path))
        self._running_uid = ""
        """The session that this program has begun and not ended."""

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

    def join(self, apart: dict[str, Any]) -> None:
        """Take in what the file was before the log beside it was played into it.

        Args:
            apart: the export of the file without the log.
        """
        report = self.import_document(apart)
        self._file.notices.append(
            f"The data file {self.path} was replaced after a crash: what it had, and"
            " what was logged last before that, were joined"
            f" ({report.holds_added} holds of {report.sessions_added} sessions more)."
            f" As it was it is kept in {backups.folder_of(self.path)}."
        )

    def close(self) -> None:
        """Close the file and let go of the lock. Closing twice does no harm."""
        self._file.close()
        self._lock.release()

    def look_after(self) -> None:
        """Make sure that the file is still there, and bring it to rest.

        Whoever has it open for long calls this about once a second.

        Raises:
            DataGoneError: it was moved, deleted, replaced, overwritten or cut off.
        """
        self._file.look_after()

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

    @contextmanager
    def at_once(self) -> Iterator[None]:
        """Make all writes of a block one: all of them are on the disk after it, or
        none. Until then nobody else can write.

        Raises:
            DataError: the file can't be written.
        """
        with self._file.writing():
            yield

    def _now(self) -> str:
        return utc_text(self._clock.wall())

    @contextmanager
    def _read(self) -> Iterator[Connection]:
        with self._file.reading() as db:
            try:
                yield db
            except (RecordError, KeyError, ValueError) as error:
                raise faults.damaged(
                    self.path, f"a row can't be read: {error}"
                ) from error

    # The plan and what was answered.

    def has_plan(self) -> bool:
        """Tell whether a plan was ever saved."""
        with self._read() as db:
            return decisions.read_plan(db, self._clock.wall().date()) is not None

    def plan(self, on: date | None = None) -> Plan:
        """Give the plan in force on a day (today); none saved: the default one."""
        with self._read() as db:
            day = on or self._clock.wall().date()
            return decisions.read_plan(db, day) or default_plan()

    def plans(self) -> tuple[tuple[date, Plan], ...]:
        """Give every plan saved, with the day from which it was in force."""
        with self._read() as db:
            return decisions.read_plans(db)

    def first_uid(self) -> str:
        """Return the id of the file's first record, by which it is known; or empty."""
        with self._read() as db:
            return decisions.read_first_uid(db)

    def plan_changed_at(self) -> datetime | None:
        """Return when the plan or the rest weeks were last changed, UTC."""
        with self._read() as db:
            return decisions.read_plan_changed_at(db)

    def save_plan(
        self, plan: Plan, *, valid_from: date, targets: Iterable[TargetSet] = ()
    ) -> None:
        """Keep a plan as the one in force from a day on, with TARGETS, all or none."""
        with self._file.writing() as db:
            decisions.write_plan(db, plan, valid_from, self._now(), targets)

    def answers(self) -> dict[str, str]:
        """Give what the person answered once, by key."""
        with self._read() as db:
            return decisions.read_answers(db)

    def set_answer(self, key: str, value: str) -> None:
        """Keep an answer in place of the former one."""
        with self._file.writing() as db:
            decisions.write_answer(db, key, value, self._now())

    # Sessions and holds.

    def begin_session(self, session: Session) -> None:
        """Write a session that begins, with what is planned for it."""
        with self._file.writing() as db:
            log.write_session(db, session, self._now())
        self._running_uid = session.uid

    def end_session(self, uid: str, *, ended_at: datetime) -> None:
        """Write when a session ended."""
        with self._file.writing() as db:
            log.end_session(db, uid, utc_text(ended_at), self._now())
        if uid == self._running_uid:
            self._running_uid = ""

    def take_out_session(self, uid: str) -> None:
        """Let a session in which nothing was held leave no trace."""
        with self._file.writing() as db:
            set_deleted(db, "sessions", uid, self._now(), deleted=True)

    def save_hold(self, session_uid: str, hold: Hold) -> None:
        """Write a hold with all that was said of it, and end its journal."""
        with self._file.writing() as db:
            log.write_hold(db, session_uid, hold, self._now())

    def take_out_hold(self, uid: str) -> None:
        """Take a hold out of the log; one under way loses its journal."""
        with self._file.writing() as db:
            set_deleted(db, "holds", uid, self._now(), deleted=True)
            db.execute("DELETE FROM journal WHERE hold_uid = ?", [uid])

    def put_back_hold(self, uid: str) -> None:
        """Undo ``take_out_hold``."""
        with self._file.writing() as db:
            set_deleted(db, "holds", uid, self._now(), deleted=False)

    def correct_hold(self, hold: Hold) -> None:
        """Write later figures of a hold; the former ones are kept.

        Raises:
            DataError: there is no such hold.
        """
        with self._file.writing() as db:
            former = log.former_hold(db, hold.uid)
            if former is None:
                raise DataError("That hold is not in the log any more")
            session_uid, before = former
            if hold.rpe != before.rpe:
                # A rating given now is given under today's wording of the scale.
                hold = replace(hold, rpe_wording=RPE_WORDING)
            now = self._now()
            log.write_hold(db, session_uid, hold, now)
            stored = log.former_hold(db, hold.uid)
            if stored is not None:
                log.write_corrections(db, before, stored[1], now)

    def add_hold(self, hold: Hold, *, at: datetime, has_time: bool) -> str:
        """Log a hold done without the program, and give its session's uid.

        Args:
            hold: what was done; its start and set number are worked out here.
            at: the local time, aware; where only the day is known, any time of it.
            has_time: whether the time is known.
        """
        at = at if has_time else time_on_day(at, now=self._clock.wall())
        with self._file.writing() as db:
            day = log.read_sessions(db, "s.local_date = ?", [at.date().isoformat()])
            now = self._now()
            session = session_to_join(day, at=at, has_time=has_time)
            if session is None:
                session = log.added_session(at, hold)
                log.write_session(db, session, now)
            elif not has_time:
                at = session_end(session)
            joined = replace(
                hold,
                started_at=at,
                set_number=next_set_number(session.holds, hold.exercise),
            )
            log.write_hold(db, session.uid, joined, now)
            if session.kind is SessionKind.ADDED:
                ended_at = max(session_end(session), hold_end(joined))
                log.end_session(db, session.uid, utc_text(ended_at), now)
            return session.uid

    # The hold under way.

    def journal(self, session_uid: str, hold: Hold) -> None:
        """Note how far the hold under way has come; once a second."""
        with self._file.writing(counts=False) as db:
            log.write_journal(db, session_uid, hold, self._now())

    def unfinished(self) -> UnfinishedHold | None:
        """Give the hold that was under way when the program died, or None.

        While another program has the lock, a hold under way is its own. The lock is
        let go of again: whoever only looks keeps nobody from training.
        """
        with self._lock_for_now() as ours:
            if not ours:
                return None
            with self._read() as db:
                return log.read_unfinished(db)

    def keep_unfinished(
        self, held_s: float | None = None, *, confirmed: bool = True
    ) -> None:
        """Log the unfinished hold: as journaled, or as HELD_S says.

        CONFIRMED is False where nobody was asked.

        Raises:
            DataBusyError: another program leads a session by now.
        """
        with self._to_settle(), self._file.writing() as db:
            unfinished = log.read_unfinished(db)
            if unfinished is None:
                return
            hold = replace(unfinished.hold, confirmed=confirmed)
            if held_s is not None:
                hold = with_held(hold, held_s)
            now = self._now()
            log.write_hold(db, unfinished.session_uid, hold, now)
            log.close_unfinished(db, unfinished, now)

    def drop_unfinished(self) -> None:
        """Forget the unfinished hold; in a session of this program, the one under way.

        A session that is still running goes on, one that crashed has ended.

        Raises:
            DataBusyError: another program leads a session by now.
        """
        if self._running_uid:
            with self._file.writing() as db:
                log.forget_journal(db, self._running_uid)
            return
        with self._to_settle(), self._file.writing() as db:
            unfinished = log.read_unfinished(db)
            if unfinished is not None:
                log.close_unfinished(db, unfinished, self._now())

    # Looking back.

    def history(self) -> History:
        """Give all that the pure functions look at, without what was taken back."""
        with self._read() as db:
            return History(
                sessions=log.read_sessions(db),
                targets=decisions.read_targets(db),
                rest_weeks=decisions.read_rest_weeks(db),
                shown=decisions.read_shown(db),
            )

    def session(self, uid: str) -> Session | None:
        """Give one session, or None."""
        with self._read() as db:
            return next(iter(log.read_sessions(db, "s.uid = ?", [uid])), None)

    def sessions_on(self, day: date) -> tuple[Session, ...]:
        """Give the sessions of a local day, in order of time."""
        with self._read() as db:
            return log.read_sessions(db, "s.local_date = ?", [day.isoformat()])

    def hold(self, uid: str) -> Hold | None:
        """Give one hold, or None."""
        with self._read() as db:
            found = log.former_hold(db, uid)
            return found[1] if found else None

    # Targets, rest weeks, suggestions.

    def hold_numbers(self) -> dict[str, int]:
        """Return the number by which people name each hold, by its uid.

        The first that was logged is 1, and no later one changes that.
        """
        with self._read() as db:
            return log.read_numbered(db)

    def set_target(self, target: TargetSet) -> None:
        """Keep a target as the one in force from now on."""
        with self._file.writing() as db:
            decisions.write_target(db, target, self._now())

    def take_back_target(self, uid: str) -> None:
        """Take a target back; the one before it is in force again."""
        with self._file.writing() as db:
            set_deleted(db, "targets", uid, self._now(), deleted=True)

    def set_rest_week(self, week: IsoWeek, on: bool) -> bool:
        """Mark a week as a rest week, or no longer; False if it was so already."""
        with self._file.writing() as db:
            return decisions.write_rest_week(db, week, self._now(), on=on)

    def remember_shown(self, shown: ShownSuggestion) -> None:
        """Keep a suggestion, the first time that it is shown with this target."""
        with self._file.writing() as db:
            decisions.write_shown(db, shown, self._now())

    # Angle checks, and undo. What is seldom asked for is imported when it is: each
    # command waits for less.

    def angle_checks(self) -> tuple[AngleCheck, ...]:
        """Return all angle checks, in order of time, without those taken back."""
        from trainer.store import angles

        with self._read() as db:
            return angles.read_checks(db)

    def numbered_angle_checks(self) -> dict[int, AngleCheck]:
        """Return the angle checks by the number that people name them by.

        The first that was logged is 1, and no later one changes that.
        """
        from trainer.store import angles

        with self._read() as db:
            return angles.read_numbered(db)

    def add_angle_check(self, check: AngleCheck) -> None:
        """Log an angle check."""
        from trainer.store import angles

        with self._file.writing() as db:
            angles.write_check(db, check, self._now())

    def correct_angle_check(self, check: AngleCheck) -> bool:
        """Write later figures of a check and keep the former; False: nothing changed.

        Raises:
            DataError: there is no such check.
        """
        from trainer.store import angles

        with self._file.writing() as db:
            return angles.correct_check(db, check, self._now())

    def last_logged(self) -> Logged | None:
        """Give what was logged last and not taken back, or None."""
        from trainer.store import undo

        with self._read() as db:
            return undo.read_last_logged(db)

    def take_back(self, logged: Logged) -> bool:
        """Take a thing back; False if that was done already."""
        from trainer.store import undo

        with self._file.writing() as db:
            return undo.write_taken_back(db, logged, self._now())

    # The file as a whole: check, copies, exchange.

    def check(self) -> list[str]:
        """List what is wrong with the file, in sentences; none: it is well."""
        from trainer.store.care.checks import find_faults

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
        from trainer.store.csv_files import write_csv_files

        with faults.plain_faults(folder), self._file.reading() as db:
            return write_csv_files(db, folder)

    def may_be_somebody_elses(self, document: object) -> str | None:
        """Say why an exported document may be another person's; None: it isn't.

        Raises:
            UsageError: it is no document of ours.
        """
        from trainer.store.merge import may_be_somebody_elses

        with self._read() as db, _refused():
            return may_be_somebody_elses(db, document)

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
            with _refused():
                report = merge_document(
                    db,
                    document,
                    now=self._now(),
                    today=self._clock.wall().date(),
                )
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

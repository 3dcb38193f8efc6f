"""Copies: made in time, kept in number, and good for going back."""

from __future__ import annotations

import json
import os
import sqlite3
import subprocess
import sys
from collections import Counter
from collections.abc import Iterator
from contextlib import closing
from datetime import timedelta
from pathlib import Path

import pytest

from tests.store.makers import Makers
from trainer.core.clock import ManualClock
from trainer.errors import DataBusyError, DataError
from trainer.store import BackupKind, Store, open_store, restore, schema
from trainer.store.connection import Connection

DAY_S = timedelta(days=1).total_seconds()
TODAYS = tuple(schema.MIGRATIONS)


@pytest.fixture
def store(path: Path, clock: ManualClock) -> Iterator[Store]:
    """Open nothing: what is made on opening is what these tests are about."""
    with open_store(path, clock=clock) as opened:
        yield opened


def held(path: Path) -> list[float]:
    """Read a copy with Python's own sqlite3."""
    with closing(sqlite3.connect(path)) as copy:
        return [row[0] for row in copy.execute("SELECT held_s FROM holds ORDER BY 1")]


def test_a_copy_is_whole_and_alone(store: Store, make: Makers, tmp_path: Path) -> None:
    """Copied while the file is open: one file with all that was saved so far."""
    make.logged(store, make.hold(held_s=12.0))

    copy = store.backup(tmp_path / "copy.db")

    assert [12.0] == held(copy)
    assert ["copy.db"] == [each.name for each in tmp_path.glob("copy*")]


def test_the_first_opening_of_a_day_makes_a_copy(
    path: Path, store: Store, make: Makers
) -> None:
    """One copy a day, of what was there when the day's first program opened it."""
    make.logged(store, make.hold(held_s=12.0))
    store.close()
    for _ in range(3):
        with open_store(path, clock=make.clock) as again:
            make.logged(again, make.hold(held_s=13.0))

    (copy,) = again.backups()
    assert (BackupKind.DAILY, "2026-03-02") == (copy.kind, copy.name)
    assert [12.0] == held(copy.path)


def test_seven_daily_copies_are_kept(path: Path, store: Store, make: Makers) -> None:
    """The oldest ones go; those that were asked for stay."""
    asked = store.backup()
    store.close()
    for _ in range(10):
        open_store(path, clock=make.clock).close()
        make.clock.advance(DAY_S)

    with open_store(path, clock=make.clock) as again:
        copies = again.backups()
    daily = [each.name for each in copies if each.kind is BackupKind.DAILY]
    assert [f"2026-03-{day:02d}" for day in range(12, 5, -1)] == daily
    assert asked.exists()


def test_a_damaged_file_pushes_no_good_copy_out(
    path: Path, store: Store, make: Makers
) -> None:
    """Damage is found before the day's copy is made, and the older copies stay."""
    make.logged(store, make.hold(note="n" * 1500))
    store.close()
    open_store(path, clock=make.clock).close()
    content = bytearray(path.read_bytes())
    where = content.find(b"n" * 1000) // 4096 * 4096
    content[where : where + 200] = b"\xa5" * 200
    path.write_bytes(content)
    make.clock.advance(DAY_S)

    with pytest.raises(DataError, match="is damaged"):
        open_store(path, clock=make.clock)

    assert ["daily-2026-03-02.db"] == [
        each.name for each in path.with_name("log.db-backups").glob("*.db")
    ]


def test_a_copy_that_fails_is_said_and_stops_nobody(
    path: Path, store: Store, make: Makers
) -> None:
    """With no room for the day's copy the log still opens, and says so."""
    make.logged(store)
    store.close()
    path.with_name("log.db-backups").write_text("in the way")

    with open_store(path, clock=make.clock) as again:
        assert 1 == len(again.history().sessions)
        assert 1 == len(again.notices)
        assert "backup" in again.notices[0]


def test_importing_makes_a_copy_first(store: Store, make: Makers) -> None:
    """What was there before a merge can be gone back to."""
    make.logged(store, make.hold(held_s=12.0))
    document = json.loads(json.dumps(store.export()))

    store.import_document(document)

    assert [BackupKind.IMPORT] == [each.kind for each in store.backups()]


def test_going_back_to_a_copy(path: Path, store: Store, make: Makers) -> None:
    """The copy takes the file's place; what it replaces is copied before."""
    make.logged(store, make.hold(held_s=12.0))
    copy = store.backup()
    make.clock.advance(60)
    make.logged(store, make.hold(held_s=13.0))
    store.close()

    kept = restore(path, copy, clock=make.clock)

    assert [12.0] == held(path)
    assert kept is not None
    assert [12.0, 13.0] == held(kept)
    with open_store(path, clock=make.clock) as again:
        assert [] == again.check()


def test_going_back_from_a_damaged_file(path: Path, store: Store, make: Makers) -> None:
    """A file that can't be read is kept byte by byte, and the copy takes its place."""
    make.logged(store, make.hold(held_s=12.0))
    copy = store.backup()
    store.close()
    path.write_bytes(b"rubbish" * 1000)

    kept = restore(path, copy, clock=make.clock)

    assert [12.0] == held(path)
    assert kept is not None
    assert b"rubbish" * 1000 == kept.read_bytes()


def test_going_back_where_the_file_is_gone(
    path: Path, store: Store, make: Makers, tmp_path: Path
) -> None:
    """With no file left, the copy becomes it."""
    make.logged(store, make.hold(held_s=12.0))
    copy = store.backup()
    store.close()
    path.unlink()

    assert None is restore(path, copy, clock=make.clock)
    assert [12.0] == held(path)


def test_going_back_is_refused_while_the_file_is_in_use(
    path: Path, store: Store, make: Makers
) -> None:
    """Another program would go on writing into the file that is put aside."""
    make.logged(store, make.hold(held_s=12.0))
    copy = store.backup()

    with pytest.raises(DataBusyError, match="has the data file"):
        restore(path, copy, clock=make.clock)

    assert [12.0] == held(path)


@pytest.mark.parametrize("content", [b"", b"rubbish" * 1000])
def test_going_back_to_a_bad_copy_changes_nothing(
    path: Path, store: Store, make: Makers, tmp_path: Path, content: bytes
) -> None:
    """A copy that is empty or none at all is refused before anything is touched."""
    make.logged(store, make.hold(held_s=12.0))
    store.close()
    bad = tmp_path / "bad.db"
    bad.write_bytes(content)

    with pytest.raises(DataError):
        restore(path, bad, clock=make.clock)

    assert [12.0] == held(path)
    assert [] == list(path.parent.glob("*restored*"))


def later_version(number: int) -> list[schema.Migration]:
    """Give the migrations of a version that adds NUMBER of them to today's."""
    later = list(TODAYS)
    for each in range(number):

        def add_column(db: Connection, each: int = each) -> None:
            db.execute(f"ALTER TABLE holds ADD COLUMN later_{each} TEXT")

        add_column.__name__ = f"m{len(later) + 1:03d}_later"
        later.append(add_column)
    return later


def test_five_copies_from_before_migrations_are_kept(
    path: Path, store: Store, make: Makers, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each new version of the tables leaves a copy of the file as it was before."""
    make.logged(store, make.hold(held_s=12.0))
    store.close()
    for number in range(1, 8):
        make.clock.advance(DAY_S)
        monkeypatch.setattr(schema, "MIGRATIONS", later_version(number))
        with open_store(path, clock=make.clock) as again:
            assert [12.0] == [h.held_s for h in again.history().sessions[0].holds]

    copies = [each for each in again.backups() if each.kind is BackupKind.MIGRATION]
    assert 5 == len(copies)
    with closing(sqlite3.connect(copies[0].path)) as copy:
        columns = {row[1] for row in copy.execute("PRAGMA table_info(holds)")}
    assert {"later_5"} <= columns
    assert "later_6" not in columns


def test_a_migration_that_fails_leaves_the_file_as_it_was(
    path: Path, store: Store, make: Makers, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Half a migration is none: the rows are there, and the former version opens it."""
    make.logged(store, make.hold(held_s=12.0))
    store.close()

    def m999_fails(db: Connection) -> None:
        db.execute("DELETE FROM holds")
        raise RuntimeError("a defect of ours")

    with monkeypatch.context() as patched:
        patched.setattr(schema, "MIGRATIONS", [*later_version(1), m999_fails])
        with pytest.raises(RuntimeError, match="a defect of ours"):
            open_store(path, clock=make.clock)

    with open_store(path, clock=make.clock) as again:
        assert [12.0] == [h.held_s for h in again.history().sessions[0].holds]
        assert Counter({BackupKind.MIGRATION: 1, BackupKind.DAILY: 1}) == Counter(
            each.kind for each in again.backups()
        )


def test_the_clock_names_the_copies(tmp_path: Path) -> None:
    """Copies carry the local date and time at which they were made."""
    with open_store(tmp_path / "log.db", clock=ManualClock()) as store:
        assert "asked-2026-03-02-180000.db" == store.backup().name


def test_copies_of_one_second_are_two(path: Path, store: Store, make: Makers) -> None:
    """Gone back and gone back again at once: what was there first is still kept."""
    make.logged(store, make.hold(held_s=12.0))
    copy = store.backup()
    make.logged(store, make.hold(held_s=13.0))
    store.close()

    first = restore(path, copy, clock=make.clock)
    second = restore(path, copy, clock=make.clock)

    assert first is not None
    assert second is not None
    assert [[12.0, 13.0], [12.0]] == [held(first), held(second)]
    with open_store(path, clock=make.clock) as again:
        listed = [each.path for each in again.backups()]
    assert {first, second, copy} <= set(listed)


def test_a_clock_that_was_wrong_pushes_no_copy_out(
    path: Path, store: Store, make: Makers
) -> None:
    """Ten days of copies from 2031, and today's with its six before are kept too."""
    store.close()
    for ahead_s in (5 * 365 * DAY_S, 0.0):
        make.clock.seconds = ahead_s
        for _ in range(10):
            open_store(path, clock=make.clock).close()
            make.clock.advance(DAY_S)

    with open_store(path, clock=make.clock) as again:
        names = [each.name for each in again.backups() if each.kind is BackupKind.DAILY]
    assert [f"2026-03-{day:02d}" for day in range(12, 5, -1)] == [
        name for name in names if name < "2027"
    ]


def test_what_a_broken_off_copying_left_is_tidied(
    path: Path, store: Store, make: Makers
) -> None:
    """A process that is gone left its parts; one that runs is still copying."""
    store.close()
    open_store(path, clock=make.clock).close()
    folder = path.with_name("log.db-backups")
    gone = subprocess.run(
        [sys.executable, "-c", "import os; print(os.getpid())"],
        capture_output=True,
        text=True,
        check=True,
    ).stdout.strip()
    left = [
        folder / f"restore-2026-03-02-180000.db.{gone}.part",
        folder / f"restore-2026-03-02-180000.db.{gone}.part-journal",
        path.with_name(f"log.db.restored.{gone}.part"),
    ]
    running = folder / f"asked-2026-03-02-180000.db.{os.getpid()}.part"
    for each in (*left, running):
        each.write_bytes(b"half")

    open_store(path, clock=make.clock).close()

    assert [False] * 3 == [each.exists() for each in left]
    assert running.exists()


def test_nobody_elses_file_is_replaced(
    path: Path, store: Store, make: Makers, tmp_path: Path
) -> None:
    """Another program's database and a text are left to the byte, and said so."""
    copy = store.backup()
    theirs, text = tmp_path / "theirs.db", tmp_path / "letter.txt"
    with closing(sqlite3.connect(theirs)) as other:
        other.execute("CREATE TABLE customers (name TEXT)")
    text.write_text("Dear")

    for each in (theirs, text):
        before = each.read_bytes()
        with pytest.raises(DataError, match="no data file of this program"):
            restore(each, copy, clock=make.clock)
        assert before == each.read_bytes()
        assert [] == list(tmp_path.glob(f"{each.name}?*"))


def test_our_own_file_is_known_by_its_copies_however_damaged(
    path: Path, store: Store, make: Makers
) -> None:
    """Its beginning gone, it is what a restore is for; it is kept as it is."""
    make.logged(store, make.hold(held_s=12.0))
    copy = store.backup()
    store.close()
    path.write_bytes(b"\0" * 5000)

    kept = restore(path, copy, clock=make.clock)

    assert [12.0] == held(path)
    assert kept is not None
    assert b"\0" * 5000 == kept.read_bytes()

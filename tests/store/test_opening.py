"""What happens on files that can't be opened, and on those that can."""

from __future__ import annotations

import gc
import os
import shutil
import sqlite3
import stat
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from tests.store.makers import Makers
from trainer.core.clock import ManualClock
from trainer.errors import DataBusyError, DataError, DataWriteError, ExitCode
from trainer.store import Store, connection, database, open_store
from trainer.store.database import MayBe


@pytest.fixture
def store(path: Path, clock: ManualClock) -> Iterator[Store]:
    """Open nothing: what is made on opening is what these tests are about."""
    with open_store(path, clock=clock) as opened:
        yield opened


def opened(path: Path, *, read_only: bool = False) -> Store:
    return open_store(path, clock=ManualClock(), read_only=read_only)


def mode_of(path: Path) -> int:
    return stat.S_IMODE(path.stat().st_mode)


def test_importing_the_store_loads_no_database_code() -> None:
    """The package's names are resolved when they are used, not before."""
    code = (
        "import sys, trainer.store;"
        "print([m for m in ('sqlite_utils', 'sqlite3') if m in sys.modules])"
    )

    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True
    )

    assert "[]" == done.stdout.strip()


@pytest.mark.skipif(os.name == "nt", reason="Windows has no permission bits")
def test_everything_is_for_the_owner_only(
    path: Path, store: Store, make: Makers
) -> None:
    """Folder 0700, files 0600: the log, its side files, its lock, its copies."""
    make.logged(store, make.hold())
    store.take_lock()
    copy = store.backup()

    assert 0o700 == mode_of(path.parent)
    assert 0o700 == mode_of(copy.parent)
    files = [each for each in path.parent.rglob("*") if each.is_file()]
    assert {"log.db", "log.db.lock", "log.db-wal", copy.name} <= {
        each.name for each in files
    }
    assert {0o600} == {mode_of(each) for each in files}


@pytest.mark.skipif(os.name == "nt", reason="Windows has no permission bits")
def test_a_file_open_to_others_is_closed_to_them(path: Path, store: Store) -> None:
    """A file that was copied here with wider rights loses them on opening."""
    store.close()
    path.chmod(0o644)

    opened(path).close()

    assert 0o600 == mode_of(path)


def test_every_write_is_on_the_disk_when_it_returns(store: Store) -> None:
    """Write-ahead log with full synchronisation, owners of rows checked."""
    db = store._file.db

    assert "wal" == db.execute("PRAGMA journal_mode").fetchone()[0]
    assert 2 == db.execute("PRAGMA synchronous").fetchone()[0]
    assert 1 == db.execute("PRAGMA foreign_keys").fetchone()[0]


def test_a_newer_file_is_refused_untouched(path: Path, store: Store) -> None:
    """A file changed by a newer version is left as it is, to the byte."""
    store.close()
    with closing(sqlite3.connect(path)) as newer:
        newer.execute(
            "INSERT INTO _sqlite_migrations (migration_set, name, applied_at)"
            " VALUES ('trainer', 'm999_later', '2099-01-01')"
        )
        newer.commit()
    before = path.read_bytes()

    for read_only in (False, True):
        with pytest.raises(DataError, match="made by a newer version") as caught:
            opened(path, read_only=read_only)
        assert ExitCode.DATA == caught.value.exit_code

    assert before == path.read_bytes()
    assert [path.name] == [each.name for each in path.parent.iterdir()]


def test_another_programs_database_is_refused_untouched(path: Path) -> None:
    """Pointed at somebody else's database, nothing is written into it."""
    path.parent.mkdir()
    with closing(sqlite3.connect(path)) as theirs:
        theirs.execute("CREATE TABLE customers (name TEXT)")
    before = path.read_bytes()

    with pytest.raises(DataError, match="not one of this program"):
        opened(path)

    assert before == path.read_bytes()


@pytest.mark.parametrize("content", [b"hello\n", b"SQLite format 2\x00" * 90])
def test_a_file_that_is_no_database_is_refused_untouched(
    path: Path, content: bytes
) -> None:
    """A text file named by mistake stays as it is."""
    path.parent.mkdir()
    path.write_bytes(content)

    with pytest.raises(DataError, match="no SQLite file"):
        opened(path)

    assert content == path.read_bytes()


def test_an_empty_file_is_a_fresh_one(path: Path) -> None:
    """A file made beforehand, as with mktemp, may be used."""
    path.parent.mkdir()
    path.touch()

    with opened(path) as store:
        assert () == store.history().sessions


def damage(path: Path, start: int, length: int = 2048) -> None:
    with path.open("r+b") as file:
        file.seek(start)
        file.write(b"\xa5" * length)


def test_a_file_with_a_damaged_schema_is_refused(path: Path, store: Store) -> None:
    """A file damaged at its beginning can't be opened, and the error says so."""
    store.close()
    damage(path, 100)

    with pytest.raises(DataError, match=r"is damaged.*data salvage"):
        opened(path)


@pytest.mark.skipif(not Path("/proc/self/fd").exists(), reason="Linux lists them there")
def test_a_file_that_is_refused_is_let_go_of(path: Path, store: Store) -> None:
    """Nothing of it stays open in the program, whenever the garbage is collected."""
    store.close()
    damage(path, 100)
    gc.disable()
    try:
        with pytest.raises(DataError, match="is damaged"):
            opened(path)
        held = [os.path.realpath(each) for each in Path("/proc/self/fd").iterdir()]
    finally:
        gc.enable()

    assert [] == [each for each in held if each.startswith(str(path.resolve()))]


def test_a_database_without_tables_is_not_taken_over(path: Path) -> None:
    """Another program may have made it a moment ago: only an empty file is free."""
    path.parent.mkdir()
    with closing(sqlite3.connect(path)) as theirs:
        theirs.execute("PRAGMA user_version = 7")
    before = path.read_bytes()

    with pytest.raises(DataError, match="not one of this program"):
        opened(path)

    assert before == path.read_bytes()
    assert [path.name] == [each.name for each in path.parent.iterdir()]


def test_rows_that_another_program_took_away_are_said(
    path: Path, store: Store, make: Makers
) -> None:
    """The file is whole, so it is opened; each opening says that rows are missing."""
    make.logged(store, *(make.hold(set_number=n) for n in range(1, 9)))
    store.close()
    opened(path).close()
    with closing(sqlite3.connect(path)) as tool:
        tool.execute("DELETE FROM holds WHERE set_number = 3")
        tool.commit()

    for _ in range(2):
        with opened(path) as again:
            (notice,) = again.notices
            assert "7 holds where trainer left 8" in notice


def test_a_file_with_damaged_rows_says_so(
    path: Path, store: Store, make: Makers
) -> None:
    """Damage further back is said on opening, and nothing written; check names it."""
    for _ in range(60):
        make.logged(store, make.hold(note="n" * 500))
    store.close()
    opened(path).close()  # with the day's copy, before which the file is looked over
    pages = path.read_bytes()
    for start in range(0, len(pages), 4096):
        if b"n" * 400 in pages[start : start + 4096]:
            damage(path, start, 4096)

    before = path.read_bytes()

    for read_only in (False, True):
        with pytest.raises(DataError, match="is damaged"):
            opened(path, read_only=read_only)
    with open_store(
        path, clock=ManualClock(), read_only=True, may_be=MayBe.DAMAGED
    ) as again:
        assert any("SQLite finds" in finding for finding in again.check())
    assert before == path.read_bytes()


def test_a_file_where_the_folder_should_be_is_refused(tmp_path: Path) -> None:
    """A folder that can't be made is named, with what to do."""
    in_the_way = tmp_path / "data"
    in_the_way.write_text("")

    with pytest.raises(DataWriteError, match=r"data.*--db FILE"):
        opened(in_the_way / "log.db")


def test_a_folder_in_place_of_the_file_is_refused(tmp_path: Path) -> None:
    """A folder named as the data file is no data file."""
    with pytest.raises(DataError, match="can't be used for the data"):
        opened(tmp_path)


@pytest.mark.skipif(
    os.name == "nt" or os.geteuid() == 0, reason="root may write everywhere"
)
def test_a_read_only_folder_is_refused(path: Path, store: Store) -> None:
    """A log in a folder that can't be written is refused in one sentence."""
    store.close()
    path.chmod(0o400)
    path.parent.chmod(0o500)
    try:
        with pytest.raises(DataWriteError, match="can't be"):
            opened(path)
        opened(path, read_only=True).close()
    finally:
        path.parent.chmod(0o700)


_AS_NOBODY = """
import os, sys
from pathlib import Path
path = Path(sys.argv[1])
from trainer.core.clock import ManualClock
from trainer.store import open_store, store
os.setgid(65534); os.setuid(65534)
from trainer.errors import DataError
try:
    open_store(path, clock=ManualClock())
except DataError as error:
    print(int(error.exit_code), error)
with open_store(path, clock=ManualClock(), read_only=True) as store:
    print(len(store.history().sessions), "to look at")
"""


@pytest.mark.skipif(
    os.name == "nt" or os.geteuid() != 0, reason="only root can become somebody else"
)
def test_a_read_only_folder_is_refused_for_somebody_without_rights(
    store: Store, make: Makers
) -> None:
    """The same for tests that run as root: a child gives its rights up and tries."""
    make.logged(store, make.hold())
    store.close()
    # pytest's own folders are closed to other users.
    shared = Path(tempfile.mkdtemp())
    try:
        shutil.copy(store.path, shared / "log.db")
        (shared / "log.db").chmod(0o444)
        shared.chmod(0o555)
        done = subprocess.run(
            [sys.executable, "-c", _AS_NOBODY, str(shared / "log.db")],
            capture_output=True,
            text=True,
        )
    finally:
        shutil.rmtree(shared)

    if "ModuleNotFoundError" in done.stderr or "PermissionError" in done.stderr:
        pytest.skip("the interpreter itself is out of reach for other users here")
    refused, looked = done.stdout.splitlines()
    assert refused.startswith("3 The data file")
    assert "can't be" in refused
    assert "1 to look at" == looked


def test_a_locked_file_is_waited_for_and_then_refused(
    path: Path, store: Store, make: Makers
) -> None:
    """Another program that never lets go is named as the reason."""
    session = make.logged(store)
    with closing(sqlite3.connect(path, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")

        with pytest.raises(DataBusyError, match="written by another program"):
            store.save_hold(session.uid, make.hold())
        # Looking back is possible all the while.
        assert 1 == len(store.history().sessions)

        other.execute("ROLLBACK")
    store.save_hold(session.uid, make.hold())
    assert 1 == len(store.history().sessions[0].holds)


def test_a_file_locked_for_itself_by_another_program_cannot_be_opened(
    path: Path, store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Some tools lock a file against readers too: one sentence, exit code 3."""
    monkeypatch.setattr(database, "OPEN_WAIT_S", 0.05)
    store.close()
    with closing(sqlite3.connect(path, isolation_level=None)) as other:
        other.execute("PRAGMA journal_mode = DELETE")
        other.execute("BEGIN EXCLUSIVE")

        with pytest.raises(DataBusyError, match="Wait a moment"):
            opened(path)


def test_a_full_disk_loses_nothing(store: Store, make: Makers) -> None:
    """A hold that doesn't fit is refused whole; what was there stays readable."""
    session = make.logged(store, make.hold())
    pages = store._file.db.execute("PRAGMA page_count").fetchone()[0]
    store._file.db.execute(f"PRAGMA max_page_count = {pages}")

    def save_many() -> None:
        for number in range(2, 100):
            store.save_hold(session.uid, make.hold(set_number=number, note="n" * 1900))

    with pytest.raises(DataWriteError, match="disk is full"):
        save_many()

    whole = len(store.history().sessions[0].holds)
    assert [] == store.check()
    store._file.db.execute(f"PRAGMA max_page_count = {pages + 100}")
    store.save_hold(session.uid, make.hold(set_number=whole + 1))
    assert whole + 1 == len(store.history().sessions[0].holds)


_LIMITED = """
import resource, sys
from pathlib import Path
from trainer.core.clock import ManualClock
from trainer.errors import DataWriteError
from trainer.store import open_store
from tests.store.makers import Makers
clock = ManualClock()
make = Makers(clock)
with open_store(Path(sys.argv[1]), clock=clock) as store:
    session = make.logged(store)
    size = Path(sys.argv[1] + "-wal").stat().st_size
    resource.setrlimit(resource.RLIMIT_FSIZE, (size + 50_000,) * 2)
    saved = 0
    try:
        for number in range(1, 500):
            store.save_hold(session.uid, make.hold(set_number=number, note="n" * 900))
            saved += 1
    except DataWriteError as error:
        print(saved, error.message)
"""


@pytest.mark.skipif(os.name == "nt", reason="Windows has no limit on file sizes")
def test_a_disk_that_refuses_to_write_loses_no_hold_that_was_saved(
    path: Path,
) -> None:
    """The system refuses to let the file grow: every hold said to be saved is there."""
    done = subprocess.run(
        [sys.executable, "-c", _LIMITED, str(path)],
        capture_output=True,
        text=True,
        cwd=Path(__file__).parents[2],
        check=True,
    )

    saved, _, message = done.stdout.partition(" ")
    assert "the data file" in message
    with opened(path) as store:
        assert int(saved) == len(store.history().sessions[0].holds)
        assert [] == store.check()


def test_looking_makes_no_file(path: Path) -> None:
    """Opened to look, a file that isn't there stays so."""
    with pytest.raises(DataError, match="no data file"):
        opened(path, read_only=True)

    assert not path.parent.exists()


def test_looking_changes_nothing(path: Path, store: Store, make: Makers) -> None:
    """Opened to look, everything can be read and nothing written."""
    make.logged(store, make.hold())
    store.close()
    before = path.read_bytes()

    with opened(path, read_only=True) as looking:
        assert 1 == len(looking.history().sessions)
        assert not looking.take_lock()
        with pytest.raises(DataWriteError, match="reading only"):
            looking.set_answer("key", "value")

    assert before == path.read_bytes()


def test_without_write_ahead_log_the_file_works_too(
    path: Path, make: Makers, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where the file system has no shared memory, the rollback journal serves."""

    class NoSharedMemory(connection.Connection):
        """Refuses the mode as SQLite does: by staying in the one it is in."""

        def execute(self, sql: str, *values: object) -> sqlite3.Cursor:
            if "journal_mode = WAL" in sql:
                sql = "PRAGMA journal_mode"
            return super().execute(sql, *values)

    monkeypatch.setattr(connection, "Connection", NoSharedMemory)

    with opened(path) as store:
        session = make.logged(store, make.hold())
        mode = store._file.db.execute("PRAGMA journal_mode").fetchone()[0]
        assert "delete" == mode
        assert [session.uid] == [each.uid for each in store.history().sessions]


def test_a_file_named_with_odd_signs_works(tmp_path: Path, make: Makers) -> None:
    """Question marks and percent signs are part of a name, not of an address."""
    path = tmp_path / "my log?mode=ro #1 %41.db"

    with opened(path) as store:
        make.logged(store)
        store.backup()

    assert path.exists()
    with opened(path) as store:
        assert 1 == len(store.history().sessions)

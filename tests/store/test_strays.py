"""A log that a crash has left beside the data file, and a file that was replaced since.

A crash is acted out by copying what lies on the disk while the file is open.
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.store.makers import Makers
from trainer.core.clock import ManualClock
from trainer.errors import DataDamagedError, DataError
from trainer.store import Store, open_store

SIDES = ("", "-wal")


@pytest.fixture
def crashed(
    path: Path, tmp_path: Path, clock: ManualClock, make: Makers
) -> Callable[[], Path]:
    """Give a way to have a machine crash with a hold of 31 s in the log alone."""

    def crash() -> Path:
        with open_store(path, clock=clock) as store:
            make.logged(store, make.hold(held_s=30.0))
        with open_store(path, clock=clock) as store:
            make.logged(store, make.hold(held_s=31.0))
            there = tmp_path / "crashed"
            shutil.copytree(path.parent, there, ignore=shutil.ignore_patterns("*-shm"))
        assert (there / "log.db-wal").stat().st_size
        return there / "log.db"

    return crash


def held(store: Store) -> list[float]:
    return sorted(h.held_s for s in store.history().sessions for h in s.holds)


def replace(path: Path, by: Path) -> None:
    """Put a file in another's place, as folder-syncing programs do."""
    incoming = path.with_name("incoming")
    shutil.copy2(by, incoming)
    os.utime(incoming, (1_000_000_000, 1_000_000_000))  # its own machine's time
    os.replace(incoming, path)


def test_after_a_crash_the_log_is_the_files_own(
    crashed: Callable[[], Path], clock: ManualClock
) -> None:
    """All is there, and there is nothing to say."""
    with open_store(crashed(), clock=clock) as store:
        assert [30.0, 31.0] == held(store)
        assert () == store.notices


def test_a_file_that_was_replaced_after_a_crash_loses_nothing(
    crashed: Callable[[], Path],
    path: Path,
    clock: ManualClock,
    make: Makers,
) -> None:
    """Another machine's newer state in its place: both are there afterwards, that is
    said, and the file as it came is kept."""
    mine = crashed()
    clock.advance(3600)
    theirs = path.with_name("theirs.db")
    with open_store(path, clock=clock) as store:
        make.logged(store, make.hold(held_s=44.0))
        store.backup(theirs)
    replace(mine, theirs)

    with open_store(mine, clock=clock) as store:
        assert [30.0, 31.0, 44.0] == held(store)
        (said,) = store.notices
        assert "was replaced after a crash" in said
        assert [] == store.check()
    (kept,) = (mine.parent / "log.db-backups").glob("restore-*")
    with open_store(kept, clock=clock, read_only=True) as as_it_came:
        assert 44.0 in held(as_it_came)


def test_another_persons_file_beside_the_log_is_not_touched(
    crashed: Callable[[], Path], tmp_path: Path, clock: ManualClock, make: Makers
) -> None:
    """Nothing is played into it; what to do is said."""
    mine = crashed()
    theirs = tmp_path / "else" / "log.db"
    with open_store(theirs, clock=clock) as store:
        make.logged(store, make.hold(held_s=50.0))
    replace(mine, theirs)
    before = [mine.with_name(mine.name + side).read_bytes() for side in SIDES]

    with pytest.raises(DataDamagedError, match="isn't its own"):
        open_store(mine, clock=clock)

    assert before == [mine.with_name(mine.name + side).read_bytes() for side in SIDES]
    mine.with_name(mine.name + "-wal").rename(tmp_path / "aside")
    with open_store(mine, clock=clock) as store:
        assert [50.0] == held(store)


@pytest.mark.skipif(os.name == "nt", reason="links need rights on Windows")
def test_a_link_is_the_file_that_it_stands_for(
    path: Path, store: Store, clock: ManualClock, tmp_path: Path
) -> None:
    """One lock and one folder of copies, whatever name it is opened by; a link to
    nothing is said, and nothing made at its other end."""
    link, nowhere = tmp_path / "link.db", tmp_path / "nowhere.db"
    link.symlink_to(path)
    store.take_lock()
    with open_store(link, clock=clock) as same:
        assert not same.take_lock()
        assert path == same.path
    link.unlink()
    link.symlink_to(nowhere)

    with pytest.raises(DataError, match="is a link to"):
        open_store(link, clock=clock)
    assert not nowhere.exists()

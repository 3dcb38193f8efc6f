"""A damaged file: said on opening, never written to, read out as far as it goes."""

from __future__ import annotations

import json
import random
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from tests.store.makers import Makers
from trainer.core.clock import ManualClock
from trainer.errors import DataDamagedError, DataError
from trainer.store import open_store
from trainer.store.care.salvage import salvage

PAGE = 4096
DATA = Path(__file__).parent.parent / "data"


AN_HOUR_S, SESSIONS = 3600, 40


@pytest.fixture(scope="module")
def forty(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, dict[str, Any]]:
    """Close a file with forty sessions of four holds, copied once; give its folder and
    its export."""
    path = tmp_path_factory.mktemp("forty") / "log.db"
    make = Makers(ManualClock())
    with open_store(path, clock=make.clock) as store:
        for _ in range(SESSIONS):
            holds = [make.hold(set_number=n, note="n" * 60) for n in range(1, 5)]
            make.logged(store, *holds)
            make.clock.advance(AN_HOUR_S)
        document: dict[str, Any] = json.loads(json.dumps(store.export()))
    open_store(path, clock=make.clock).close()  # with the day's copy and its sum
    return path.parent, document


@pytest.fixture
def filled(
    path: Path, forty: tuple[Path, dict[str, Any]], make: Makers
) -> dict[str, Any]:
    """Put that file in its place; give its export."""
    folder, document = forty
    shutil.copytree(folder, path.parent)
    make.clock.advance(SESSIONS * AN_HOUR_S)
    return document


def uids(document: dict[str, Any]) -> set[str]:
    return {hold["uid"] for one in document["sessions"] for hold in one["holds"]}


def test_of_a_file_that_is_whole_all_is_read_out(
    path: Path, filled: dict[str, Any], make: Makers
) -> None:
    """Reading row by row gives just what an export gives."""
    found = salvage(path, today=make.clock.wall().date())

    assert filled == json.loads(json.dumps(found.document))
    assert (40, 160, 0) == (found.sessions, found.holds, found.unread)


@pytest.mark.parametrize("seed", range(6))
def test_flipped_bits_are_said_and_what_can_be_read_is_read_out(
    path: Path, filled: dict[str, Any], make: Makers, tmp_path: Path, seed: int
) -> None:
    """Two flips anywhere: the file opens and says the truth, or is refused untouched,
    with its last good copy named; what is read out was there, and import takes it.
    """
    draw, content = random.Random(seed), bytearray(path.read_bytes())
    for _ in range(2):
        content[draw.randrange(PAGE, len(content))] ^= 1 << draw.randrange(8)
    path.write_bytes(content)

    refused = ""
    try:
        with open_store(path, clock=make.clock) as again:
            assert uids(filled) == uids(again.export()) or again.notices
    except DataDamagedError as damaged:
        refused = str(damaged)
    if refused:
        assert "160 holds up to 2026-03-04" in refused
        assert "data restore 2026-03-04" in refused
        assert content == path.read_bytes()
    before = path.read_bytes()
    found = salvage(path, today=make.clock.wall().date())
    assert before == path.read_bytes()
    with open_store(tmp_path / "new.db", clock=make.clock) as new:
        new.import_document(json.loads(json.dumps(found.document)))
        taken_in = uids(new.export())
        assert [] == new.check()
    assert len(uids(filled) & taken_in) >= 100


def test_a_page_that_is_gone_costs_what_was_on_it(
    path: Path, filled: dict[str, Any], make: Makers, tmp_path: Path
) -> None:
    """Around it everything is read; holds without their session are kept under one."""
    content = bytearray(path.read_bytes())
    where = content.find(b"n" * 60) // PAGE * PAGE
    content[where : where + PAGE] = b"\xa5" * PAGE
    path.write_bytes(content)

    with pytest.raises(DataDamagedError):
        open_store(path, clock=make.clock)
    found = salvage(path, today=make.clock.wall().date())

    assert found.unread > 0
    assert 120 <= found.holds < 160
    with open_store(tmp_path / "new.db", clock=make.clock) as new:
        new.import_document(json.loads(json.dumps(found.document)))
        assert uids(found.document) == uids(new.export())


def test_a_damaged_schema_costs_no_hold(
    path: Path, filled: dict[str, Any], make: Makers
) -> None:
    """One bit in the text of a view, and SQLite takes no statement: all is read."""
    content = bytearray(path.read_bytes())
    content[content.find(b"CREATE VIEW")] ^= 1
    path.write_bytes(content)

    with pytest.raises(DataDamagedError):
        open_store(path, clock=make.clock)
    found = salvage(path, today=make.clock.wall().date())

    assert uids(filled) == uids(found.document)
    assert 1 == found.unread


def test_a_table_whose_making_is_damaged_costs_its_own_rows(
    path: Path, filled: dict[str, Any], make: Makers
) -> None:
    """What its text says can't be made out; every other table is read, and it is said
    that something wasn't."""
    content = bytearray(path.read_bytes())
    content[content.find(b'CREATE TABLE "hold_felt"')] ^= 1
    path.write_bytes(content)

    found = salvage(path, today=make.clock.wall().date())

    assert uids(filled) == uids(found.document)
    assert 1 == found.unread


def test_a_file_of_an_older_version_lacks_nothing(path: Path) -> None:
    """The tables that it never had aren't counted as rows that can't be read."""
    path.parent.mkdir()
    first = (DATA / "m001.sql").read_text(encoding="utf-8")
    with closing(sqlite3.connect(path)) as old:
        old.executescript(first)
    found = salvage(path, today=ManualClock().wall().date())

    assert (3, 0) == (found.holds, found.unread)


def test_a_file_of_nothing_says_so(tmp_path: Path) -> None:
    """No rows come out of noise: the copies are what is left."""
    path = tmp_path / "noise.db"
    path.write_bytes(random.Random(1).randbytes(20_000))

    with pytest.raises(DataError, match="can be read any more"):
        salvage(path, today=ManualClock().wall().date())

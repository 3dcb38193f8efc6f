"""Files that older versions left behind.

``tests/data/m001.sql`` is a made-up log in the tables of that migration, and
``m001.json`` what was exported from it then. When a migration is added, these stay as
they are, and ``old_files.py`` puts a pair for the new one beside them.
"""

from __future__ import annotations

import json
import sqlite3
from contextlib import closing
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from trainer.core.clock import ManualClock
from trainer.core.model import Hold
from trainer.store import BackupKind, Store, open_store
from trainer.store.schema import APPLICATION_ID, MIGRATIONS

DATA = Path(__file__).parents[1] / "data"
OLD = sorted(each.stem for each in DATA.glob("m*.sql"))


def build(name: str, path: Path) -> dict[str, Any]:
    """Make the old file, and give what was exported from it."""
    with closing(sqlite3.connect(path)) as old:
        old.executescript((DATA / f"{name}.sql").read_text(encoding="utf-8"))
        old.execute(f"PRAGMA application_id = {APPLICATION_ID}")
    document: dict[str, Any] = json.loads(
        (DATA / f"{name}.json").read_text(encoding="utf-8")
    )
    return document


def expected(then: dict[str, Any]) -> dict[str, Any]:
    """Give an old document as this version has it.

    The made-up m001 log has a session that was taken back with a hold in it, which no
    program ever did: where it comes to that, the session counts (``core.merging``).
    """
    counts = [
        session
        for session in then["taken_back"]["sessions"]
        if any("deleted_at" not in hold for hold in session["holds"])
    ]
    gone = [each for each in then["taken_back"]["sessions"] if each not in counts]
    return then | {
        "sessions": sorted(
            then["sessions"] + counts, key=lambda one: (one["started_at"], one["uid"])
        ),
        "taken_back": then["taken_back"] | {"sessions": gone},
    }


def covers(now: object, then: object) -> bool:
    """Tell whether everything of an old document is in today's."""
    if isinstance(then, dict) and isinstance(now, dict):
        return all(key in now and covers(now[key], then[key]) for key in then)
    if isinstance(then, list) and isinstance(now, list):
        return len(now) == len(then) and all(map(covers, now, then))
    return now == then


def without_version(then: dict[str, Any]) -> dict[str, Any]:
    """Give an old document without its number, which is today's afterwards."""
    return {key: value for key, value in then.items() if key != "version"}


@pytest.mark.parametrize("name", OLD)
def test_an_old_file_is_opened_with_all_that_is_in_it(
    name: str, tmp_path: Path
) -> None:
    """Every value that the older version exported is still there, and the file well."""
    then = build(name, tmp_path / "log.db")

    with open_store(tmp_path / "log.db", clock=ManualClock()) as store:
        assert covers(store.export(), expected(without_version(then)))
        assert [] == store.check()
        kinds = {each.kind for each in store.backups()}
    newest = MIGRATIONS[-1].__name__
    assert {
        BackupKind.DAILY if newest.startswith(name) else BackupKind.MIGRATION
    } == kinds


@pytest.mark.parametrize("name", OLD)
def test_an_old_document_can_be_imported(name: str, tmp_path: Path) -> None:
    """What an older version exported is taken in by this one."""
    then: dict[str, Any] = json.loads(
        (DATA / f"{name}.json").read_text(encoding="utf-8")
    )

    with open_store(tmp_path / "log.db", clock=ManualClock()) as store:
        store.import_document(then)

        assert covers(store.export(), expected(without_version(then)))


def test_ratings_of_the_first_tables_keep_their_wording(tmp_path: Path) -> None:
    """An RPE given in seconds left is never read as one in breaths left."""
    then = build("m001", tmp_path / "log.db")

    with (
        open_store(tmp_path / "log.db", clock=ManualClock()) as migrated,
        open_store(tmp_path / "other.db", clock=ManualClock()) as taken_in,
    ):
        taken_in.import_document(then)
        for store in (migrated, taken_in):
            holds = [h for s in store.history().sessions for h in s.holds]
            assert {1} == {hold.rpe_wording for hold in holds}
            rated = next(hold for hold in holds if hold.rpe is not None)

            store.correct_hold(replace(rated, note="a word more"))
            assert 1 == corrected(store, rated.uid).rpe_wording
            store.correct_hold(replace(rated, rpe=6.0))
            assert 2 == corrected(store, rated.uid).rpe_wording


def corrected(store: Store, uid: str) -> Hold:
    hold = store.hold(uid)
    assert hold is not None
    return hold


def test_the_first_tables_are_covered(tmp_path: Path) -> None:
    """The made-up log has something in every table, so that no migration can slip."""
    build("m001", tmp_path / "log.db")

    with closing(sqlite3.connect(tmp_path / "log.db")) as old:
        tables = [
            row[1]
            for row in old.execute("PRAGMA table_list")
            if row[0] == "main" and row[2] == "table" and "sqlite_" not in row[1]
        ]
        empty = [
            table
            for table in tables
            if not old.execute(f'SELECT count(*) FROM "{table}"').fetchone()[0]
        ]

    assert [] == empty
    assert 13 == len(tables)


def test_every_migration_has_its_old_file() -> None:
    """Who adds a migration puts a file of the version before beside the others."""
    names = [each.__name__ for each in MIGRATIONS]

    assert [name.partition("_")[0] for name in names] == OLD

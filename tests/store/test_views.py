"""The file as any other SQLite tool sees it: through Python's own sqlite3."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from dataclasses import replace
from datetime import date, datetime, timedelta, timezone
from pathlib import Path

import pytest

from tests.store.makers import Makers
from trainer.core.exercises import PRESS_PUSHUP
from trainer.core.model import Felt, Moment, Pain, PainKind, Side, Site
from trainer.core.plan.plan import Plan, default_plan
from trainer.core.weeks import IsoWeek
from trainer.store import Store


@pytest.fixture
def outside(path: Path, store: Store) -> Iterator[sqlite3.Connection]:
    """Another tool that looks into the same file."""
    with closing(sqlite3.connect(path)) as connection:
        connection.row_factory = sqlite3.Row
        yield connection


def test_the_log_reads_as_lines(
    store: Store, make: Makers, outside: sqlite3.Connection
) -> None:
    """A line for each hold, with the person's own date and time, in words."""
    at = datetime(2026, 3, 2, 23, 50, tzinfo=timezone(timedelta(hours=-8)))
    hold = make.hold(
        at,
        rpe=7.5,
        felt=(Felt(Site.LATS, Side.LEFT, Moment.EXHALE, 6.0), Felt(Site.RIBS)),
        pain=(
            Pain(PainKind.PAIN, Site.ELBOW, Side.RIGHT, date(2026, 3, 4)),
            Pain(PainKind.DIZZY),
        ),
    )
    gone = make.hold(at, set_number=2)
    make.logged(store, hold, gone, started_at=at)
    store.take_out_hold(gone.uid)

    (line,) = outside.execute("SELECT * FROM hold_log")

    assert {
        "local_date": "2026-03-02",
        "local_time": "23:50",
        "session_kind": "plan",
        "exercise": "hang",
        "held_s": 30.0,
        "rpe": 7.5,
        "felt": "lats left exhale 6.0, ribs",
        "pain": "pain elbow right gone 2026-03-04, dizzy",
    }.items() <= dict(line).items()


@pytest.mark.parametrize(
    ("day", "week"),
    # Examples of the ISO 8601 week: Wikipedia, "ISO week date" (from memory).
    [
        ("2005-01-01", "2004-W53"),
        ("2005-01-02", "2004-W53"),
        ("2005-12-31", "2005-W52"),
        ("2007-01-01", "2007-W01"),
        ("2008-12-29", "2009-W01"),
        ("2008-12-31", "2009-W01"),
        ("2009-12-31", "2009-W53"),
        ("2010-01-03", "2009-W53"),
    ],
)
def test_weeks_are_those_of_iso_8601(
    store: Store, make: Makers, outside: sqlite3.Connection, day: str, week: str
) -> None:
    """The view's weeks are the published ones at the turn of the year."""
    at = datetime.fromisoformat(f"{day}T12:00:00+01:00")
    make.logged(store, make.hold(at), started_at=at)

    (line,) = outside.execute("SELECT week FROM weekly_overhead")

    assert week == line["week"]


def test_the_views_weeks_agree_with_python(
    store: Store, make: Makers, outside: sqlite3.Connection
) -> None:
    """Days spread over eight years fall in the weeks that Python's calendar names."""
    days = [date(2024, 1, 1) + timedelta(days=n) for n in range(0, 2900, 73)]
    for day in days:
        at = datetime(day.year, day.month, day.day, 12, tzinfo=timezone.utc)
        make.logged(store, make.hold(at), started_at=at)

    found = [row["week"] for row in outside.execute("SELECT week FROM weekly_overhead")]

    named = [day.isocalendar() for day in days]
    assert [f"{week.year}-W{week.week:02d}" for week in named] == found


def test_time_overhead_counts_what_was_kept_overhead(
    store: Store, make: Makers, outside: sqlite3.Connection
) -> None:
    """Kept where it was said, held where not; the push-up position and an own
    exercise that isn't overhead don't count.
    """
    own = replace(PRESS_PUSHUP, id="own-plank", overhead=False)
    store.save_plan(replace(default_plan(), own=(own,)), valid_from=date(2026, 3, 1))
    make.logged(
        store,
        make.hold(kept_s=20.0),
        make.hold(held_s=25.5, exercise="press-pike"),
        make.hold(exercise="press-pushup"),
        make.hold(exercise="own-plank"),
    )

    (line,) = outside.execute("SELECT * FROM weekly_overhead")

    assert ("2026-W10", 45.5, 2, 1) == tuple(line)


@pytest.mark.parametrize(
    "change",
    [
        "UPDATE holds SET held_s = -1",
        "UPDATE holds SET held_s = 601",
        "UPDATE holds SET held_s = 'long'",
        "UPDATE holds SET kept_s = held_s + 1",
        "UPDATE holds SET rpe = 11",
        "UPDATE holds SET rpe = 7.3",
        "UPDATE holds SET target_s = 301",
        "UPDATE holds SET set_number = 0",
        "UPDATE holds SET ended_by = 'bored'",
        "UPDATE holds SET confirmed = 2",
        "UPDATE holds SET started_at = '2026-03-02 18:00'",
        "UPDATE holds SET started_at = '2026-13-02T18:00:00.000000Z'",
        "UPDATE holds SET updated_at = 'yesterday'",
        "UPDATE hold_felt SET site = ''",
        "UPDATE hold_felt SET strength = 11",
        "UPDATE hold_pain SET kind = 'stretch'",
        "UPDATE sessions SET local_date = '2026-02-30'",
        "UPDATE sessions SET kind = 'race'",
        "UPDATE sessions SET utc_offset_min = 1440",
        "UPDATE sessions SET uid = 'short'",
        "INSERT INTO rest_weeks VALUES ('x', '2026-11', '', '', NULL)",
        "UPDATE rest_weeks SET week = '9999-W52'",
        "UPDATE rest_weeks SET week = '1969-W52'",
        "UPDATE plans SET document = '{'",
    ],
)
def test_no_tool_can_write_what_cannot_be(
    store: Store, make: Makers, outside: sqlite3.Connection, change: str
) -> None:
    """The tables themselves refuse it, whoever writes."""
    make.logged(
        store,
        make.hold(
            kept_s=20.0,
            felt=(Felt(Site.LATS),),
            pain=(Pain(PainKind.PAIN, Site.ELBOW),),
        ),
    )
    store.save_plan(default_plan(), valid_from=date(2026, 3, 1))
    store.set_rest_week(IsoWeek(2026, 11), True)

    with pytest.raises(sqlite3.IntegrityError):
        outside.execute(change)


def test_every_table_is_strict_and_described(outside: sqlite3.Connection) -> None:
    """Types are enforced; the schema's description names every table and view."""
    from trainer.store import schema

    tables = [
        row for row in outside.execute("PRAGMA table_list") if row["schema"] == "main"
    ]
    ours = [row for row in tables if not row["name"].startswith(("sqlite_", "_sqlite"))]

    assert [] == [
        row["name"] for row in ours if row["type"] == "table" and not row["strict"]
    ]
    assert schema.__doc__ is not None
    assert [] == [row["name"] for row in ours if row["name"] not in schema.__doc__]


def test_check_finds_what_a_tool_left_behind(
    store: Store, make: Makers, outside: sqlite3.Connection
) -> None:
    """Rows that the tables allow but that can't be true are found, in sentences."""
    session = make.logged(store, make.hold())
    assert [] == store.check()
    outside.execute("UPDATE sessions SET local_date = '2026-03-05'")
    outside.execute("UPDATE holds SET started_at = '2026-03-09T17:00:00.000000Z'")
    outside.execute("UPDATE sessions SET ended_at = '2026-03-01T17:00:00.000000Z'")
    outside.commit()

    findings = store.check()

    assert f"Session {session.uid} ends before it starts." in findings
    assert f"Session {session.uid} is not on the day on which it began." in findings
    assert any("more than a day away" in finding for finding in findings)


def test_check_finds_rows_without_their_owner(
    store: Store, make: Makers, outside: sqlite3.Connection
) -> None:
    """A tool that doesn't look at foreign keys can leave rows alone."""
    make.logged(store, make.hold(felt=(Felt(Site.LATS),)))
    outside.execute("DELETE FROM holds")
    outside.commit()

    assert any("lost its owner in holds" in finding for finding in store.check())


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ("UPDATE hold_felt SET site = 'elbow'", "was felt at a place"),
        ("UPDATE hold_pain SET site = 'ear'", "hurt at a place"),
        ("UPDATE holds SET stopped_by = 'boredom'", "was stopped by something"),
    ],
)
def test_a_word_that_isnt_known_here_is_found(
    store: Store, make: Makers, outside: sqlite3.Connection, change: str, said: str
) -> None:
    """The lists of places and reasons are the program's; it looks for other words."""
    pain = (Pain(PainKind.PAIN, Site.ELBOW),)
    make.logged(store, make.hold(felt=(Felt(Site.LATS),), pain=pain))
    with outside:
        outside.execute(change)

    assert any(said in finding for finding in store.check())


@pytest.mark.parametrize(
    "document", ["{}", '{"days": [9]}', '{"exercises": [{"sets": "3"}]}', "[1]"]
)
def test_check_finds_a_plan_that_cannot_be_read(
    store: Store, make: Makers, outside: sqlite3.Connection, document: str
) -> None:
    """A flipped bit in a plan's text is a finding with the plan's date, and no end of
    the looking."""
    store.save_plan(Plan(), valid_from=date(2026, 3, 2))
    outside.execute("UPDATE plans SET document = ?", [document])
    outside.commit()

    findings = store.check()

    assert document == "{}" or any("plan of 2026-03-02" in each for each in findings)

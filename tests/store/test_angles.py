"""Angle checks in the data file: kept, corrected, taken back, carried over."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest

from tests.core.angle.poses import person
from tests.new_files import new_store
from trainer.core import words
from trainer.core.angle.check import (
    AngleCheck,
    Blades,
    Method,
    Photo,
    Pose,
    Position,
    Reach,
    When,
)
from trainer.core.angle.figures import Figures, measure
from trainer.core.angle.landmarks import Facing, Landmarks
from trainer.core.clock import ManualClock
from trainer.core.model import Side
from trainer.errors import DataError, DataWriteError
from trainer.store import Store

PHOTO = Photo("[b]reach.jpg", "ab" * 32, 4000, 3000)
MARKED = person(overhead_deg=171.0, lean_deg=3.0, facing=Facing.LEFT)
WHOLE = Position(
    pose=Pose.PRESS,
    exercise="press-pushup",
    blades=Blades.PRESSED,
    side=Side.LEFT,
    when=When.AFTER,
)


def _check(
    clock: ManualClock,
    *,
    position: Position = Position(reach=Reach.GUARDED),  # noqa: B008 - frozen
    landmarks: Landmarks | None = MARKED,
    degrees: float = 160.0,
    note: str = "",
) -> AngleCheck:
    at = clock.wall()
    return AngleCheck(
        uid=str(uuid4()),
        measured_at=at,
        utc_offset_min=0,
        local_date=at.date(),
        position=position,
        figures=Figures(overhead_deg=degrees)
        if landmarks is None
        else measure(landmarks),
        landmarks=landmarks,
        photo=PHOTO if landmarks is not None else None,
        note=note,
    )


@pytest.fixture
def clock() -> ManualClock:
    return ManualClock()


@pytest.fixture
def store(tmp_path: Path, clock: ManualClock) -> Any:
    with new_store(tmp_path / "log.db", clock) as opened:
        yield opened


def _utc(check: AngleCheck) -> AngleCheck:
    """Return the check with its offset as the file keeps it."""
    offset = check.measured_at.utcoffset()
    assert offset is not None
    return replace(check, utc_offset_min=round(offset.total_seconds() / 60))


class TestKept:
    @pytest.mark.parametrize(
        ("position", "landmarks"),
        [
            (Position(reach=Reach.GUARDED), MARKED),
            (Position(reach=Reach.FREE), replace(MARKED, rib=None, ear=None)),
            (WHOLE, replace(MARKED, ear=None, ear_hidden=True)),
            (WHOLE, replace(MARKED, elbow=None, wrist=MARKED.elbow)),
            (Position(method=Method.INCLINOMETER), None),
        ],
    )
    def test_a_check_comes_back_as_it_was(
        self,
        store: Store,
        clock: ManualClock,
        position: Position,
        landmarks: Landmarks | None,
    ) -> None:
        """Every answer, every point, the photo's name and hash."""
        check = _utc(
            _check(clock, position=position, landmarks=landmarks, note="[/] x")
        )
        store.add_angle_check(check)

        assert (check,) == store.angle_checks()

    def test_one_that_doesn_t_fit_on_the_disk_is_refused_whole(
        self, store: Store, clock: ManualClock
    ) -> None:
        """Those before it stay as they were, and the file is well."""
        kept = []
        pages = store._file.db.execute("PRAGMA page_count").fetchone()[0]
        store._file.db.execute(f"PRAGMA max_page_count = {pages}")

        def add_many() -> None:
            for _ in range(200):
                check = _utc(_check(clock, note="n" * 1900))
                store.add_angle_check(check)
                kept.append(check)

        with pytest.raises(DataWriteError, match="disk is full"):
            add_many()

        assert sorted(one.uid for one in kept) == sorted(
            one.uid for one in store.angle_checks()
        )
        assert [] == store.check()

    def test_no_photo_and_no_path_is_in_the_file(
        self, store: Store, clock: ManualClock
    ) -> None:
        """The name without its folder, and nothing that could hold a picture."""
        store.add_angle_check(_check(clock))
        with closing(sqlite3.connect(store.path)) as db:
            columns = {
                row[1]: row[2] for row in db.execute("PRAGMA table_info(angle_checks)")
            }
            with pytest.raises(sqlite3.IntegrityError):
                db.execute("UPDATE angle_checks SET photo_name = 'home/me/reach.jpg'")

        assert "BLOB" not in columns.values()
        assert not any("path" in name for name in columns)

    def test_a_number_stays_with_its_check(
        self, store: Store, clock: ManualClock
    ) -> None:
        """Also when one before it was taken back, or one of an earlier day is added."""
        first, second, third = (_check(clock, degrees=d) for d in (150, 155, 160))
        store.add_angle_check(first)
        clock.advance(60)
        store.add_angle_check(second)
        clock.advance(60)
        store.add_angle_check(replace(third, local_date=date(2026, 1, 1)))
        last = store.last_logged()
        assert last is not None
        store.take_back(last)
        clock.advance(60)
        fourth = _check(clock)
        store.add_angle_check(fourth)

        assert {1: first.uid, 2: second.uid, 4: fourth.uid} == {
            number: each.uid for number, each in store.numbered_angle_checks().items()
        }


class TestCorrected:
    def test_keeps_the_former_and_undo_brings_it_back(
        self, store: Store, clock: ManualClock
    ) -> None:
        """First the correction goes, then the check."""
        check = _utc(_check(clock))
        store.add_angle_check(check)
        clock.advance(60)
        moved = person(overhead_deg=165.0)
        later = replace(check, landmarks=moved, figures=measure(moved), note="moved")

        assert store.correct_angle_check(later)
        assert not store.correct_angle_check(later)
        assert (later,) == store.angle_checks()
        said = []
        for _ in range(2):
            clock.advance(60)
            last = store.last_logged()
            assert last is not None
            said.append(last.sentence)
            assert store.take_back(last)
            if len(said) == 1:
                assert (check,) == store.angle_checks()
        day = words.day(check.local_date)

        assert [
            f"the correction of the angle check of {day}",
            f"the angle check of {day}",
        ] == said
        assert () == store.angle_checks()

    def test_refuses_a_check_that_is_gone(
        self, store: Store, clock: ManualClock
    ) -> None:
        """Nothing is written under a uid that nobody logged."""
        with pytest.raises(DataError, match="not in the log"):
            store.correct_angle_check(_check(clock))


class TestCarriedOver:
    def test_two_machines_become_one(
        self, store: Store, clock: ManualClock, tmp_path: Path
    ) -> None:
        """Checks, corrections and what was taken back; twice is once."""
        kept, gone = _utc(_check(clock)), _check(clock, degrees=140, landmarks=None)
        store.add_angle_check(kept)
        store.add_angle_check(gone)
        last = store.last_logged()
        assert last is not None
        store.take_back(last)
        clock.advance(60)
        later = replace(kept, note="seen again")
        store.correct_angle_check(later)
        document = store.export()
        with new_store(tmp_path / "other.db", clock) as other:
            other.import_document(document)
            again = other.import_document(document)
            theirs = other.export()

            assert (later,) == other.angle_checks()
            assert not again.changed
            for key in ("angle_checks", "angle_corrections", "taken_back"):
                assert document[key] == theirs[key]
            correction = other.last_logged()
            assert correction is not None
            clock.advance(60)
            other.take_back(correction)

            assert (kept,) == other.angle_checks()

    @pytest.mark.parametrize(
        ("changed", "says"),
        [
            ({"method": "guess"}, r"angle_checks\[0\]\.method is 'guess'"),
            ({"overhead_deg": 400, "landmarks": {}}, "400° is no overhead angle"),
            ({"landmarks": {"hip": [1, 2]}}, "shoulder and hip have to be marked"),
            ({"landmarks": {"knee": [1, 2]}}, r"landmarks\.knee is no landmark"),
            ({"landmarks": {"hip": [1]}}, r"landmarks\.hip is no point"),
            ({"side": "both"}, "one arm"),
            ({"blades": "sunk"}, "belongs to a press"),
            ({"photo": {"name": "x"}}, r"photo\.sha256 is missing"),
        ],
    )
    def test_what_can_t_be_believed_is_said_and_changes_nothing(
        self,
        store: Store,
        clock: ManualClock,
        tmp_path: Path,
        changed: dict[str, Any],
        says: str,
    ) -> None:
        """With the place where it stands."""
        store.add_angle_check(_check(clock))
        document = store.export()
        (row,) = document["angle_checks"]
        with new_store(tmp_path / "other.db", clock) as other:
            with pytest.raises(Exception, match=says):
                other.import_document(document | {"angle_checks": [row | changed]})

            assert () == other.angle_checks()

"""Angle checks: their rows and their corrections.

Figures that follow from landmarks are worked out from them whenever they are read, so
that two machines with the same landmarks have the same figures. The columns keep them
for other SQLite tools.
"""

from __future__ import annotations

import contextlib
import json
from collections.abc import Mapping
from datetime import date
from typing import Any
from uuid import uuid4

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
from trainer.core.angle.figures import Ear, Figures, measure
from trainer.core.angle.landmarks import (
    ArmPoint,
    Facing,
    LandmarkError,
    Landmarks,
    Point,
)
from trainer.core.model import Side
from trainer.errors import DataError
from trainer.store.connection import Connection
from trainer.store.rows import from_utc_text, insert, put, set_deleted, utc_text

Row = dict[str, Any]
POINTS = ("elbow", "wrist", "shoulder", "hip", "rib", "ear")
"""The names of landmarks, as the table and a document keep them."""


def read_checks(db: Connection) -> tuple[AngleCheck, ...]:
    """Return all checks that weren't taken back, in order of time."""
    rows = db.query(
        "SELECT * FROM angle_checks WHERE deleted_at IS NULL ORDER BY measured_at, uid"
    )
    return tuple(check_of(row) for row in rows)


def read_numbered(db: Connection) -> dict[int, AngleCheck]:
    """Return the checks by number: counted as they were logged, gaps for those gone."""
    rows = db.query("SELECT * FROM angle_checks ORDER BY logged_at, rowid")
    return {
        number: check_of(row)
        for number, row in enumerate(rows, start=1)
        if row["deleted_at"] is None
    }


def check_of(row: Mapping[str, Any]) -> AngleCheck:
    """Return the check of a row."""
    marked, figures = _marked_of(row)
    return AngleCheck(
        uid=row["uid"],
        measured_at=from_utc_text(row["measured_at"]),
        utc_offset_min=row["utc_offset_min"],
        local_date=date.fromisoformat(row["local_date"]),
        position=Position(
            method=Method(row["method"]),
            pose=Pose(row["pose"]),
            exercise=row["exercise"],
            side=_word(Side, row["side"]),
            reach=_word(Reach, row["reach"]),
            blades=_word(Blades, row["blades"]),
            when=_word(When, row["taken"]),
        ),
        figures=figures,
        landmarks=marked,
        photo=_photo_of(row),
        note=row["note"],
    )


def _marked_of(row: Mapping[str, Any]) -> tuple[Landmarks | None, Figures]:
    """Return the landmarks with what they measure, else the figures as they stand.

    A document that somebody wrote may have figures and points that measure nothing.
    """
    points = json.loads(row["landmarks"])
    if points and row["facing"] is not None:
        hidden = row["ear"] == Ear.HIDDEN
        with contextlib.suppress(LandmarkError):
            marked = landmarks_from(points, Facing(row["facing"]), hidden=hidden)
            return marked, measure(marked)
    return None, _figures_of(row)


def _word(kind: Any, word: str | None) -> Any:
    return None if word is None else kind(word)


def landmarks_from(
    points: Mapping[str, Any], facing: Facing, *, hidden: bool
) -> Landmarks:
    """Return landmarks kept as pairs of numbers by name.

    Raises:
        LandmarkError: shoulder or hip are missing, or nothing is measured on them.
    """
    at = {name: Point(*points[name]) for name in POINTS if name in points}
    if "shoulder" not in at or "hip" not in at:
        raise LandmarkError("shoulder and hip have to be marked")
    return Landmarks(
        shoulder=at["shoulder"],
        hip=at["hip"],
        facing=facing,
        elbow=at.get("elbow"),
        wrist=at.get("wrist"),
        rib=at.get("rib"),
        ear=at.get("ear"),
        ear_hidden=hidden and "ear" not in at,
    )


def _figures_of(row: Mapping[str, Any]) -> Figures:
    return Figures(
        overhead_deg=row["overhead_deg"],
        overhead_sd_deg=row["uncertainty_deg"],
        arm_point=_word(ArmPoint, row["arm_point"]),
        lean_deg=row["lean_deg"],
        flare=row["rib_flare"],
        lift=row["lift"],
        ear=_word(Ear, row["ear"]),
    )


def _photo_of(row: Mapping[str, Any]) -> Photo | None:
    if not row["photo_sha256"]:
        return None
    return Photo(
        row["photo_name"],
        row["photo_sha256"],
        row["photo_width"],
        row["photo_height"],
    )


def row_of(check: AngleCheck) -> Row:
    """Return a check's columns, without its stamps."""
    position, figures, marked = check.position, check.figures, check.landmarks
    photo = check.photo
    points = {} if marked is None else marked.points()
    return {
        "uid": check.uid,
        "measured_at": utc_text(check.measured_at),
        "utc_offset_min": check.utc_offset_min,
        "local_date": check.local_date.isoformat(),
        "method": position.method.value,
        "pose": position.pose.value,
        "exercise": position.exercise,
        "side": position.side,
        "reach": position.reach,
        "blades": position.blades,
        "taken": position.when,
        "facing": None if marked is None else marked.facing.value,
        "overhead_deg": figures.overhead_deg,
        "uncertainty_deg": figures.overhead_sd_deg,
        "arm_point": figures.arm_point,
        "lean_deg": figures.lean_deg,
        "rib_flare": figures.flare,
        "lift": figures.lift,
        "ear": figures.ear,
        "landmarks": json.dumps({name: [at.x, at.y] for name, at in points.items()}),
        "photo_name": "" if photo is None else photo.name,
        "photo_sha256": "" if photo is None else photo.sha256,
        "photo_width": None if photo is None else photo.width,
        "photo_height": None if photo is None else photo.height,
        "note": check.note,
    }


def write_check(db: Connection, check: AngleCheck, now: str) -> None:
    """Write a check, new or changed."""
    put(db, "angle_checks", row_of(check), now)


def correct_check(db: Connection, check: AngleCheck, now: str) -> bool:
    """Write later figures of a check and keep the former; False if nothing changed."""
    row = next(
        iter(
            db.query(
                "SELECT * FROM angle_checks WHERE uid = ? AND deleted_at IS NULL",
                [check.uid],
            )
        ),
        None,
    )
    if row is None:
        raise DataError("That angle check is not in the log any more")
    former, later = row_of(check_of(row)), row_of(check)
    if former == later:
        return False
    write_check(db, check, now)
    insert(
        db,
        "angle_corrections",
        {
            "uid": str(uuid4()),
            "check_uid": check.uid,
            "from_json": json.dumps(former, ensure_ascii=False),
            "to_json": json.dumps(later, ensure_ascii=False),
            "logged_at": now,
            "updated_at": now,
        },
    )
    return True


def take_back_correction(db: Connection, uid: str, now: str) -> bool:
    """Put a check back to what it was before a correction; False if done already."""
    row = next(
        iter(
            db.query(
                "SELECT check_uid, from_json FROM angle_corrections"
                " WHERE uid = ? AND deleted_at IS NULL",
                [uid],
            )
        ),
        None,
    )
    if row is None:
        return False
    put(db, "angle_checks", json.loads(row["from_json"]), now)
    return set_deleted(db, "angle_corrections", uid, now, deleted=True)

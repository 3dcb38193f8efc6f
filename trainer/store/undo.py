"""Taking back what was logged last."""

from __future__ import annotations

import json
from datetime import date
from typing import Any

from trainer.core import words
from trainer.core.exercises import brief_name
from trainer.core.logbook import Logged, LoggedKind
from trainer.core.record import Record
from trainer.core.session.document import hold_document
from trainer.core.weeks import IsoWeek
from trainer.store import log
from trainer.store.angles import take_back_correction
from trainer.store.connection import Connection
from trainer.store.decisions import read_plans, uid_with_plan
from trainer.store.document import hold_in
from trainer.store.rows import set_deleted

_TABLES = {
    LoggedKind.HOLD: "holds",
    LoggedKind.SESSION: "sessions",
    LoggedKind.TARGET: "targets",
    LoggedKind.REST_WEEK: "rest_weeks",
    LoggedKind.ANGLE_CHECK: "angle_checks",
    LoggedKind.ANGLE_CORRECTION: "angle_corrections",
    LoggedKind.PLAN: "plans",
}
# A session is only offered when it is over and nothing is left in it: undo goes one
# hold at a time, and never takes the ground from under a session that is running.
# Rows logged in the same instant come in the order of the list.
_LATEST = """
SELECT 'hold' AS kind, h.uid, h.logged_at, 1 AS place, h.rowid AS number FROM holds h
    WHERE h.deleted_at IS NULL
UNION ALL
SELECT 'session', s.uid, s.logged_at, 2, s.rowid FROM sessions s
    WHERE s.deleted_at IS NULL AND s.ended_at IS NOT NULL
    AND NOT EXISTS (SELECT 1 FROM holds h
        WHERE h.session_uid = s.uid AND h.deleted_at IS NULL)
    AND NOT EXISTS (SELECT 1 FROM journal j WHERE j.session_uid = s.uid)
UNION ALL SELECT 'target', uid, logged_at, 3, rowid FROM targets
    WHERE deleted_at IS NULL
UNION ALL SELECT 'rest-week', uid, logged_at, 4, rowid FROM rest_weeks
    WHERE deleted_at IS NULL
UNION ALL SELECT 'angle-check', uid, logged_at, 5, rowid FROM angle_checks
    WHERE deleted_at IS NULL
UNION ALL SELECT 'plan', uid, logged_at, 6, rowid FROM plans
    WHERE deleted_at IS NULL
UNION ALL SELECT 'angle-correction', c.uid, c.logged_at, 7, c.rowid
    FROM angle_corrections c JOIN angle_checks a ON a.uid = c.check_uid
    WHERE c.deleted_at IS NULL AND a.deleted_at IS NULL
ORDER BY logged_at DESC, place, number DESC LIMIT 1
"""


def read_last_logged(db: Connection) -> Logged | None:
    """Give what was logged last and not taken back, or None."""
    correction = _last_correction(db)
    for row in db.query(_LATEST):
        if correction is not None and correction["corrected_at"] >= row["logged_at"]:
            sentence = _sentence(db, LoggedKind.CORRECTION, correction)
            return Logged(
                kind=LoggedKind.CORRECTION, uid=correction["uid"], sentence=sentence
            )
        kind = LoggedKind(row["kind"])
        plan_uid = _came_with(db, row["uid"]) if kind is LoggedKind.TARGET else None
        if plan_uid is not None:
            kind, row["uid"] = LoggedKind.PLAN, plan_uid
        return Logged(kind=kind, uid=row["uid"], sentence=_sentence(db, kind, row))
    return None


def write_taken_back(db: Connection, logged: Logged, now: str) -> bool:
    """Take a thing back: a session added by hand with its last hold, a plan's change
    with the targets that came with it.
    """
    if logged.kind is LoggedKind.ANGLE_CORRECTION:
        return take_back_correction(db, logged.uid, now)
    if logged.kind is LoggedKind.CORRECTION:
        return _take_back_correction(db, logged.uid, now)
    done = set_deleted(db, _TABLES[logged.kind], logged.uid, now, deleted=True)
    if logged.kind is LoggedKind.PLAN:
        for target in _with_plan(db, logged.uid):
            set_deleted(db, "targets", target["uid"], now, deleted=True)
    if logged.kind is LoggedKind.SESSION:
        _take_back_holds_of(db, logged.uid, now)
    if logged.kind is LoggedKind.HOLD:
        for row in db.query(
            "SELECT s.uid FROM sessions s JOIN holds t ON t.session_uid = s.uid"
            " WHERE t.uid = ? AND s.kind = 'added' AND NOT EXISTS (SELECT 1"
            " FROM holds h WHERE h.session_uid = s.uid AND h.deleted_at IS NULL)",
            [logged.uid],
        ):
            set_deleted(db, "sessions", row["uid"], now, deleted=True)
    return done


def _take_back_holds_of(db: Connection, session_uid: str, now: str) -> None:
    """Take the holds of a session back: it would count for them."""
    for (uid,) in db.execute(
        "SELECT uid FROM holds WHERE session_uid = ? AND deleted_at IS NULL",
        [session_uid],
    ).fetchall():
        set_deleted(db, "holds", uid, now, deleted=True)


Changes = dict[str, tuple[str, str]]
"""What was changed in one correction: a field to its former and its later value."""


def _last_correction(db: Connection) -> dict[str, Any] | None:
    """Return a row of the last correction of a hold that stands, or None.

    A correction stays in the log when it is taken back, and so does what took it back:
    the one that gives each of its figures their former values again.
    """
    standing: dict[str, list[tuple[dict[str, Any], Changes]]] = {}
    for row, changes in _corrections(db):
        stack = standing.setdefault(row["hold_uid"], [])
        back = {what: (later, former) for what, (former, later) in changes.items()}
        if stack and stack[-1][1] == back:
            stack.pop()
        else:
            stack.append((row, changes))
    last = [stack[-1][0] for stack in standing.values() if stack]
    return max(last, key=lambda row: str(row["corrected_at"]), default=None)


def _corrections(db: Connection) -> list[tuple[dict[str, Any], Changes]]:
    """Return each correction of a hold in the log, oldest first, with its changes."""
    found: dict[tuple[str, str], tuple[dict[str, Any], Changes]] = {}
    for row in db.query(
        "SELECT c.* FROM corrections c JOIN holds h ON h.uid = c.hold_uid"
        " WHERE h.deleted_at IS NULL ORDER BY c.corrected_at, c.what"
    ):
        key = (row["hold_uid"], row["corrected_at"])
        _, changes = found.setdefault(key, (row, {}))
        changes[row["what"]] = (row["from_json"], row["to_json"])
    return list(found.values())


def _take_back_correction(db: Connection, uid: str, now: str) -> bool:
    """Give a hold's corrected figures their former values; that is kept as well."""
    found = [row for row, _ in _corrections(db) if row["uid"] == uid]
    if not found:
        return False
    (changes,) = (changes for row, changes in _corrections(db) if row["uid"] == uid)
    stored = log.former_hold(db, found[0]["hold_uid"])
    if stored is None:
        return False
    session_uid, hold = stored
    former = {what: json.loads(value) for what, (value, _) in changes.items()}
    restored = hold_in(Record.of(hold_document(hold) | former))
    log.write_hold(db, session_uid, restored, now)
    log.write_corrections(db, hold, restored, now)
    return True


def _sentence(db: Connection, kind: LoggedKind, row: dict[str, Any]) -> str:
    uid = [row["uid"]]
    if kind is LoggedKind.HOLD:
        found = _one(
            db,
            "SELECT h.exercise, h.held_s, h.ended_by, s.local_date FROM holds h"
            " JOIN sessions s ON s.uid = h.session_uid WHERE h.uid = ?",
            uid,
        )
        how = ", added by hand" if found["ended_by"] == "added" else ""
        held = f"{_called(db, found)}, {int(found['held_s'])} s held"
        return f"{held}, on {_day(found['local_date'])}{how}"
    if kind is LoggedKind.SESSION:
        found = _one(db, "SELECT kind, local_date FROM sessions WHERE uid = ?", uid)
        return f"a session without holds, on {_day(found['local_date'])}"
    if kind is LoggedKind.TARGET:
        found = _one(db, "SELECT * FROM targets WHERE uid = ?", uid)
        target = f"the target of {found['target_s']:g} s for {_called(db, found)}"
        return f"{target}, set on {_day(found['local_date'])}"
    if kind is LoggedKind.REST_WEEK:
        found = _one(db, "SELECT week FROM rest_weeks WHERE uid = ?", uid)
        monday = IsoWeek.parse(found["week"]).monday
        return f"the rest week of {words.day(monday)} ({found['week']})"
    if kind is LoggedKind.PLAN:
        found = _one(db, "SELECT valid_from FROM plans WHERE uid = ?", uid)
        said = f"the change of the plan, in force from {_day(found['valid_from'])}"
        targets = " and ".join(
            f"the target of {target['target_s']:g} s for {_called(db, target)}"
            for target in _with_plan(db, row["uid"])
        )
        return f"{said}, with {targets}" if targets else said
    if kind is LoggedKind.CORRECTION:
        found = _one(
            db,
            "SELECT h.exercise, s.local_date FROM holds h"
            " JOIN sessions s ON s.uid = h.session_uid WHERE h.uid = ?",
            [row["hold_uid"]],
        )
        day = _day(found["local_date"])
        return f"the correction of {_called(db, found)} on {day}"
    if kind is LoggedKind.ANGLE_CORRECTION:
        found = _one(
            db,
            "SELECT a.local_date FROM angle_checks a JOIN angle_corrections c"
            " ON c.check_uid = a.uid WHERE c.uid = ?",
            uid,
        )
        return f"the correction of the angle check of {_day(found['local_date'])}"
    found = _one(db, "SELECT local_date FROM angle_checks WHERE uid = ?", uid)
    return f"the angle check of {_day(found['local_date'])}"


def _called(db: Connection, row: dict[str, Any]) -> str:
    """Return the short name of a row's exercise, by the latest plan that knows it."""
    exercise = str(row["exercise"])
    for _, plan in reversed(read_plans(db)):
        if exercise in plan.known_ids():
            return plan.brief_name(exercise)
    return brief_name(exercise)


def _day(written: str) -> str:
    return words.day(date.fromisoformat(written))


def _came_with(db: Connection, target_uid: str) -> str | None:
    """Give the change of the plan that a target came with, or None."""
    for row in db.query(
        "SELECT p.uid, t.exercise FROM plans p JOIN targets t"
        " ON t.logged_at = p.logged_at WHERE t.uid = ? AND p.deleted_at IS NULL",
        [target_uid],
    ):
        if uid_with_plan(row["uid"], row["exercise"]) == target_uid:
            return str(row["uid"])
    return None


def _with_plan(db: Connection, plan_uid: str) -> list[dict[str, Any]]:
    """Give the targets that came with a change of the plan and still stand."""
    rows = db.query(
        "SELECT t.* FROM targets t JOIN plans p ON t.logged_at = p.logged_at"
        " WHERE p.uid = ? AND t.deleted_at IS NULL ORDER BY t.rowid",
        [plan_uid],
    )
    return [
        row for row in rows if uid_with_plan(plan_uid, row["exercise"]) == row["uid"]
    ]


def _one(db: Connection, sql: str, values: list[Any]) -> dict[str, Any]:
    return next(iter(db.query(sql, values)))

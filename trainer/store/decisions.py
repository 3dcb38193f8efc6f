"""What the person decided: plans, targets, rest weeks, answers, and what was shown."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date, datetime
from uuid import UUID, uuid4, uuid5

from trainer.core.model import ShownSuggestion, TargetSet
from trainer.core.plan.codec import plan_from_dict, plan_to_dict
from trainer.core.plan.plan import Plan
from trainer.core.weeks import IsoWeek
from trainer.store.connection import Connection
from trainer.store.rows import (
    insert,
    later_than,
    put,
    shown_of,
    shown_row,
    stamp,
    target_of,
    target_row,
)


def write_plan(
    db: Connection,
    plan: Plan,
    valid_from: date,
    now: str,
    targets: Iterable[TargetSet] = (),
) -> None:
    """Keep PLAN as the one in force from a day on; earlier ones stay as they were.

    Each is a row of its own, also of the same day, so that undo finds the one before.
    TARGETS come with it: their ids follow from its own, so that one undo takes all.
    """
    day = valid_from.isoformat()
    uid = str(uuid4())
    row = {
        "uid": uid,
        "valid_from": day,
        "document": json.dumps(plan_to_dict(plan), ensure_ascii=False),
    }
    logged_at = _after_the_plans_of(db, day, now)
    put(db, "plans", row, logged_at)
    for target in targets:
        with_it = replace(target, uid=uid_with_plan(uid, target.exercise))
        write_target(db, with_it, logged_at)


def uid_with_plan(plan_uid: str, exercise: str) -> str:
    """Give the id of the target that came for an exercise with a change of the plan."""
    return str(uuid5(UUID(plan_uid), exercise))


def _after_the_plans_of(db: Connection, day: str, now: str) -> str:
    """Give NOW, but always after every plan of a day: the latest one is in force."""
    found = db.execute(
        "SELECT max(logged_at) FROM plans WHERE valid_from = ?", [day]
    ).fetchone()
    return now if found[0] is None else later_than(found[0], now)


def read_plan(db: Connection, on: date) -> Plan | None:
    """Give the plan in force on a day: the first one, before there was any."""
    found = db.execute(
        "SELECT document, valid_from FROM plans WHERE deleted_at IS NULL"
        " ORDER BY valid_from <= ? DESC,"
        " CASE WHEN valid_from <= ? THEN valid_from END DESC, valid_from,"
        " logged_at DESC, uid DESC LIMIT 1",
        [on.isoformat(), on.isoformat()],
    ).fetchone()
    if found is None:
        return None
    return plan_from_dict(json.loads(found[0]), (f"the plan of {found[1]}",))


def read_plans(db: Connection) -> tuple[tuple[date, Plan], ...]:
    """Give each day's plan with the day from which it was in force, oldest first."""
    rows = db.query(
        "SELECT document, valid_from FROM plans WHERE deleted_at IS NULL"
        " ORDER BY valid_from, logged_at, uid"
    )
    # Of a day's plans the latest is met last, and stays.
    in_force = {row["valid_from"]: row["document"] for row in rows}
    return tuple(
        (
            date.fromisoformat(day),
            plan_from_dict(json.loads(document), (f"the plan of {day}",)),
        )
        for day, document in in_force.items()
    )


def read_first_uid(db: Connection) -> str:
    """Return the id of the first record of all, taken back or not; empty: none yet.

    The file is known by it where there are several, in one calendar.
    """
    found = db.execute(
        "SELECT uid FROM (SELECT uid, logged_at FROM plans UNION ALL"
        " SELECT uid, logged_at FROM sessions) ORDER BY logged_at, uid LIMIT 1"
    ).fetchone()
    return "" if found is None else str(found[0])


def read_plan_changed_at(db: Connection) -> datetime | None:
    """Return when a plan or a rest week was last made, changed or taken back."""
    found = db.execute(
        "SELECT max(updated_at) FROM (SELECT updated_at FROM plans UNION ALL"
        " SELECT updated_at FROM rest_weeks)"
    ).fetchone()
    return None if found[0] is None else datetime.fromisoformat(found[0])


def write_target(db: Connection, target: TargetSet, now: str) -> None:
    """Keep a target that was set."""
    put(db, "targets", target_row(target), now)


def read_targets(db: Connection) -> tuple[TargetSet, ...]:
    """Give every target that was set and not taken back, in order of time."""
    rows = db.query(
        "SELECT * FROM targets WHERE deleted_at IS NULL ORDER BY set_at, rowid"
    )
    return tuple(target_of(row) for row in rows)


def write_rest_week(db: Connection, week: IsoWeek, now: str, *, on: bool) -> bool:
    """Mark a week as a rest week, or no longer; False if it was so already."""
    found = db.execute(
        "SELECT uid, deleted_at FROM rest_weeks WHERE week = ?", [str(week)]
    ).fetchone()
    is_on = found is not None and found[1] is None
    if is_on == on:
        return False
    uid = found[0] if found else str(uuid4())
    row = {
        "uid": uid,
        "week": str(week),
        "deleted_at": None if on else now,
        "logged_at": now,
        "updated_at": stamp(db, "rest_weeks", uid, now),
    }
    insert(
        db,
        "rest_weeks",
        row,
        "ON CONFLICT (uid) DO UPDATE SET deleted_at = excluded.deleted_at,"
        " logged_at = excluded.logged_at, updated_at = excluded.updated_at",
    )
    return True


def read_rest_weeks(db: Connection) -> frozenset[IsoWeek]:
    """Give every rest week."""
    rows = db.query("SELECT week FROM rest_weeks WHERE deleted_at IS NULL")
    return frozenset(IsoWeek.parse(row["week"]) for row in rows)


def write_shown(db: Connection, shown: ShownSuggestion, now: str) -> bool:
    """Keep a suggestion the first time that it is shown; False if it was before.

    The rules look back at which one held a step back, and its chance is scored: so it
    is another one as soon as any of these differs, not the target alone.
    """
    row = shown_row(shown)
    latest = db.execute(
        "SELECT target_s, sets, rule, change, chance FROM shown_suggestions"
        " WHERE exercise = ? AND week = ? AND deleted_at IS NULL"
        " ORDER BY shown_at DESC, rowid DESC LIMIT 1",
        [row["exercise"], row["week"]],
    ).fetchone()
    if latest is not None:
        *before, chance = latest
        now_shown = [row["target_s"], row["sets"], row["rule"], row["change"]]
        if before == now_shown and _as_shown(chance) == _as_shown(row["chance"]):
            return False
    put(db, "shown_suggestions", row, now)
    return True


def _as_shown(chance: float | None) -> float | None:
    """Give a chance in whole per cent, as everybody sees it."""
    return None if chance is None else round(chance, 2)


def read_shown(db: Connection) -> tuple[ShownSuggestion, ...]:
    """Give every suggestion that was shown, in order of time."""
    rows = db.query(
        "SELECT * FROM shown_suggestions WHERE deleted_at IS NULL"
        " ORDER BY shown_at, rowid"
    )
    return tuple(shown_of(row) for row in rows)


def write_answer(db: Connection, key: str, value: str, now: str) -> None:
    """Keep what the person answered once, always as later than the former answer."""
    found = db.execute("SELECT updated_at FROM answers WHERE key = ?", [key]).fetchone()
    at = now if found is None else later_than(found[0], now)
    put_answer(db, {"key": key, "value": value, "updated_at": at})


def put_answer(db: Connection, row: Mapping[str, str]) -> None:
    """Write an answer's row as it is, in place of the former one."""
    insert(
        db,
        "answers",
        row,
        "ON CONFLICT (key) DO UPDATE SET value = excluded.value,"
        " updated_at = excluded.updated_at",
    )


def read_answers(db: Connection) -> dict[str, str]:
    """Give all that was answered."""
    return {row["key"]: row["value"] for row in db.query("SELECT * FROM answers")}

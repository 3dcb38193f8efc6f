"""Rows for the other tables out of a document, looked at as ``reading`` does."""

from __future__ import annotations

import json

from trainer.core.model import Author, ShownSuggestion, TargetSet
from trainer.core.plan_codec import plan_from_dict, plan_to_dict
from trainer.core.record import Record
from trainer.store.reading import (
    Row,
    exercise_in,
    local_in,
    target_in,
    uid_in,
    week_in,
)
from trainer.store.rows import shown_row, target_row, utc_text


def target_row_in(record: Record) -> Row:
    """Read a target as its row."""
    return target_row(
        TargetSet(
            uid=uid_in(record),
            exercise=exercise_in(record),
            target_s=target_in(record) or record.number("target_s"),
            author=record.choice("author", Author),
            set_at=record.instant("set_at"),
            local_date=record.day("local_date"),
            week=week_in(record) if record.has("week") else None,
            sets=record.maybe_integer("sets"),
            rule=record.text("rule", ""),
            from_exercise=record.text("from_exercise", ""),
        )
    )


def shown_row_in(record: Record) -> Row:
    """Read a suggestion that was shown as its row."""
    return shown_row(
        ShownSuggestion(
            uid=uid_in(record),
            exercise=exercise_in(record),
            week=week_in(record),
            shown_at=record.instant("shown_at"),
            target_s=target_in(record),
            sets=record.integer("sets"),
            rule=record.text("rule"),
            change=record.text("change"),
            chance=record.maybe_number("chance"),
        )
    )


def plan_row_in(record: Record) -> Row:
    """Read a plan with its first day as its row."""
    plan = plan_from_dict(record.raw("plan"), record.at("plan"))
    return {
        "uid": uid_in(record),
        "valid_from": record.day("valid_from").isoformat(),
        "document": json.dumps(plan_to_dict(plan), ensure_ascii=False),
    }


def rest_week_row_in(record: Record) -> Row:
    """Read a rest week as its row."""
    return {"uid": uid_in(record), "week": str(week_in(record))}


def angle_check_row_in(record: Record) -> Row:
    """Read an angle check as its row: landmarks are points of two numbers."""
    offset, local_date = local_in(record, "measured_at")
    points = record.record("landmarks")
    landmarks = {
        str(name): _point(points, str(name), value)
        for name, value in points.value.items()
    }
    words = {
        key: record.text(key) if record.has(key) else None
        for key in ("side", "facing", "taken", "reach")
    }
    return {
        "uid": uid_in(record),
        "measured_at": utc_text(record.instant("measured_at")),
        "utc_offset_min": offset,
        "local_date": local_date.isoformat(),
        "method": exercise_in(record, "method"),
        **words,
        "overhead_deg": record.maybe_number("overhead_deg"),
        "lean_deg": record.maybe_number("lean_deg"),
        "rib_flare": record.maybe_number("rib_flare"),
        "landmarks": json.dumps(landmarks),
        "note": record.text("note", ""),
    }


def _point(points: Record, name: str, value: object) -> list[float]:
    if not isinstance(value, list | tuple) or len(value) != 2:
        raise points.fault(name, "is no point of two numbers")
    pair = Record({"x": value[0], "y": value[1]}, points.at(name))
    return [pair.number("x"), pair.number("y")]


def answer_row_in(record: Record, now: str) -> Row:
    """Read what was answered once as its row; answered now, where it is silent."""
    key = record.text("key")
    if not 1 <= len(key) <= 64:
        raise record.fault("key", "is empty or longer than 64 characters")
    at = record.maybe_instant("updated_at")
    return {
        "key": key,
        "value": record.text("value"),
        "updated_at": utc_text(at) if at else now,
    }


def correction_row_in(record: Record) -> Row:
    """Read a correction as its row."""
    return {
        "uid": uid_in(record),
        "hold_uid": uid_in(record, "hold_uid"),
        "what": exercise_in(record, "what"),
        "from_json": json.dumps(record.raw("from"), ensure_ascii=False),
        "to_json": json.dumps(record.raw("to"), ensure_ascii=False),
        "corrected_at": utc_text(record.instant("corrected_at")),
    }

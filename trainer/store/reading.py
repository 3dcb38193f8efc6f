"""Rows for the tables out of a document, every value looked at before it is believed.

Bounds that the core's values check are checked there; what is left is checked here or
by the tables themselves.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import date, datetime, timedelta
from typing import Any, TypeVar
from uuid import UUID

from trainer.core.model import (
    LONGEST_HOLD_S,
    Author,
    EndedBy,
    Feet,
    Felt,
    Hold,
    Moment,
    Pain,
    PainKind,
    PlannedSet,
    Session,
    SessionKind,
    ShownSuggestion,
    Side,
    Site,
    StoppedBy,
    TargetSet,
)
from trainer.core.plan import SHORTEST_TARGET_S
from trainer.core.plan_codec import plan_from_dict, plan_to_dict
from trainer.core.record import Record, RecordError
from trainer.core.weeks import IsoWeek
from trainer.store.rows import offset_min, shown_row, target_row, utc_text

Row = dict[str, Any]
_T = TypeVar("_T")


def uid_in(record: Record, key: str = "uid") -> str:
    """Give a uid, which has to look like one."""
    text = record.text(key)
    try:
        return str(UUID(text))
    except ValueError:
        raise record.fault(key, f"is {text!r:.40}, no uuid") from None


def stamps_in(record: Record, now: str) -> Row:
    """Give when the row was logged, changed and taken back; now, where it is silent."""

    def text(key: str) -> str | None:
        value = record.maybe_instant(key)
        return utc_text(value) if value else None

    logged_at = text("logged_at") or now
    return {
        "logged_at": logged_at,
        "updated_at": text("updated_at") or logged_at,
        "deleted_at": text("deleted_at"),
    }


def local_in(record: Record, key: str) -> tuple[int, date]:
    """Give the offset in minutes and the local date, or those that KEY's time has."""
    record.instant(key)
    written = datetime.fromisoformat(record.text(key))
    given = record.maybe_integer("utc_offset_min")
    day = record.day("local_date") if record.has("local_date") else written.date()
    return offset_min(written) if given is None else given, day


def session_in(record: Record) -> Session:
    """Read a session without its holds.

    A document written by hand may leave out what follows from its start, and its kind:
    what nobody led was added.
    """
    offset, local_date = local_in(record, "started_at")
    if not -1439 <= offset <= 1439:
        raise record.fault("utc_offset_min", f"is {offset}: within a day, please")
    session = Session(
        uid=uid_in(record),
        kind=record.maybe_choice("kind", SessionKind) or SessionKind.ADDED,
        started_at=record.instant("started_at"),
        utc_offset_min=offset,
        local_date=local_date,
        zone=record.text("zone", ""),
        ended_at=record.maybe_instant("ended_at"),
        planned=tuple(_planned(each) for each in record.records("planned")),
        note=record.text("note", ""),
    )
    if session.ended_at is not None and session.ended_at < session.started_at:
        raise record.fault("ended_at", "is before started_at")
    local = session.started_at + timedelta(minutes=offset)
    if abs((local.date() - session.local_date).days) > 1:
        raise record.fault("local_date", "is not the day of started_at")
    return session


def _planned(record: Record) -> PlannedSet:
    return PlannedSet(
        exercise=exercise_in(record),
        set_number=_set_number(record),
        target_s=_target(record) or record.number("target_s"),
        rest_s=record.number("rest_s"),
    )


def hold_in(record: Record, session_start: datetime | None = None) -> Hold:
    """Read a hold with what was felt; one without a start has its session's."""
    if session_start is not None and not record.has("started_at"):
        started_at = session_start
    else:
        started_at = record.instant("started_at")
    return _built(
        record,
        lambda: Hold(
            uid=uid_in(record),
            exercise=exercise_in(record),
            set_number=_set_number(record),
            started_at=started_at,
            target_s=_target(record),
            held_s=record.number("held_s"),
            kept_s=record.maybe_number("kept_s"),
            lost_on_breath=record.maybe_integer("lost_on_breath"),
            key_s=record.maybe_number("key_s"),
            allowance_s=record.maybe_number("allowance_s"),
            ended_by=record.choice("ended_by", EndedBy),
            stopped_by=record.maybe_choice("stopped_by", StoppedBy),
            confirmed=record.flag("confirmed", default=False),
            rpe=record.maybe_number("rpe"),
            pain=tuple(_pain(each) for each in record.records("pain")),
            pain_overridden=record.flag("pain_overridden", default=False),
            felt=tuple(_felt(each) for each in record.records("felt")),
            feet=record.maybe_choice("feet", Feet),
            note=record.text("note", ""),
        ),
    )


def _felt(record: Record) -> Felt:
    return _built(
        record,
        lambda: Felt(
            site=record.choice("site", Site),
            side=record.maybe_choice("side", Side),
            moment=record.maybe_choice("moment", Moment),
            strength=record.maybe_number("strength"),
        ),
    )


def _pain(record: Record) -> Pain:
    return Pain(record.choice("kind", PainKind), record.maybe_choice("site", Site))


def exercise_in(record: Record, key: str = "exercise") -> str:
    """Give an exercise's id, which may be one of the person's own."""
    text = record.text(key)
    if not 1 <= len(text) <= 64:
        raise record.fault(key, "is empty or longer than 64 characters")
    return text


def _set_number(record: Record) -> int:
    number = record.integer("set")
    if number < 1:
        raise record.fault("set", f"is {number}: 1 or more, please")
    return number


def _target(record: Record) -> float | None:
    target_s = record.maybe_number("target_s")
    if target_s is not None and not SHORTEST_TARGET_S <= target_s <= LONGEST_HOLD_S:
        bounds = f"{SHORTEST_TARGET_S:g} to {LONGEST_HOLD_S:g} s, please"
        raise record.fault("target_s", f"is {target_s:g}: {bounds}")
    return target_s


def week_in(record: Record, key: str = "week") -> IsoWeek:
    """Read an ISO week."""
    week = _built(record, lambda: IsoWeek.parse(record.text(key)))
    record.check_year(key, week.year)
    return week


def target_row_in(record: Record) -> Row:
    """Read a target as its row."""
    return target_row(
        TargetSet(
            uid=uid_in(record),
            exercise=exercise_in(record),
            target_s=_target(record) or record.number("target_s"),
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
            target_s=_target(record),
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


def _built(record: Record, make: Callable[[], _T]) -> _T:
    """Make a value whose own bounds may refuse it, and say where that was."""
    try:
        return make()
    except RecordError:
        raise
    except ValueError as error:
        raise RecordError(f"{record.where}: {error}") from None

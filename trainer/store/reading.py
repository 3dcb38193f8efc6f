"""Values out of a document, each looked at before it is believed: sessions and holds.

Bounds that the core's values check are checked there; what is left is checked here or
by the tables themselves.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime, timedelta
from typing import Any, TypeVar
from uuid import UUID

from trainer.core.model import (
    LONGEST_HOLD_S,
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
    Side,
    Site,
    StoppedBy,
)
from trainer.core.plan import SHORTEST_TARGET_S
from trainer.core.record import Record, RecordError
from trainer.core.weeks import IsoWeek
from trainer.store.rows import offset_min, utc_text

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
        target_s=target_in(record) or record.number("target_s"),
        rest_s=record.number("rest_s"),
    )


def hold_in(record: Record, session_start: datetime | None = None) -> Hold:
    """Read a hold with what was felt; one without a start has its session's."""
    if session_start is not None and not record.has("started_at"):
        started_at = session_start
    else:
        started_at = record.instant("started_at")
    return built(
        record,
        lambda: Hold(
            uid=uid_in(record),
            exercise=exercise_in(record),
            set_number=_set_number(record),
            started_at=started_at,
            target_s=target_in(record),
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
    return built(
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


def target_in(record: Record) -> float | None:
    """Give a target within the bounds that every target has, or None."""
    target_s = record.maybe_number("target_s")
    if target_s is not None and not SHORTEST_TARGET_S <= target_s <= LONGEST_HOLD_S:
        bounds = f"{SHORTEST_TARGET_S:g} to {LONGEST_HOLD_S:g} s, please"
        raise record.fault("target_s", f"is {target_s:g}: {bounds}")
    return target_s


def week_in(record: Record, key: str = "week") -> IsoWeek:
    """Read an ISO week."""
    week = built(record, lambda: IsoWeek.parse(record.text(key)))
    record.check_year(key, week.year)
    return week


def built(record: Record, make: Callable[[], _T]) -> _T:
    """Make a value whose own bounds may refuse it, and say where that was."""
    try:
        return make()
    except RecordError:
        raise
    except ValueError as error:
        raise RecordError(f"{record.where}: {error}") from None

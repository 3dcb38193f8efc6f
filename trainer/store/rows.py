"""Rows of the tables from and to the values of the core."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, datetime, timedelta, timezone
from functools import lru_cache
from typing import Any

from trainer.core.model import (
    Author,
    EndedBy,
    Feet,
    Felt,
    Hold,
    Moment,
    Override,
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
from trainer.core.text import clean
from trainer.core.weeks import IsoWeek
from trainer.store.connection import Connection

Row = Mapping[str, Any]

# Looking a word up is several times faster than calling an enumeration, and a
# history has tens of thousands of them.
_ENDED = {each.value: each for each in EndedBy}
_STOPPED: dict[str | None, StoppedBy | None] = {each.value: each for each in StoppedBy}
_FEET: dict[str | None, Feet | None] = {each.value: each for each in Feet}
_SITE = {each.value: each for each in Site}
_SIDE: dict[str | None, Side | None] = {each.value: each for each in Side}
_MOMENT: dict[str | None, Moment | None] = {each.value: each for each in Moment}
_PAIN = {each.value: each for each in PainKind}


def utc_text(value: datetime) -> str:
    """Write a time as the tables keep it.

    Raises:
        ValueError: it has no offset, so nobody knows when it was.
    """
    if value.tzinfo is None:
        raise ValueError(f"{value} has no offset")
    utc = value.astimezone(timezone.utc)
    return utc.isoformat(timespec="microseconds").replace("+00:00", "Z")


def from_utc_text(text: str) -> datetime:
    """Read a time as the tables keep it."""
    return datetime.fromisoformat(text)


def tenths(seconds: float | None) -> float | None:
    """Round seconds to what the tables keep."""
    return None if seconds is None else round(seconds, 1)


def offset_min(local: datetime) -> int:
    """Give the offset of a local time in minutes."""
    offset = local.utcoffset()
    if offset is None:
        raise ValueError(f"{local} has no offset")
    return round(offset.total_seconds() / 60)


def session_row(session: Session) -> dict[str, Any]:
    """Give a session's own columns."""
    return {
        "uid": session.uid,
        "kind": session.kind.value,
        "started_at": utc_text(session.started_at),
        "utc_offset_min": session.utc_offset_min,
        "local_date": session.local_date.isoformat(),
        "zone": clean(session.zone),
        "ended_at": utc_text(session.ended_at) if session.ended_at else None,
        "note": clean(session.note),
    }


def planned_row(planned: PlannedSet) -> dict[str, Any]:
    """Give the columns of one planned set."""
    return {
        "exercise": planned.exercise,
        "set_number": planned.set_number,
        "target_s": tenths(planned.target_s),
        "rest_s": tenths(planned.rest_s),
    }


def hold_row(hold: Hold) -> dict[str, Any]:
    """Give a hold's own columns."""
    return {
        "uid": hold.uid,
        "exercise": hold.exercise,
        "set_number": hold.set_number,
        "started_at": utc_text(hold.started_at),
        "target_s": tenths(hold.target_s),
        "held_s": tenths(hold.held_s),
        "kept_s": tenths(hold.kept_s),
        "lost_on_breath": hold.lost_on_breath,
        "key_s": tenths(hold.key_s),
        "allowance_s": tenths(hold.allowance_s),
        "ended_by": hold.ended_by.value,
        "stopped_by": hold.stopped_by.value if hold.stopped_by else None,
        "confirmed": int(hold.confirmed),
        "rpe": hold.rpe,
        "pain_overridden": int(hold.pain_overridden),
        "feet": hold.feet.value if hold.feet else None,
        "note": clean(hold.note),
        "rpe_wording": hold.rpe_wording,
    }


def felt_row(felt: Felt) -> dict[str, Any]:
    """Give the columns of one felt site."""
    return {
        "site": felt.site.value,
        "side": felt.side.value if felt.side else None,
        "moment": felt.moment.value if felt.moment else None,
        "strength": felt.strength,
    }


def pain_row(pain: Pain) -> dict[str, Any]:
    """Give the columns of one warning sign."""
    return {
        "kind": pain.kind.value,
        "site": pain.site.value if pain.site else None,
        "side": pain.side.value if pain.side else None,
        "gone_on": pain.gone_on.isoformat() if pain.gone_on else None,
    }


def override_row(override: Override) -> dict[str, Any]:
    """Give the columns of one override."""
    return {
        "exercise": override.exercise,
        "reason": override.reason,
        "says": clean(override.says),
    }


FELT_COLUMNS = "site, side, moment, strength"
PAIN_COLUMNS = "kind, site, side, gone_on"
OVERRIDE_COLUMNS = "exercise, reason, says"
PLANNED_COLUMNS = "exercise, set_number, target_s, rest_s"
HOLD_COLUMNS = (
    "uid, exercise, set_number, started_at, target_s, held_s, kept_s, lost_on_breath,"
    " key_s, allowance_s, ended_by, stopped_by, confirmed, rpe, pain_overridden, feet,"
    " note, rpe_wording"
)


# What repeats thousands of times in a history is made once; it can't be changed, so it
# can be shared.
@lru_cache(maxsize=4096)
def planned_of(values: tuple[Any, ...]) -> PlannedSet:
    """Read one planned set from its ``PLANNED_COLUMNS``."""
    return PlannedSet(*values)


@lru_cache(maxsize=4096)
def felt_of(values: tuple[Any, ...]) -> Felt:
    """Read one felt site from its ``FELT_COLUMNS``."""
    site, side, moment, strength = values
    return Felt(_SITE[site], _SIDE.get(side), _MOMENT.get(moment), strength)


@lru_cache(maxsize=4096)
def pain_of(values: tuple[Any, ...]) -> Pain:
    """Read one warning sign from its ``PAIN_COLUMNS``."""
    kind, site, side, gone_on = values
    return Pain(
        _PAIN[kind],
        _SITE.get(site),
        _SIDE.get(side),
        date.fromisoformat(gone_on) if gone_on else None,
    )


def override_of(values: tuple[Any, ...]) -> Override:
    """Read one override from its ``OVERRIDE_COLUMNS``."""
    return Override(*values)


def hold_of(
    values: Sequence[Any], *, felt: Sequence[Felt], pain: Sequence[Pain]
) -> Hold:
    """Read a hold from its ``HOLD_COLUMNS``, with what belongs to it."""
    return Hold(
        uid=values[0],
        exercise=values[1],
        set_number=values[2],
        started_at=from_utc_text(values[3]),
        target_s=values[4],
        held_s=values[5],
        kept_s=values[6],
        lost_on_breath=values[7],
        key_s=values[8],
        allowance_s=values[9],
        ended_by=_ENDED[values[10]],
        stopped_by=_STOPPED.get(values[11]),
        confirmed=bool(values[12]),
        rpe=values[13],
        pain_overridden=bool(values[14]),
        feet=_FEET.get(values[15]),
        note=values[16],
        rpe_wording=values[17],
        pain=tuple(pain),
        felt=tuple(felt),
    )


def session_of(
    row: Row,
    *,
    planned: Sequence[PlannedSet],
    holds: Sequence[Hold],
    overrides: Sequence[Override] = (),
) -> Session:
    """Read a session with what belongs to it."""
    ended_at = row["ended_at"]
    return Session(
        uid=row["uid"],
        kind=SessionKind(row["kind"]),
        started_at=from_utc_text(row["started_at"]),
        utc_offset_min=row["utc_offset_min"],
        local_date=date.fromisoformat(row["local_date"]),
        zone=row["zone"],
        ended_at=from_utc_text(ended_at) if ended_at else None,
        planned=tuple(planned),
        holds=tuple(holds),
        note=row["note"],
        overrides=tuple(overrides),
    )


def target_row(target: TargetSet) -> dict[str, Any]:
    """Give a target's own columns."""
    return {
        "uid": target.uid,
        "exercise": target.exercise,
        "target_s": tenths(target.target_s),
        "author": target.author.value,
        "set_at": utc_text(target.set_at),
        "local_date": target.local_date.isoformat(),
        "week": str(target.week) if target.week else None,
        "sets": target.sets,
        "rule": target.rule,
        "from_exercise": target.from_exercise,
    }


def target_of(row: Row) -> TargetSet:
    """Read a target."""
    return TargetSet(
        uid=row["uid"],
        exercise=row["exercise"],
        target_s=row["target_s"],
        author=Author(row["author"]),
        set_at=from_utc_text(row["set_at"]),
        local_date=date.fromisoformat(row["local_date"]),
        week=IsoWeek.parse(row["week"]) if row["week"] else None,
        sets=row["sets"],
        rule=row["rule"],
        from_exercise=row["from_exercise"],
    )


def shown_row(shown: ShownSuggestion) -> dict[str, Any]:
    """Give the columns of a suggestion as it was shown."""
    return {
        "uid": shown.uid,
        "exercise": shown.exercise,
        "week": str(shown.week),
        "shown_at": utc_text(shown.shown_at),
        "target_s": tenths(shown.target_s),
        "sets": shown.sets,
        "rule": shown.rule,
        "change": shown.change,
        "chance": shown.chance,
    }


def shown_of(row: Row) -> ShownSuggestion:
    """Read a suggestion as it was shown."""
    return ShownSuggestion(
        uid=row["uid"],
        exercise=row["exercise"],
        week=IsoWeek.parse(row["week"]),
        shown_at=from_utc_text(row["shown_at"]),
        target_s=row["target_s"],
        sets=row["sets"],
        rule=row["rule"],
        change=row["change"],
        chance=row["chance"],
    )


# The few ways in which a row is changed, with its stamps kept right.


def stamp(db: Connection, table: str, uid: str, now: str) -> str:
    """Give the ``updated_at`` of a change: now, but always after the former one.

    Wall clocks are set back at times, and where two files are merged the later change
    has to win.
    """
    found = db.execute(
        f'SELECT updated_at FROM "{table}" WHERE uid = ?', [uid]
    ).fetchone()
    return now if found is None else later_than(found[0], now)


def later_than(former: str, now: str) -> str:
    """Give NOW, or where that isn't later than FORMER, the moment after FORMER."""
    if former < now:
        return now
    return utc_text(from_utc_text(former) + timedelta(microseconds=1))


def put(db: Connection, table: str, row: Mapping[str, Any], now: str) -> None:
    """Write a row, new or changed; whether it was taken back stays as it is."""
    stamped = {
        **row,
        "logged_at": now,
        "updated_at": stamp(db, table, row["uid"], now),
    }
    changed = [name for name in stamped if name not in ("uid", "logged_at")]
    insert(
        db,
        table,
        stamped,
        "ON CONFLICT (uid) DO UPDATE SET "
        + ", ".join(f'"{name}" = excluded."{name}"' for name in changed),
    )


def insert(
    db: Connection, table: str, row: Mapping[str, Any], on_conflict: str = ""
) -> None:
    """Insert a row as it is."""
    columns = ", ".join(f'"{name}"' for name in row)
    marks = ", ".join("?" for _ in row)
    db.execute(
        f'INSERT INTO "{table}" ({columns}) VALUES ({marks}) {on_conflict}',
        list(row.values()),
    )


def set_deleted(
    db: Connection, table: str, uid: str, now: str, *, deleted: bool
) -> bool:
    """Take a row back, or put it back; False if there is none to change."""
    cursor = db.execute(
        f'UPDATE "{table}" SET deleted_at = ?, updated_at = ?'
        " WHERE uid = ? AND (deleted_at IS NULL) = ?",
        [now if deleted else None, stamp(db, table, uid, now), uid, int(deleted)],
    )
    return cursor.rowcount > 0

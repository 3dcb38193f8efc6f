"""The export as one document of plain values, for people and for other machines.

What was taken back is listed apart, under ``taken_back``, so that a reader who knows
nothing of it counts right and another machine still learns of it. ``rest_weeks`` are
plain words; their stamps stand in ``rest_week_rows``.
"""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Callable, Iterable
from datetime import date, datetime, timedelta, timezone
from typing import Any, TypeVar
from uuid import UUID

from trainer.core.angle.check import (
    AngleCheck,
    Blades,
    CheckError,
    Method,
    Photo,
    Pose,
    Position,
    Reach,
    When,
)
from trainer.core.angle.figures import Ear, Figures, measure
from trainer.core.angle.landmarks import ArmPoint, Facing, LandmarkError, Landmarks
from trainer.core.answers import MADE_UP_KEY, is_made_up, trainee_name
from trainer.core.model import (
    LONGEST_HOLD_S,
    RPE_WORDING,
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
from trainer.core.plan.codec import plan_from_dict, plan_to_dict
from trainer.core.plan.plan import SHORTEST_TARGET_S, default_plan
from trainer.core.record import Record, RecordError
from trainer.core.session.document import FORMAT, VERSION
from trainer.core.weeks import IsoWeek
from trainer.store.angles import POINTS, landmarks_from, row_of
from trainer.store.connection import Connection
from trainer.store.decisions import read_answers, read_plan
from trainer.store.rows import (
    from_utc_text,
    offset_min,
    shown_row,
    target_row,
    utc_text,
)

Plain = dict[str, Any]


def export_document(db: Connection, today: date) -> Plain:
    """Give all that is in the data file.

    Args:
        db: the data file, in a transaction.
        today: the local date, for the plan in force.
    """
    sessions, gone_sessions, gone_holds = _sessions(db)
    live: dict[str, list[Plain]] = {}
    taken_back: dict[str, list[Plain]] = {
        "sessions": gone_sessions,
        "holds": gone_holds,
    }
    for key, read in _TABLES.items():
        rows = read(db)
        live[key] = [row for row in rows if not row.get("deleted_at")]
        taken_back[key] = [row for row in rows if row.get("deleted_at")]
    weeks = live.pop("rest_week_rows")
    return {
        "format": FORMAT,
        "version": VERSION,
        **_whose(read_answers(db)),
        "sessions": sessions,
        "angle_checks": live.pop("angle_checks"),
        "rest_weeks": [row["week"] for row in weeks],
        "plan": plan_to_dict(read_plan(db, today) or default_plan()),
        **live,
        "rest_week_rows": weeks,
        "answers": _answers(db),
        "corrections": _corrections(db),
        "taken_back": taken_back,
    }


def _whose(answers: dict[str, str]) -> Plain:
    """Say whose the document is, so that no reader has to look among the answers."""
    name = trainee_name(answers)
    return {
        **({"name": name} if name else {}),
        **({"made_up": True} if is_made_up(answers) else {}),
    }


def _sessions(db: Connection) -> tuple[list[Plain], list[Plain], list[Plain]]:
    """Give the sessions, those taken back, and holds taken back out of live ones.

    One that was taken back and counts for a hold in it keeps its ``deleted_at``, so
    that another machine comes to the same.
    """
    planned = _grouped(db, "planned_sets", "session_uid")
    overrides = _grouped(db, "session_overrides", "session_uid")
    felt = _grouped(db, "hold_felt", "hold_uid")
    pain = _grouped(db, "hold_pain", "hold_uid")
    holds: defaultdict[str, list[Plain]] = defaultdict(list)
    for row in db.query(
        "SELECT * FROM holds ORDER BY started_at, exercise, set_number, uid"
    ):
        holds[row["session_uid"]].append(row)
    counted = {uid for (uid,) in db.execute("SELECT uid FROM live_sessions")}
    live: list[Plain] = []
    gone: list[Plain] = []
    gone_holds: list[Plain] = []
    for row in db.query("SELECT * FROM sessions ORDER BY started_at, uid"):
        offset = row["utc_offset_min"]
        whole = {
            **_without_empty_deletion(row),
            "started_at": _local(row["started_at"], offset),
            "ended_at": _local(row["ended_at"], offset),
            "planned": [_with_set(each) for each in planned[row["uid"]]],
            "overrides": overrides[row["uid"]],
            "holds": [],
        }
        is_live = row["uid"] in counted
        for hold in holds[row["uid"]]:
            said = {"felt": felt[hold["uid"]], "pain": pain[hold["uid"]]}
            plain = _hold(hold, offset) | said
            if hold["deleted_at"] and is_live:
                gone_holds.append(plain | {"session_uid": row["uid"]})
            else:
                whole["holds"].append(plain)
        (live if is_live else gone).append(whole)
    return live, gone, gone_holds


def _hold(row: Plain, offset_min: int) -> Plain:
    plain = _with_set(_without_empty_deletion(row))
    plain.pop("session_uid")
    return {
        **plain,
        "started_at": _local(row["started_at"], offset_min),
        "confirmed": bool(row["confirmed"]),
        "pain_overridden": bool(row["pain_overridden"]),
    }


def _with_set(row: Plain) -> Plain:
    """Name the set's number as the document does."""
    return {("set" if key == "set_number" else key): row[key] for key in row}


def _without_empty_deletion(row: Plain) -> Plain:
    return {k: v for k, v in row.items() if k != "deleted_at" or v is not None}


def _local(text: str | None, offset_min: int) -> str | None:
    """Give a stored time as the person's clock showed it, with its offset."""
    if text is None:
        return None
    zone = timezone(timedelta(minutes=offset_min))
    return from_utc_text(text).astimezone(zone).isoformat()


def _grouped(db: Connection, table: str, owner: str) -> defaultdict[str, list[Plain]]:
    found: defaultdict[str, list[Plain]] = defaultdict(list)
    for row in db.query(f'SELECT * FROM "{table}" ORDER BY "{owner}", position'):
        del row["position"]
        found[row.pop(owner)].append(row)
    return found


def _plain_rows(db: Connection, table: str, order: str) -> list[Plain]:
    rows: Iterable[Plain] = db.query(f'SELECT * FROM "{table}" ORDER BY {order}, uid')
    return [_without_empty_deletion(row) for row in rows]


def _plans(db: Connection) -> list[Plain]:
    rows = _plain_rows(db, "plans", "valid_from")
    for row in rows:
        row["plan"] = json.loads(row.pop("document"))
    return rows


def _angle_checks(db: Connection) -> list[Plain]:
    return [_angle_check(row) for row in _plain_rows(db, "angle_checks", "measured_at")]


def _angle_check(row: Plain) -> Plain:
    photo = None
    if row["photo_sha256"]:
        photo = {
            "name": row["photo_name"],
            "sha256": row["photo_sha256"],
            "width": row["photo_width"],
            "height": row["photo_height"],
        }
    kept = {key: row[key] for key in row if not key.startswith("photo_")}
    measured_at = _local(row["measured_at"], row["utc_offset_min"])
    landmarks = json.loads(row["landmarks"])
    return {
        **kept,
        "measured_at": measured_at,
        "landmarks": landmarks,
        "photo": photo,
    }


def _answers(db: Connection) -> list[Plain]:
    """Give what was answered once; that the file is made up stands at the head."""
    return list(
        db.query(
            "SELECT key, value, updated_at FROM answers WHERE key <> ? ORDER BY key",
            [MADE_UP_KEY],
        )
    )


def _angle_corrections(db: Connection) -> list[Plain]:
    rows = _plain_rows(db, "angle_corrections", "logged_at")
    for row in rows:
        row["from"] = json.loads(row.pop("from_json"))
        row["to"] = json.loads(row.pop("to_json"))
    return rows


def _corrections(db: Connection) -> list[Plain]:
    return [
        {
            "uid": row["uid"],
            "hold_uid": row["hold_uid"],
            "what": row["what"],
            "from": json.loads(row["from_json"]),
            "to": json.loads(row["to_json"]),
            "corrected_at": row["corrected_at"],
        }
        for row in db.query("SELECT * FROM corrections ORDER BY corrected_at, uid")
    ]


_TABLES: dict[str, Callable[[Connection], list[Plain]]] = {
    "angle_checks": _angle_checks,
    "angle_corrections": _angle_corrections,
    "rest_week_rows": lambda db: _plain_rows(db, "rest_weeks", "week"),
    "plans": _plans,
    "targets": lambda db: _plain_rows(db, "targets", "set_at"),
    "shown_suggestions": lambda db: _plain_rows(db, "shown_suggestions", "shown_at"),
}


# Values out of a document, each looked at before it is believed: sessions and holds.
#
# Bounds that the core's values check are checked there; what is left is checked here or
# by the tables themselves.

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
        overrides=tuple(_override(each) for each in record.records("overrides")),
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


def _override(record: Record) -> Override:
    return Override(
        exercise=exercise_in(record),
        reason=exercise_in(record, "reason"),
        says=record.text("says", ""),
    )


def hold_in(
    record: Record,
    session_start: datetime | None = None,
    *,
    rpe_wording: int = RPE_WORDING,
) -> Hold:
    """Read a hold with what was felt; one without a start has its session's.

    Args:
        record: the hold.
        session_start: when its session began.
        rpe_wording: the wording of its RPE, where the hold doesn't say.
    """
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
            rpe_wording=_wording(record, rpe_wording),
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
    return Pain(
        record.choice("kind", PainKind),
        record.maybe_choice("site", Site),
        record.maybe_choice("side", Side),
        record.day("gone_on") if record.has("gone_on") else None,
    )


def _wording(record: Record, unsaid: int) -> int:
    """Give the wording of the RPE: one that is known here, so that it is read right."""
    wording = record.maybe_integer("rpe_wording")
    if wording is None:
        return unsaid
    if not 1 <= wording <= RPE_WORDING:
        raise record.fault("rpe_wording", f"is {wording}: 1 to {RPE_WORDING}, please")
    return wording


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


# Rows for the other tables out of a document, looked at as ``reading`` does.


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
    """Read an angle check as its row; an older document says less.

    Raises:
        RecordError: something in it can't be believed.
    """
    offset, local_date = local_in(record, "measured_at")
    try:
        position = Position(
            method=record.choice("method", Method),
            pose=record.maybe_choice("pose", Pose) or Pose.REACH,
            exercise=exercise_in(record) if record.has("exercise") else None,
            side=record.maybe_choice("side", Side),
            reach=record.maybe_choice("reach", Reach),
            blades=record.maybe_choice("blades", Blades),
            when=record.maybe_choice("taken", When),
        )
        marked = _landmarks_in(record)
        check = AngleCheck(
            uid=uid_in(record),
            measured_at=record.instant("measured_at"),
            utc_offset_min=offset,
            local_date=local_date,
            position=position,
            figures=_figures_in(record) if marked is None else measure(marked),
            landmarks=marked,
            photo=_photo_in(record),
            note=record.text("note", ""),
        )
    except (CheckError, LandmarkError) as error:
        where = record.where or "the angle check"
        raise RecordError(f"{where} is impossible: {error}") from None
    # What was measured on another machine is kept as it was exported there.
    said = ("overhead_deg", "uncertainty_deg", "lean_deg", "rib_flare", "lift")
    return row_of(check) | {
        name: record.maybe_number(name) for name in said if record.has(name)
    }


def _landmarks_in(record: Record) -> Landmarks | None:
    points = record.record("landmarks")
    if not points.values:
        return None
    at = {
        str(name): _point_in(points, str(name), value)
        for name, value in points.values.items()
    }
    return landmarks_from(
        at,
        record.choice("facing", Facing),
        hidden=record.maybe_choice("ear", Ear) is Ear.HIDDEN,
    )


def _point_in(points: Record, name: str, value: object) -> list[float]:
    if name not in POINTS:
        raise points.fault(name, f"is no landmark: {' '.join(POINTS)}")
    if not isinstance(value, list | tuple) or len(value) != 2:
        raise points.fault(name, "is no point of two numbers")
    pair = Record.of({"x": value[0], "y": value[1]}, points.at(name))
    return [pair.number("x"), pair.number("y")]


def _figures_in(record: Record) -> Figures:
    return Figures(
        overhead_deg=record.number("overhead_deg"),
        overhead_sd_deg=record.maybe_number("uncertainty_deg"),
        arm_point=record.maybe_choice("arm_point", ArmPoint),
        lean_deg=record.maybe_number("lean_deg"),
        flare=record.maybe_number("rib_flare"),
        lift=record.maybe_number("lift"),
        ear=record.maybe_choice("ear", Ear),
    )


def _photo_in(record: Record) -> Photo | None:
    photo = record.record("photo")
    if not photo.values:
        return None
    return Photo(
        photo.text("name", longest=255),
        photo.text("sha256", longest=64),
        photo.integer("width"),
        photo.integer("height"),
    )


def angle_correction_row_in(record: Record) -> Row:
    """Read the correction of an angle check as its row."""
    return {
        "uid": uid_in(record),
        "check_uid": uid_in(record, "check_uid"),
        "from_json": json.dumps(record.raw("from"), ensure_ascii=False),
        "to_json": json.dumps(record.raw("to"), ensure_ascii=False),
    }


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

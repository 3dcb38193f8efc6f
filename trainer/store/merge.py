"""Taking a document in, by the table of ``core.merging``.

Rows are matched by uid, rest weeks by their week, since two machines can each have
marked one. Which of two versions stands is the table's to say; here is what a version
is: a row with what travels with it.
"""

from __future__ import annotations

import json
import sqlite3
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from datetime import date, datetime, timedelta
from typing import Any
from uuid import UUID, uuid5

from trainer.core.answers import LONGEST_NAME, MADE_UP_KEY, is_made_up, trainee_name
from trainer.core.logbook import ImportReport
from trainer.core.merging import (
    Belonging,
    Verdict,
    Version,
    decide,
    why_somebody_elses,
)
from trainer.core.model import RPE_WORDING
from trainer.core.plan.codec import plan_from_dict, plan_to_dict
from trainer.core.record import Record, RecordError
from trainer.core.session.document import FORMAT, VERSION
from trainer.store import document as reading
from trainer.store import document as rows
from trainer.store.connection import Connection
from trainer.store.decisions import put_answer, read_answers, read_plan, write_plan
from trainer.store.log import write_overrides, write_planned, write_said
from trainer.store.rows import (
    FELT_COLUMNS,
    OVERRIDE_COLUMNS,
    PAIN_COLUMNS,
    PLANNED_COLUMNS,
    felt_row,
    from_utc_text,
    hold_row,
    insert,
    override_row,
    pain_row,
    planned_row,
    session_row,
    utc_text,
)

Row = dict[str, Any]
_WEEKS = UUID("6f1c1c1e-4f59-4f0c-9d0e-6b6f0d9a2f10")
"""The family of the ids of rest weeks that came as words alone (made once)."""
CLOCKS_MAY_DIFFER = timedelta(days=1)
"""What lies further ahead than this was not done yet (our choice)."""
_NOT_TO_COME = {
    "sessions": ("started_at", "ended_at"),
    "holds": ("started_at",),
    "targets": ("set_at",),
    "angle_checks": ("measured_at",),
}
"""Table: the times of what was done, none of which can lie in the future."""
_TRAVELS_WITH = {
    "sessions": (
        ("planned_sets", "session_uid", PLANNED_COLUMNS),
        ("session_overrides", "session_uid", OVERRIDE_COLUMNS),
    ),
    "holds": (
        ("hold_felt", "hold_uid", FELT_COLUMNS),
        ("hold_pain", "hold_uid", PAIN_COLUMNS),
    ),
}
"""Table: the tables whose rows belong to one of its rows, their owner, their columns.
"""


def merge_document(
    db: Connection, document: object, *, now: str, today: date
) -> ImportReport:
    """Take DOCUMENT in; the caller's transaction makes it all or nothing.

    Args:
        db: the data file, in a transaction.
        document: what ``export_document`` gave, or somebody wrote by hand.
        now: the time, as the tables keep it.
        today: the local date, from which a plan without one is in force.

    Raises:
        RecordError: something in it can't be believed; the text says where.
    """
    record = Record.of(document)
    version = _check_head(record)
    _check_made_up(db, record)
    wording = 1 if version == 1 else RPE_WORDING
    return _Merge(db, now, today, rpe_wording=wording).run(record)


def may_be_somebody_elses(db: Connection, document: object) -> str | None:
    """Say why DOCUMENT may be another person's than the file's; None: it isn't.

    Raises:
        RecordError: it is no document of ours.
    """
    record = Record.of(document)
    _check_head(record)
    there = Belonging(
        name=record.text("name", "", longest=LONGEST_NAME) or None,
        uids=frozenset(_uids_in(record)),
        has_sessions=bool(record.items("sessions")),
    )
    here = Belonging(
        name=trainee_name(read_answers(db)),
        uids=frozenset(
            uid
            for table in _KNOWN_BY_UID
            for (uid,) in db.execute(f'SELECT uid FROM "{table}"')
        ),
        has_sessions=bool(db.execute("SELECT 1 FROM live_sessions").fetchone()),
    )
    return why_somebody_elses(here, there)


_KNOWN_BY_UID = (
    "sessions",
    "holds",
    "targets",
    "plans",
    "shown_suggestions",
    "angle_checks",
)
"""The tables whose ids are made on one machine and met on another only by exchange.
Those of rest weeks that came as words are the same everywhere."""


def _uids_in(document: Record) -> Iterator[str]:
    for part in (document, document.record("taken_back")):
        for table in _KNOWN_BY_UID:
            for record in part.records(table):
                yield reading.uid_in(record)
                if table == "sessions":
                    yield from map(reading.uid_in, record.records("holds"))


def _check_head(record: Record) -> int:
    """Give the version of a document that this program can read."""
    if record.raw("format") != FORMAT:
        raise record.fault("format", f'is not "{FORMAT}": no export of this program')
    version = record.integer("version")
    if version > VERSION:
        raise record.fault("version", f"is {version}, from a newer trainer: update it")
    return version


def _check_made_up(db: Connection, record: Record) -> None:
    """Keep a made-up trainee's sessions out of a person's file, and the reverse."""
    theirs, ours = record.raw("made_up") is True, is_made_up(read_answers(db))
    if theirs and not ours:
        raise record.fault(
            "made_up", "is true: a made-up trainee's, this is a person's"
        )
    if ours and not theirs:
        raise record.fault("made_up", "is missing: a person's, this is a made-up one's")


def _version(row: Row, content: str) -> Version:
    return Version(
        updated_at=row["updated_at"],
        taken_back=row["deleted_at"] is not None,
        content=content,
    )


class _Merge:
    """One run: the file, the time, and what was done so far."""

    def __init__(
        self, db: Connection, now: str, today: date, *, rpe_wording: int
    ) -> None:
        self.db = db
        self.now = now
        self.today = today
        self.rpe_wording = rpe_wording
        self.latest = utc_text(from_utc_text(now) + CLOCKS_MAY_DIFFER)
        self.counts: Counter[tuple[str, str]] = Counter()
        self.of_former_version = False

    def run(self, document: Record) -> ImportReport:
        self.of_former_version = document.integer("version") < VERSION
        gone = document.record("taken_back")
        for part in (document, gone):
            for record in part.records("sessions"):
                self._session(record)
        for record in gone.records("holds"):
            self._hold(record, reading.uid_in(record, "session_uid"))
        for part in (document, gone):
            self._rows(part, "targets", "targets", rows.target_row_in)
            self._rows(part, "plans", "plans", rows.plan_row_in)
            self._rows(
                part,
                "rest_week_rows",
                "rest_weeks",
                rows.rest_week_row_in,
                key="week",
            )
            self._rows(
                part,
                "shown_suggestions",
                "shown_suggestions",
                rows.shown_row_in,
            )
            self._rows(part, "angle_checks", "angle_checks", rows.angle_check_row_in)
            self._rows(
                part,
                "angle_corrections",
                "angle_corrections",
                rows.angle_correction_row_in,
            )
        self._bare_rest_weeks(document)
        self._bare_plan(document)
        for record in document.records("corrections"):
            self._correction(record)
        for record in document.records("answers"):
            self._answer(record)
        return ImportReport(
            added=self._total("added"),
            updated=self._total("updated"),
            unchanged=self._total("unchanged"),
            sessions_added=self.counts["sessions", "added"],
            holds_added=self.counts["holds", "added"],
        )

    def _total(self, outcome: str) -> int:
        return sum(n for (_, each), n in self.counts.items() if each == outcome)

    def _session(self, record: Record) -> None:
        session = reading.session_in(record)
        belongs = [
            list(map(planned_row, session.planned)),
            list(map(override_row, session.overrides)),
        ]
        if self._row(record, "sessions", session_row(session), belongs=belongs):
            self._guarded(record, lambda: write_planned(self.db, session))
            if record.has("overrides"):  # a document of version 1 knows of none
                self._guarded(record, lambda: write_overrides(self.db, session))
        for hold in record.records("holds"):
            self._hold(hold, session.uid, session.started_at)

    def _hold(
        self, record: Record, session_uid: str, session_start: datetime | None = None
    ) -> None:
        hold = reading.hold_in(record, session_start, rpe_wording=self.rpe_wording)
        row = hold_row(hold) | {"session_uid": session_uid}
        said = [list(map(felt_row, hold.felt)), list(map(pain_row, hold.pain))]
        if self._row(record, "holds", row, belongs=said):
            self._guarded(record, lambda: write_said(self.db, hold))

    def _rows(
        self,
        part: Record,
        key_in_document: str,
        table: str,
        read: Callable[[Record], Row],
        *,
        key: str = "uid",
    ) -> None:
        for record in part.records(key_in_document):
            self._row(record, table, read(record), key=key)

    def _row(
        self,
        record: Record,
        table: str,
        row: Row,
        *,
        key: str = "uid",
        belongs: Sequence[Sequence[Row]] = (),
    ) -> bool:
        """Write a row where the table of rules says so; tell whether it did.

        Args:
            record: where the row comes from.
            table: which it goes to.
            row: its own columns.
            key: the column by which both machines know it.
            belongs: the rows that travel with it, in the order of ``_TRAVELS_WITH``.
        """
        for name in _NOT_TO_COME.get(table, ()):
            if (row[name] or "") > self.latest:
                raise record.fault(name, f"is {row[name]}, which is still to come")
        stamped = row | reading.stamps_in(record, self.now)
        ours = self._ours(table, key, row[key])
        verdict = self._verdict(record, table, ours, (stamped, belongs))
        if not verdict.theirs_comes_in:
            self.counts[table, "unchanged"] += 1
            return False
        # Of one week marked on two machines the id comes with the mark that stands.
        changed = [name for name in stamped if name != key]
        self._guarded(
            record,
            lambda: insert(
                self.db,
                table,
                stamped,
                f'ON CONFLICT ("{key}") DO UPDATE SET '
                + ", ".join(f'"{name}" = excluded."{name}"' for name in changed),
            ),
        )
        self.counts[table, "added" if ours is None else "updated"] += 1
        return True

    def _ours(self, table: str, key: str, value: Any) -> Row | None:
        rows_here = self.db.query(f'SELECT * FROM "{table}" WHERE "{key}" = ?', [value])
        return next(iter(rows_here), None)

    def _verdict(
        self,
        record: Record,
        table: str,
        ours: Row | None,
        theirs: tuple[Row, Sequence[Sequence[Row]]],
    ) -> Verdict:
        stamped, belongs = theirs
        if ours is None:
            return Verdict.NEW
        if not record.has("updated_at"):
            return Verdict.UNDATED
        tie = ours["updated_at"] == stamped["updated_at"]
        if tie and self.of_former_version:
            return Verdict.ALIKE
        # What both say besides matters only in a tie, and takes time to put together.
        here = self._content(table, ours, self._belonging(table, ours)) if tie else ""
        there = self._content(table, stamped, belongs) if tie else ""
        return decide(_version(ours, here), _version(stamped, there))

    def _belonging(self, table: str, ours: Row) -> list[list[Row]]:
        """Give the rows here that travel with one of ours."""
        return [
            list(
                self.db.query(
                    f'SELECT {columns} FROM "{child}" WHERE "{owner}" = ?'
                    " ORDER BY position",
                    [ours["uid"]],
                )
            )
            for child, owner, columns in _TRAVELS_WITH.get(table, ())
        ]

    def _content(self, table: str, row: Row, belongs: Sequence[Sequence[Row]]) -> str:
        """Give a thing as one text that is the same wherever the thing is."""
        plain = dict(row)
        if table == "plans":
            # As this version of the program would write it, whoever wrote it.
            plan = plan_from_dict(json.loads(row["document"]))
            plain["document"] = plan_to_dict(plan)
        if table == "angle_checks":
            plain["landmarks"] = json.loads(row["landmarks"])
        return json.dumps([plain, belongs], sort_keys=True, ensure_ascii=False)

    def _bare_rest_weeks(self, document: Record) -> None:
        """Take weeks that come as words alone, as in a document written by hand."""
        for index, word in enumerate(document.items("rest_weeks")):
            path = (*document.at("rest_weeks"), index)
            week = str(reading.week_in(Record.of({"week": word}, path)))
            record = Record.of({"uid": str(uuid5(_WEEKS, week)), "week": week}, path)
            self._row(record, "rest_weeks", rows.rest_week_row_in(record), key="week")

    def _bare_plan(self, document: Record) -> None:
        """Take a plan that stands alone as a change of today, if it is one.

        Beside ``plans`` it only says which of them was in force.
        """
        if not document.raw("plan"):
            return
        plan = plan_from_dict(document.raw("plan"), document.at("plan"))
        if document.has("plans"):
            return
        if plan == read_plan(self.db, self.today):
            self.counts["plans", "unchanged"] += 1
            return
        write_plan(self.db, plan, self.today, self.now)
        self.counts["plans", "added"] += 1

    def _correction(self, record: Record) -> None:
        row = rows.correction_row_in(record)
        known = self.db.execute(
            "SELECT 1 FROM corrections WHERE uid = ?", [row["uid"]]
        ).fetchone()
        if known is None:
            self._guarded(record, lambda: insert(self.db, "corrections", row))
        self.counts["corrections", "unchanged" if known else "added"] += 1

    def _answer(self, record: Record) -> None:
        """Take a later answer in; of two from one moment both machines take the same.

        Whether a file is made up is said at the document's head, and never changes.
        """
        row = rows.answer_row_in(record, self.now)
        if row["key"] == MADE_UP_KEY:
            return
        ours = self.db.execute(
            "SELECT updated_at, value FROM answers WHERE key = ?", [row["key"]]
        ).fetchone()
        dated = record.has("updated_at")
        if ours is not None and (
            not dated or tuple(ours) >= (row["updated_at"], row["value"])
        ):
            self.counts["answers", "unchanged"] += 1
            return
        self._guarded(record, lambda: put_answer(self.db, row))
        self.counts["answers", "added" if ours is None else "updated"] += 1

    def _guarded(self, record: Record, write: Callable[[], None]) -> None:
        """Say where in the document a value stands that the tables refuse."""
        try:
            write()
        except sqlite3.IntegrityError as error:
            raise RecordError(f"{record.where} is impossible ({error})") from None

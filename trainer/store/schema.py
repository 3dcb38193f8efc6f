"""The tables, as migrations that are only ever added to.

What holds for every table:

- ``uid`` is a uuid4 made where the row was made, so that two machines can be merged.
- ``updated_at`` is when the row was last changed, ``deleted_at`` when it was taken
  back, ``logged_at`` when it was first written. A row that was taken back stays.
- Times are UTC, ``2026-03-02T17:00:00.000000Z``, so that text sorts as time does.
  ``utc_offset_min`` and ``local_date`` are what the person's clock said then.
- Seconds are REAL, to a tenth. Empty (NULL) means that nobody said.
- The rows of ``planned_sets`` and ``session_overrides`` belong to their session, those
  of ``hold_felt`` and ``hold_pain`` to their hold, and travel with it.

==================  ===============================================================
sessions            one visit: its kind, when, what was planned (planned_sets)
session_overrides   what the gate held back and the person did anyway, and why not
holds               one hold: target, held, kept, how it ended, what was said of it;
                    ``rpe_wording`` 1: its RPE was given in seconds left, 2: in breaths
hold_felt           where its stretch was felt, and when in the breath, 0 to 10
hold_pain           its warning signs: pain, numb or dizzy, where, on which side, and
                    the day on which the person said that it is gone
corrections         a hold's former figures, one row for each that was corrected
journal             the hold under way, once a second; empty between holds
plans               the plan as it was: of those valid from a day, the latest logged
targets             targets that somebody set or that came with a suggestion taken
rest_weeks          weeks off that were meant, ISO ``2026-W10``
shown_suggestions   suggestions as they were shown, to score their forecasts
angle_checks        landmarks and figures of a side view; the photo is never kept
angle_corrections   an angle check's former figures, one row for each correction
answers             what the person answered once
seal                counts and sums of the tables, as the last write left them
==================  ===============================================================

Views, for any SQLite tool: ``hold_log`` (a line for each hold, local times, words),
``weekly_overhead`` (seconds kept overhead per ISO week), ``current_targets``,
``live_sessions`` (those that count: a session that was taken back does while a hold in
it does, see ``core.merging``). The file's own id is its ``user_version``. Views hold
nothing, so they are no part of the migrations: ``VIEWS`` says them, and a file whose
views are others gets these when it is opened.
"""

from __future__ import annotations

import re
from collections.abc import Callable

from trainer.core.exercises import BUILT_IN
from trainer.store.connection import Connection

APPLICATION_ID = 0x4F48_5431
"""Written into the file's header, so that it is known as ours (our choice)."""

Migration = Callable[[Connection], None]
MIGRATIONS: list[Migration] = []
"""All of them, in their order; a file knows by their names which it has had."""


def migration(change: Migration) -> Migration:
    """Make CHANGE the next migration."""
    MIGRATIONS.append(change)
    return change


def _instant(column: str) -> str:
    digits = "[0-9]"
    form = (
        f"{digits * 4}-{digits * 2}-{digits * 2}T"
        f"{digits * 2}:{digits * 2}:{digits * 2}.{digits * 6}Z"
    )
    return (
        f'CONSTRAINT "{column} is a UTC time" CHECK ({column} IS NULL OR'
        f" ({column} GLOB '{form}' AND julianday({column}) IS NOT NULL"
        f" AND {_is_day(f'substr({column}, 1, 10)')}))"
    )


def _is_day(value: str) -> str:
    # Without a modifier SQLite takes 30 February as it comes.
    return f"(date({value}) IS NOT NULL AND date({value}, '+0 days') = {value})"


def _day(column: str) -> str:
    return f'CONSTRAINT "{column} is a date" CHECK ({_is_day(column)})'


def _week(column: str) -> str:
    return (
        f'CONSTRAINT "{column} is an ISO week"'
        f" CHECK ({column} GLOB '[0-9][0-9][0-9][0-9]-W[0-5][0-9]'"
        f" AND {column} BETWEEN '1970' AND '2200')"
    )


def _one_of(column: str, words: str) -> str:
    quoted = ", ".join(f"'{word}'" for word in words.split())
    return f'CONSTRAINT "{column} is a known word" CHECK ({column} IN ({quoted}))'


_UID = "uid TEXT NOT NULL PRIMARY KEY CHECK (length(uid) = 36)"
_STAMPS = f"""
    logged_at TEXT NOT NULL {_instant("logged_at")},
    updated_at TEXT NOT NULL {_instant("updated_at")},
    deleted_at TEXT {_instant("deleted_at")}
"""
_EXERCISE = "exercise TEXT NOT NULL CHECK (length(exercise) BETWEEN 1 AND 64)"
_OFFSET = (
    "utc_offset_min INTEGER NOT NULL CHECK (utc_offset_min BETWEEN -1439 AND 1439)"
)
_SITES = (
    "pecs armpit lats ribs triceps front-shoulder top-shoulder between-blades"
    " forearm wrist neck low-back"
)

_SESSIONS = f"""
CREATE TABLE sessions (
    {_UID},
    kind TEXT NOT NULL {_one_of("kind", "plan one-off test added")},
    started_at TEXT NOT NULL {_instant("started_at")},
    {_OFFSET},
    local_date TEXT NOT NULL {_day("local_date")},
    zone TEXT NOT NULL DEFAULT '',
    ended_at TEXT {_instant("ended_at")},
    note TEXT NOT NULL DEFAULT '',
    {_STAMPS}
) STRICT;
CREATE INDEX sessions_by_day ON sessions (local_date);
CREATE INDEX sessions_by_time ON sessions (started_at);
CREATE TABLE planned_sets (
    session_uid TEXT NOT NULL REFERENCES sessions (uid) ON DELETE CASCADE,
    position INTEGER NOT NULL CHECK (position >= 0),
    {_EXERCISE},
    set_number INTEGER NOT NULL CHECK (set_number >= 1),
    target_s REAL NOT NULL CHECK (target_s >= 1 AND target_s <= 300),
    rest_s REAL NOT NULL CHECK (rest_s >= 0),
    PRIMARY KEY (session_uid, position)
) STRICT, WITHOUT ROWID;
"""
_HOLDS = f"""
CREATE TABLE holds (
    {_UID},
    session_uid TEXT NOT NULL REFERENCES sessions (uid),
    {_EXERCISE},
    set_number INTEGER NOT NULL CHECK (set_number >= 1),
    started_at TEXT NOT NULL {_instant("started_at")},
    target_s REAL CHECK (target_s >= 1 AND target_s <= 300),
    held_s REAL NOT NULL CHECK (held_s >= 0 AND held_s <= 600),
    kept_s REAL CHECK (kept_s >= 0 AND kept_s <= held_s),
    lost_on_breath INTEGER CHECK (lost_on_breath >= 1),
    key_s REAL CHECK (key_s >= 0),
    allowance_s REAL CHECK (allowance_s >= 0),
    ended_by TEXT NOT NULL
        {_one_of("ended_by", "target key limit interrupted crash added")},
    stopped_by TEXT
        {_one_of("stopped_by", "grip shoulder position breath nerve other")},
    confirmed INTEGER NOT NULL CHECK (confirmed IN (0, 1)),
    rpe REAL CHECK (rpe BETWEEN 0 AND 10 AND rpe * 2 = CAST(rpe * 2 AS INTEGER)),
    pain_overridden INTEGER NOT NULL CHECK (pain_overridden IN (0, 1)),
    feet TEXT {_one_of("feet", "half little toes")},
    note TEXT NOT NULL DEFAULT '',
    {_STAMPS}
) STRICT;
CREATE INDEX holds_by_session ON holds (session_uid);
CREATE TABLE hold_felt (
    hold_uid TEXT NOT NULL REFERENCES holds (uid) ON DELETE CASCADE,
    position INTEGER NOT NULL CHECK (position >= 0),
    site TEXT NOT NULL {_one_of("site", _SITES)},
    side TEXT {_one_of("side", "left right both")},
    moment TEXT {_one_of("moment", "settled exhale")},
    strength REAL CHECK (strength BETWEEN 0 AND 10),
    PRIMARY KEY (hold_uid, position)
) STRICT, WITHOUT ROWID;
CREATE TABLE hold_pain (
    hold_uid TEXT NOT NULL REFERENCES holds (uid) ON DELETE CASCADE,
    position INTEGER NOT NULL CHECK (position >= 0),
    kind TEXT NOT NULL {_one_of("kind", "pain numb dizzy")},
    site TEXT {_one_of("site", _SITES + " elbow hand")},
    PRIMARY KEY (hold_uid, position)
) STRICT, WITHOUT ROWID;
CREATE TABLE corrections (
    {_UID},
    hold_uid TEXT NOT NULL REFERENCES holds (uid) ON DELETE CASCADE,
    what TEXT NOT NULL CHECK (length(what) BETWEEN 1 AND 64),
    from_json TEXT NOT NULL CHECK (json_valid(from_json)),
    to_json TEXT NOT NULL CHECK (json_valid(to_json)),
    corrected_at TEXT NOT NULL {_instant("corrected_at")}
) STRICT;
CREATE INDEX corrections_by_hold ON corrections (hold_uid);
CREATE TABLE journal (
    session_uid TEXT NOT NULL PRIMARY KEY REFERENCES sessions (uid),
    hold_uid TEXT NOT NULL CHECK (length(hold_uid) = 36),
    {_EXERCISE},
    set_number INTEGER NOT NULL CHECK (set_number >= 1),
    started_at TEXT NOT NULL {_instant("started_at")},
    target_s REAL CHECK (target_s >= 1 AND target_s <= 300),
    held_s REAL NOT NULL CHECK (held_s >= 0 AND held_s <= 600),
    allowance_s REAL CHECK (allowance_s >= 0),
    feet TEXT {_one_of("feet", "half little toes")},
    journaled_at TEXT NOT NULL {_instant("journaled_at")}
) STRICT;
"""
_DECISIONS = f"""
CREATE TABLE plans (
    {_UID},
    valid_from TEXT NOT NULL {_day("valid_from")},
    document TEXT NOT NULL CHECK (json_valid(document)),
    {_STAMPS}
) STRICT;
CREATE TABLE targets (
    {_UID},
    {_EXERCISE},
    target_s REAL NOT NULL CHECK (target_s >= 1 AND target_s <= 300),
    author TEXT NOT NULL {_one_of("author", "person coach suggestion test")},
    set_at TEXT NOT NULL {_instant("set_at")},
    local_date TEXT NOT NULL {_day("local_date")},
    week TEXT {_week("week")},
    sets INTEGER CHECK (sets >= 0),
    rule TEXT NOT NULL DEFAULT '',
    from_exercise TEXT NOT NULL DEFAULT '',
    {_STAMPS}
) STRICT;
CREATE TABLE rest_weeks (
    {_UID},
    week TEXT NOT NULL UNIQUE {_week("week")},
    {_STAMPS}
) STRICT;
CREATE TABLE shown_suggestions (
    {_UID},
    {_EXERCISE},
    week TEXT NOT NULL {_week("week")},
    shown_at TEXT NOT NULL {_instant("shown_at")},
    target_s REAL CHECK (target_s >= 1 AND target_s <= 300),
    sets INTEGER NOT NULL CHECK (sets >= 0),
    rule TEXT NOT NULL,
    "change" TEXT NOT NULL,
    chance REAL CHECK (chance BETWEEN 0 AND 1),
    {_STAMPS}
) STRICT;
CREATE INDEX shown_by_week ON shown_suggestions (exercise, week);
CREATE TABLE angle_checks (
    {_UID},
    measured_at TEXT NOT NULL {_instant("measured_at")},
    {_OFFSET},
    local_date TEXT NOT NULL {_day("local_date")},
    method TEXT NOT NULL CHECK (length(method) BETWEEN 1 AND 64),
    side TEXT {_one_of("side", "left right both")},
    facing TEXT {_one_of("facing", "left right")},
    taken TEXT {_one_of("taken", "before after")},
    reach TEXT {_one_of("reach", "guarded free")},
    overhead_deg REAL CHECK (overhead_deg BETWEEN -180 AND 360),
    lean_deg REAL CHECK (lean_deg BETWEEN -180 AND 180),
    rib_flare REAL CHECK (rib_flare BETWEEN -2 AND 2),
    landmarks TEXT NOT NULL DEFAULT '{{}}' CHECK (json_valid(landmarks)),
    note TEXT NOT NULL DEFAULT '',
    {_STAMPS}
) STRICT;
CREATE TABLE answers (
    key TEXT NOT NULL PRIMARY KEY CHECK (length(key) BETWEEN 1 AND 64),
    value TEXT NOT NULL,
    updated_at TEXT NOT NULL {_instant("updated_at")}
) STRICT;
"""


@migration
def m001_initial(db: Connection) -> None:
    """Make the tables and views described above."""
    for script in (_SESSIONS, _HOLDS, _DECISIONS):
        for statement in script.split(";"):
            if statement.strip():
                db.execute(statement)
    db.execute(f"PRAGMA application_id = {APPLICATION_ID}")


_OVERRIDES = f"""
CREATE TABLE session_overrides (
    session_uid TEXT NOT NULL REFERENCES sessions (uid) ON DELETE CASCADE,
    position INTEGER NOT NULL CHECK (position >= 0),
    {_EXERCISE},
    reason TEXT NOT NULL CHECK (length(reason) BETWEEN 1 AND 64),
    says TEXT NOT NULL,
    PRIMARY KEY (session_uid, position)
) STRICT, WITHOUT ROWID
"""


@migration
def m002_gate(db: Connection) -> None:
    """Give pain a side and an end, a session its overrides, an RPE its wording."""
    side = _one_of("side", "left right both")
    gone = (
        'CONSTRAINT "gone_on is a date"'
        f" CHECK (gone_on IS NULL OR {_is_day('gone_on')})"
    )
    db.execute(f"ALTER TABLE hold_pain ADD COLUMN side TEXT {side}")
    db.execute(f"ALTER TABLE hold_pain ADD COLUMN gone_on TEXT {gone}")
    db.execute(
        "ALTER TABLE holds ADD COLUMN rpe_wording INTEGER NOT NULL DEFAULT 1"
        " CHECK (rpe_wording >= 1)"
    )
    db.execute(_OVERRIDES)


_ANGLES = f"""
ALTER TABLE angle_checks ADD COLUMN pose TEXT NOT NULL DEFAULT 'reach'
    {_one_of("pose", "reach hang press")};
ALTER TABLE angle_checks ADD COLUMN exercise TEXT
    CHECK (length(exercise) BETWEEN 1 AND 64);
ALTER TABLE angle_checks ADD COLUMN blades TEXT {_one_of("blades", "sunk pressed")};
ALTER TABLE angle_checks ADD COLUMN ear TEXT {_one_of("ear", "front hidden behind")};
ALTER TABLE angle_checks ADD COLUMN arm_point TEXT
    {_one_of("arm_point", "elbow wrist")};
ALTER TABLE angle_checks ADD COLUMN lift REAL CHECK (lift BETWEEN -10 AND 10);
ALTER TABLE angle_checks ADD COLUMN uncertainty_deg REAL CHECK (uncertainty_deg >= 0);
ALTER TABLE angle_checks ADD COLUMN photo_name TEXT NOT NULL DEFAULT ''
    CHECK (photo_name NOT GLOB '*/*' AND length(photo_name) <= 255);
ALTER TABLE angle_checks ADD COLUMN photo_sha256 TEXT NOT NULL DEFAULT ''
    CHECK (length(photo_sha256) IN (0, 64));
ALTER TABLE angle_checks ADD COLUMN photo_width INTEGER CHECK (photo_width > 0);
ALTER TABLE angle_checks ADD COLUMN photo_height INTEGER CHECK (photo_height > 0);
CREATE TABLE angle_corrections (
    {_UID},
    check_uid TEXT NOT NULL REFERENCES angle_checks (uid) ON DELETE CASCADE,
    from_json TEXT NOT NULL CHECK (json_valid(from_json)),
    to_json TEXT NOT NULL CHECK (json_valid(to_json)),
    {_STAMPS}
) STRICT;
CREATE INDEX angle_corrections_by_check ON angle_corrections (check_uid);
"""
# A check that somebody wrote into a document by hand could be of any method, or without
# its figure; such a row measures nothing and is taken back, not thrown away.
_NO_CHECKS = """
UPDATE angle_checks SET deleted_at = updated_at
WHERE deleted_at IS NULL AND (
    overhead_deg IS NULL OR overhead_deg NOT BETWEEN 10 AND 230 OR side = 'both'
    OR method NOT IN ('photo', 'goniometer', 'inclinometer', 'eye'));
"""


@migration
def m003_angle_checks(db: Connection) -> None:
    """Let an angle check say its pose, and keep its corrections."""
    for script in (_ANGLES, _NO_CHECKS):
        for statement in script.split(";"):
            if statement.strip():
                db.execute(statement)


_SEAL = """
CREATE TABLE seal (
    only INTEGER NOT NULL PRIMARY KEY CHECK (only = 1),
    holds INTEGER NOT NULL CHECK (holds >= 0),
    figures TEXT NOT NULL CHECK (json_valid(figures))
) STRICT
"""


@migration
def m004_care(db: Connection) -> None:
    """Give the file a seal, and an id of its own where no SQL is needed to read it."""
    import secrets  # long to load

    db.execute(_SEAL)
    db.execute(f"PRAGMA user_version = {secrets.randbelow(2**31 - 1) + 1}")


_LISTED = re.compile(
    r'CONSTRAINT "(stopped_by|site) is a known word"\s+CHECK \(\1 IN \([^)]*\)\)'
)
_A_WORD = r'CONSTRAINT "\1 is a word" CHECK (length(\1) BETWEEN 1 AND 64)'


@migration
def m005_words(db: Connection) -> None:
    """Let the program alone say which reasons and places there are.

    A list that the tables keep too would need a migration for every word added to it.
    SQLite drops no constraint, so the tables are made anew. Views would hold on to the
    old ones; they are made anew after the migrations.
    """
    drop_views(db)
    for table in ("holds", "hold_felt", "hold_pain"):
        (made,) = db.execute(
            "SELECT sql FROM sqlite_master WHERE type = 'table' AND name = ?", [table]
        ).fetchone()
        indexes = db.execute(
            "SELECT sql FROM sqlite_master WHERE type = 'index' AND tbl_name = ?"
            " AND sql IS NOT NULL",
            [table],
        ).fetchall()
        anew = _LISTED.sub(_A_WORD, made)
        named = re.sub(rf'^CREATE TABLE "?{table}"?', "CREATE TABLE made_anew", anew)
        db.execute(named)
        db.execute(f"INSERT INTO made_anew SELECT * FROM {table}")
        db.execute(f"DROP TABLE {table}")
        db.execute(f"ALTER TABLE made_anew RENAME TO {table}")
        for (index,) in indexes:
            db.execute(index)


_SET = "trainer"
"""What sqlite_utils keeps our migrations under."""


def applied(db: Connection) -> set[str]:
    """Return the names of the migrations that the file has had."""
    kept = "SELECT 1 FROM sqlite_master WHERE name = '_sqlite_migrations'"
    if db.execute(kept).fetchone() is None:
        return set()
    names = "SELECT name FROM _sqlite_migrations WHERE migration_set = ?"
    return {name for (name,) in db.execute(names, [_SET])}


def pending(db: Connection) -> list[Migration]:
    """Return the migrations that the file has still to be given."""
    had = applied(db)
    return [change for change in MIGRATIONS if change.__name__ not in had]


def migrate(db: Connection) -> None:
    """Give the file the migrations that it hasn't had."""
    # Only where there is one: most of the time the library isn't needed.
    from sqlite_utils import Database, Migrations

    ours = Migrations(_SET)
    for change in MIGRATIONS:
        ours(name=change.__name__)(lambda _, change=change: change(db))
    # Plugins are other people's code that any installed package can bring along.
    ours.apply(Database(db, execute_plugins=False))


_NOT_OVERHEAD = ", ".join(
    f"'{exercise.id}'" for exercise in BUILT_IN.values() if not exercise.overhead
)
_HOLD_LOG = """
CREATE VIEW hold_log AS
SELECT
    s.local_date,
    strftime('%H:%M', h.started_at, s.utc_offset_min || ' minutes') AS local_time,
    s.kind AS session_kind,
    h.exercise,
    h.set_number,
    h.target_s,
    h.held_s,
    h.kept_s,
    h.ended_by,
    h.stopped_by,
    h.confirmed,
    h.rpe,
    (SELECT group_concat(
        p.kind || coalesce(' ' || p.site, '') || coalesce(' ' || p.side, '')
        || coalesce(' gone ' || p.gone_on, ''), ', ') FROM hold_pain p
        WHERE p.hold_uid = h.uid) AS pain,
    (SELECT group_concat(
        f.site || coalesce(' ' || f.side, '') || coalesce(' ' || f.moment, '')
        || coalesce(' ' || f.strength, ''), ', ') FROM hold_felt f
        WHERE f.hold_uid = h.uid) AS felt,
    h.note,
    h.uid AS hold_uid,
    s.uid AS session_uid
FROM holds h JOIN live_sessions s ON s.uid = h.session_uid
WHERE h.deleted_at IS NULL
ORDER BY s.started_at, h.started_at
"""
# The ISO week of a day is that of its Thursday. SQLite's own %G and %V are younger
# than the versions that many systems still ship, so it is worked out here.
_WEEKLY_OVERHEAD = f"""
CREATE VIEW weekly_overhead AS
WITH own_not_overhead AS (
    SELECT json_extract(own.value, '$.id') AS exercise
    FROM plans, json_each(plans.document, '$.own') AS own
    WHERE json_extract(own.value, '$.overhead') = 0
), counted AS (
    SELECT h.exercise, coalesce(h.kept_s, h.held_s) AS kept_s, s.local_date,
        date(s.local_date, '-3 days', 'weekday 4') AS thursday
    FROM holds h JOIN live_sessions s ON s.uid = h.session_uid
    WHERE h.deleted_at IS NULL
        AND h.exercise NOT IN ({_NOT_OVERHEAD})
        AND h.exercise NOT IN (SELECT exercise FROM own_not_overhead)
)
SELECT
    printf('%s-W%02d', strftime('%Y', thursday),
        (strftime('%j', thursday) - 1) / 7 + 1) AS week,
    round(sum(kept_s), 1) AS overhead_s,
    count(*) AS holds,
    count(DISTINCT local_date) AS days
FROM counted GROUP BY thursday ORDER BY thursday
"""
_CURRENT_TARGETS = """
CREATE VIEW current_targets AS
SELECT t.exercise, t.target_s, t.author, t.local_date, t.week
FROM targets t
WHERE t.deleted_at IS NULL AND t.set_at = (
    SELECT max(l.set_at) FROM targets l
    WHERE l.exercise = t.exercise AND l.deleted_at IS NULL)
"""
_LIVE_SESSIONS = """
CREATE VIEW live_sessions AS
SELECT s.* FROM sessions s
WHERE s.deleted_at IS NULL OR EXISTS (
    SELECT 1 FROM holds h WHERE h.session_uid = s.uid AND h.deleted_at IS NULL)
"""
VIEWS = {
    "live_sessions": _LIVE_SESSIONS.strip(),
    "hold_log": _HOLD_LOG.strip(),
    "weekly_overhead": _WEEKLY_OVERHEAD.strip(),
    "current_targets": _CURRENT_TARGETS.strip(),
}
"""The views by name, as the statements that make them."""


def has_our_views(db: Connection) -> bool:
    """Tell whether the file's views are those of this program."""
    found = db.execute("SELECT name, sql FROM sqlite_master WHERE type = 'view'")
    return dict(found.fetchall()) == VIEWS


def make_views(db: Connection) -> None:
    """Put this program's views in place of the file's."""
    drop_views(db)
    for statement in VIEWS.values():
        db.execute(statement)


def drop_views(db: Connection) -> None:
    """Take every view out of the file; a view holds nothing."""
    found = db.execute("SELECT name FROM sqlite_master WHERE type = 'view'")
    for (name,) in found.fetchall():
        db.execute(f'DROP VIEW "{name}"')

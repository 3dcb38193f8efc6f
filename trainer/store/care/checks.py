"""Looking the data file over, for ``data check`` and ``doctor``."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable, Iterator
from pathlib import Path

from trainer.core.model import FELT_SITES, PAIN_SITES, StoppedBy
from trainer.core.plan.codec import plan_from_dict
from trainer.core.record import RecordError
from trainer.store.connection import Connection


def _listed(words: Iterable[str]) -> str:
    return ", ".join(f"'{word}'" for word in words)


_IMPOSSIBLE = {
    "session {} ends before it starts": """
        SELECT uid FROM sessions WHERE ended_at < started_at""",
    "session {} is not on the day on which it began": """
        SELECT uid FROM sessions
        WHERE date(started_at, utc_offset_min || ' minutes') <> local_date""",
    "hold {} lies more than a day away from its session": """
        SELECT h.uid FROM holds h JOIN sessions s ON s.uid = h.session_uid
        WHERE abs(julianday(h.started_at) - julianday(s.started_at)) > 1""",
    "hold {} was kept longer than it was held": """
        SELECT uid FROM holds WHERE kept_s > held_s""",
    "hold {} was held for a length that is out of bounds": """
        SELECT uid FROM holds WHERE NOT held_s BETWEEN 0 AND 600""",
    "the target {} is out of bounds": """
        SELECT uid FROM targets WHERE NOT target_s BETWEEN 1 AND 300""",
    "hold {} was stopped by something that isn't known here": f"""
        SELECT uid FROM holds WHERE stopped_by NOT IN ({_listed(StoppedBy)})""",
    "hold {} was felt at a place that isn't known here": f"""
        SELECT hold_uid FROM hold_felt WHERE site NOT IN ({_listed(FELT_SITES)})""",
    "hold {} hurt at a place that isn't known here": f"""
        SELECT hold_uid FROM hold_pain WHERE site NOT IN ({_listed(PAIN_SITES)})""",
}


def find_faults(db: Connection, path: Path) -> list[str]:
    """List what is wrong with the data file, in sentences for people; none: it is well.

    Args:
        db: the data file, in a transaction.
        path: where it lies.
    """
    looks = (_structure(db), _owners(db), _rows(db), _plans(db), _access(path))
    return [finding for look in looks for finding in _as_far_as_it_goes(look)]


def _as_far_as_it_goes(look: Iterator[str]) -> Iterator[str]:
    """Give what a look finds; damage that ends it is a finding too."""
    try:
        yield from look
    except sqlite3.DatabaseError as error:
        yield f"SQLite finds: {error}."


def _structure(db: Connection) -> Iterator[str]:
    for (found,) in db.execute("PRAGMA integrity_check(20)"):
        if found != "ok":
            yield f"SQLite finds: {found}."


def _owners(db: Connection) -> Iterator[str]:
    for table, row, parent, _ in db.execute("PRAGMA foreign_key_check"):
        yield f"A row of {table} (number {row}) has lost its owner in {parent}."


def _rows(db: Connection) -> Iterator[str]:
    for sentence, sql in _IMPOSSIBLE.items():
        for (uid,) in db.execute(sql):
            said = sentence.format(uid)
            yield f"{said[0].upper()}{said[1:]}."


def _plans(db: Connection) -> Iterator[str]:
    for valid_from, document in db.execute("SELECT valid_from, document FROM plans"):
        try:
            plan_from_dict(json.loads(document), (f"The plan of {valid_from}",))
        except (RecordError, ValueError) as error:
            yield f"{error}."


def _access(path: Path) -> Iterator[str]:
    mode = path.stat().st_mode
    # Windows has no such bits; its own folder rights keep others out there.
    if mode & 0o077 and hasattr(path.stat(), "st_blocks"):
        yield f"Other users of this machine can read {path}: chmod 600 it."

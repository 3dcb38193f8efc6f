"""Comma-separated files: one for each table, safe to open in a spreadsheet."""

from __future__ import annotations

import csv
import os
from pathlib import Path
from typing import Any

from trainer.core.text import clean
from trainer.store.connection import Connection

_STARTS_A_FORMULA = ("=", "+", "-", "@", "\t", "\r", "＝", "＋", "－", "＠")
"""First characters that make a spreadsheet compute a cell (OWASP, "CSV Injection",
from memory)."""

_LIVE = "deleted_at IS NULL"
_LIVE_HOLD = f"hold_uid IN (SELECT uid FROM holds WHERE {_LIVE})"
_LIVE_SESSION = "uid IN (SELECT uid FROM live_sessions)"
_FILES = {
    "sessions": _LIVE_SESSION,
    "planned_sets": f"session_{_LIVE_SESSION}",
    "session_overrides": f"session_{_LIVE_SESSION}",
    "holds": _LIVE,
    "hold_felt": _LIVE_HOLD,
    "hold_pain": _LIVE_HOLD,
    "corrections": _LIVE_HOLD,
    "plans": _LIVE,
    "targets": _LIVE,
    "rest_weeks": _LIVE,
    "shown_suggestions": _LIVE,
    "angle_checks": _LIVE,
    "angle_corrections": _LIVE,
    "answers": "1",
    "hold_log": "1",
    "weekly_overhead": "1",
}


def write_csv_files(db: Connection, folder: Path) -> list[Path]:
    """Write every table and view, without what was taken back, into FOLDER.

    Raises:
        OSError: a file can't be written.
    """
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    written = []
    for name, where in _FILES.items():
        path = folder / f"{name}.csv"
        part = path.with_name(f"{path.name}.{os.getpid()}.part")
        descriptor = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
        try:
            # With a byte-order mark: without one some spreadsheets guess the encoding.
            with open(descriptor, "w", encoding="utf-8-sig", newline="") as file:
                cursor = db.execute(f'SELECT * FROM "{name}" WHERE {where}')
                writer = csv.writer(file)
                writer.writerow([column[0] for column in cursor.description])
                writer.writerows([safe_cell(cell) for cell in row] for row in cursor)
            os.replace(part, path)
        finally:
            part.unlink(missing_ok=True)
        written.append(path)
    return written


def safe_cell(value: Any) -> Any:
    """Give a cell that no spreadsheet computes: an apostrophe before such a text."""
    if not isinstance(value, str):
        return value
    text = clean(value, limit=100_000)
    return f"'{text}" if text.startswith(_STARTS_A_FORMULA) else text

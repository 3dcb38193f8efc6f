"""Make the pair of files that stands for a migration in ``tests/data``.

Run it once when a migration is added, before anything else changes:
``python -m tests.store.old_files m002``.
"""

from __future__ import annotations

import json
import sqlite3
import sys
import tempfile
from contextlib import closing
from dataclasses import replace
from pathlib import Path

from tests.store.makers import Makers
from tests.store.test_exchange import fill
from trainer.core.clock import ManualClock
from trainer.store import open_store

DATA = Path(__file__).parents[1] / "data"
_ANGLE_CHECK = {
    "uid": "0f8fad5b-d9cb-469f-a165-70867728950e",
    "measured_at": "2026-03-02T18:00:00+01:00",
    "utc_offset_min": 60,
    "local_date": "2026-03-02",
    "method": "photo",
    "facing": "left",
    "taken": "before",
    "reach": "guarded",
    "overhead_deg": 168.5,
    "lean_deg": -3.0,
    "rib_flare": 0.12,
    "landmarks": {"wrist": [0.1, 0.9], "shoulder": [0.2, 0.5], "hip": [0.2, 0.1]},
    "note": "made up",
}


def write_pair(name: str) -> None:
    """Write a made-up log as SQL, with a row in every table, and its export."""
    clock = ManualClock()
    make = Makers(clock)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "log.db"
        with open_store(path, clock=clock) as store:
            fill(store, make)
            store.set_answer("hang was easy", "yes")
            document = store.export()
            store.import_document(document | {"angle_checks": [_ANGLE_CHECK]})
            check = store.angle_checks()[0]
            store.correct_angle_check(replace(check, note="made up, and corrected"))
            session = make.logged(store)
            store.journal(session.uid, make.hold(held_s=7.0))
            document = store.export()
        with closing(sqlite3.connect(path)) as made:
            dump = "\n".join(made.iterdump())
    head = f"-- A made-up log in the tables of {name}, as Python's sqlite3 dumps it.\n"
    (DATA / f"{name}.sql").write_text(head + dump + "\n", encoding="utf-8")
    text = json.dumps(document, ensure_ascii=False, indent=1)
    (DATA / f"{name}.json").write_text(text + "\n", encoding="utf-8")


if __name__ == "__main__":
    write_pair(sys.argv[1])

"""The made-up trainee's data file: written through the store, never over a person's."""

from __future__ import annotations

from pathlib import Path

from trainer.core.clock import Clock
from trainer.core.made_up import is_made_up
from trainer.demo import MadeUp, made_up
from trainer.errors import DataError
from trainer.store import Store, open_store

DEMO_FOLDER = "made-up"
"""The folder inside our data folder that holds the made-up file and its backups."""
DEMO_FILE = "made-up.db"


def write_demo(path: Path, *, clock: Clock) -> None:
    """Make the made-up file anew.

    Raises:
        DataError: a file is there that isn't made up; it is left as it is.
    """
    now = clock.wall()
    offset = now.utcoffset()
    minutes = 0 if offset is None else round(offset.total_seconds() / 60)
    trainee = made_up(now.date(), utc_offset_min=minutes)
    if path.exists():
        with open_store(path, clock=clock, read_only=True) as store:
            if not is_made_up(store.answers()):
                raise DataError(
                    f"{path.name} is there and belongs to a person",
                    "Give the made-up trainee a file of its own with --db",
                )
        for suffix in ("", "-wal", "-shm"):
            path.with_name(path.name + suffix).unlink(missing_ok=True)
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    with open_store(path, clock=clock) as store:
        fill(store, trainee)


def fill(store: Store, trainee: MadeUp) -> None:
    """Write everything of a made-up trainee into a file, marked as such first."""
    for key, value in trainee.answers.items():
        store.set_answer(key, value)
    for valid_from, plan in trainee.plans:
        store.save_plan(plan, valid_from=valid_from)
    for session in trainee.history.sessions:
        store.begin_session(session)
        for hold in session.holds:
            store.save_hold(session.uid, hold)
        if session.ended_at is not None:
            store.end_session(session.uid, ended_at=session.ended_at)
    for target in trainee.history.targets:
        store.set_target(target)
    for week in trainee.history.rest_weeks:
        store.set_rest_week(week, on=True)
    for shown in trainee.history.shown:
        store.remember_shown(shown)

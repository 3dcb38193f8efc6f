"""Bench rows for the review: ten years of sessions, about 9,000 holds, to the picture.

The floor is a bare read of all its rows with sqlite3, taken in turn with each. Called
by ``bench.py``; run alone it prints its own rows.
"""

from __future__ import annotations

import random
import sqlite3
import sys
import tempfile
import time
from collections.abc import Callable
from contextlib import closing
from datetime import date, datetime, timedelta, timezone
from pathlib import Path
from typing import Any
from uuid import UUID

from trainer.core.charts.canvas import UNICODE
from trainer.core.charts.pages import pages
from trainer.core.clock import ManualClock
from trainer.core.model import (
    EndedBy,
    Felt,
    Hold,
    Moment,
    Session,
    SessionKind,
    Side,
    Site,
)
from trainer.core.plan.plan import Plan, default_entry
from trainer.core.review.review import with_forecasts
from trainer.core.session.document import session_document
from trainer.report.gather import gather
from trainer.store import Store, open_store

MOST_RATIO = 6.0
YEARS, DAYS_A_WEEK, HOLDS = 10, 3, 6
TODAY = date(2026, 11, 25)
TODAY_AT = datetime.combine(TODAY, datetime.min.time(), timezone.utc)
REPEATS = 7
EXERCISES = ("hang", "press-pike")
PLAN = Plan(exercises=tuple(map(default_entry, EXERCISES)), days=(1, 3, 5))
"""What is planned is what is trained, so that both caps are forecast."""

Row = tuple[str, float, float, float | None]
"""What, our milliseconds, the floor's, the most that their ratio may be."""


def ten_years(seed: int = 10) -> list[Session]:
    """Make three sessions a week for ten years, six holds each, with answers."""
    draw = random.Random(seed)
    first = TODAY - timedelta(weeks=52 * YEARS - 1, days=TODAY.isoweekday() - 1)
    sessions = []
    for week in range(52 * YEARS):
        for day in (0, 2, 4):
            at = first + timedelta(weeks=week, days=day)
            if at <= TODAY:
                sessions.append(_session(draw, at, week))
    return sessions


def _session(draw: random.Random, day: date, week: int) -> Session:
    started_at = datetime.combine(day, datetime.min.time(), timezone.utc)
    started_at += timedelta(hours=17)
    holds = []
    for n in range(HOLDS):
        exercise = EXERCISES[n % 2]
        target_s = 20.0 + 5 * (week % 9)
        kept_s = max(5.0, min(target_s, round(draw.gauss(target_s, 4), 1)))
        felt = Felt(draw.choice(list(Site)[:12]), Side.BOTH, Moment.EXHALE, 5.0)
        holds.append(
            Hold(
                uid=_uid(draw),
                exercise=exercise,
                set_number=n // 2 + 1,
                held_s=kept_s,
                target_s=target_s,
                ended_by=EndedBy.TARGET if kept_s == target_s else EndedBy.KEY,
                started_at=started_at + timedelta(minutes=3 * n),
                confirmed=True,
                rpe=draw.randrange(12, 20) / 2,
                felt=(felt,) if n >= HOLDS - 2 else (),
            )
        )
    return Session(
        uid=_uid(draw),
        kind=SessionKind.PLAN,
        started_at=started_at,
        utc_offset_min=0,
        local_date=day,
        ended_at=started_at + timedelta(minutes=20),
        holds=tuple(holds),
    )


def _uid(draw: random.Random) -> str:
    return str(UUID(int=draw.getrandbits(128), version=4))


def fill(store: Store, sessions: list[Session]) -> int:
    """Write the sessions by way of the import, in one go; give the number of holds."""
    made: list[dict[str, Any]] = [
        session_document(one, changed_at=TODAY_AT) for one in sessions
    ]
    whole = made[0] | {"sessions": [doc["sessions"][0] for doc in made]}
    store.import_document(whole)
    return sum(len(session.holds) for session in sessions)


def read_bare(path: Path) -> int:
    """Read all rows of the file, and do nothing with them."""
    with closing(sqlite3.connect(path)) as db:
        tables = db.execute(
            "SELECT name FROM sqlite_master WHERE type = 'table'"
        ).fetchall()
        return sum(
            len(db.execute(f'SELECT * FROM "{name}"').fetchall()) for (name,) in tables
        )


def taken_ms(work: Callable[[], object]) -> float:
    """Do WORK once; give its milliseconds."""
    begin = time.perf_counter()
    work()
    return (time.perf_counter() - begin) * 1000


def rows(*, quick: bool = False) -> list[Row]:
    """Measure the review of ten years and give rows for the table."""
    with tempfile.TemporaryDirectory() as place:
        path = Path(place) / "ten-years.db"
        with open_store(path, clock=ManualClock(start=TODAY_AT)) as store:
            store.save_plan(PLAN, valid_from=date(2016, 1, 1))
            count = fill(store, ten_years())

            def picture(weeks: int | None) -> None:
                found = gather(store, today=TODAY, weeks=weeks, otherwise=False)
                for part in pages(found)[:3]:
                    part.draw(94, 18, UNICODE)

            def every_picture() -> None:
                for part in pages(
                    gather(store, today=TODAY, weeks=None, otherwise=False)
                ):
                    part.draw(94, 18, UNICODE)

            looked_back = gather(store, today=TODAY, weeks=None)

            def row(
                what: str, work: Callable[[], object], most: float | None = None
            ) -> Row:
                work()
                pairs = [
                    (taken_ms(work), taken_ms(lambda: read_bare(path)))
                    for _ in range(3 if quick else REPEATS)
                ]
                # The pair of the middle ratio: a busy moment slows both of a pair.
                ours, floor = sorted(pairs, key=lambda pair: pair[0] / pair[1])[
                    len(pairs) // 2
                ]
                return what, ours, floor, most

            years = f"review of {count} holds"
            return [
                row(f"{years}, all weeks", lambda: picture(None), MOST_RATIO),
                row(f"{years}, 12 weeks", lambda: picture(12), MOST_RATIO),
                row("… every picture drawn", every_picture),
                row("… of which reading the log", store.history),
                row("then, behind it: forecasts", lambda: with_forecasts(looked_back)),
            ]


def main() -> int:
    """Print the rows."""
    for what, ours, floor, most in rows():
        goal = "" if most is None else f"  goal ≤ {most:g} ×"
        print(f"{what:<40}{ours:6.0f} ms{floor:6.0f} ms  {ours / floor:.2f} ×{goal}")
    return 0


if __name__ == "__main__":
    sys.exit(main())

"""Bench rows for the review: ten years of sessions, about 9,000 holds, to the picture.

Called by ``bench.py``; run alone it prints its own rows.
"""

from __future__ import annotations

import random
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime, timedelta, timezone
from pathlib import Path
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
from trainer.report.gather import gather
from trainer.store import Store, open_store

GOAL_MS = 300.0
YEARS, DAYS_A_WEEK, HOLDS = 10, 3, 6
TODAY = date(2026, 11, 25)
REPEATS = 7
EXERCISES = ("hang", "press-pike")
PLAN = Plan(exercises=tuple(map(default_entry, EXERCISES)), days=(1, 3, 5))
"""What is planned is what is trained, so that both caps are forecast."""

Row = tuple[str, str, str, str]
"""What, measured, goal, whether it is met."""


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
    """Write the sessions by way of the export's own import; give the holds."""
    for session in sessions:
        store.begin_session(replace(session, holds=()))
        for hold in session.holds:
            store.save_hold(session.uid, hold)
    return sum(len(session.holds) for session in sessions)


def best_ms(work: Callable[[], object]) -> float:
    """Give the median of some runs in milliseconds, after one to warm up."""
    work()
    times = []
    for _ in range(REPEATS):
        begin = time.perf_counter()
        work()
        times.append((time.perf_counter() - begin) * 1000)
    return sorted(times)[REPEATS // 2]


def rows(folder: Path | None = None) -> list[Row]:
    """Measure the review of ten years and give rows for the table."""
    with tempfile.TemporaryDirectory(dir=folder) as place:
        clock = ManualClock(
            start=datetime.combine(TODAY, datetime.min.time(), timezone.utc)
        )
        with open_store(Path(place) / "ten-years.db", clock=clock) as store:
            store.save_plan(PLAN, valid_from=date(2016, 1, 1))
            count = fill(store, ten_years())

            def picture(weeks: int | None) -> None:
                found = gather(store, today=TODAY, weeks=weeks)
                for part in pages(found)[:3]:
                    part.draw(94, 18, UNICODE)

            def every_picture() -> None:
                for part in pages(gather(store, today=TODAY, weeks=None)):
                    part.draw(94, 18, UNICODE)

            looked_back = gather(store, today=TODAY, weeks=None)

            whole = best_ms(lambda: picture(None))
            recent = best_ms(lambda: picture(12))
            every = best_ms(every_picture)
            read = best_ms(store.history)
            ahead = best_ms(lambda: with_forecasts(looked_back))
    return [
        _row(f"review of {count} holds, all weeks, to the picture", whole, goal=True),
        _row(f"review of {count} holds, 12 weeks, to the picture", recent, goal=True),
        _row("… every picture drawn", every, goal=False),
        _row("… of which reading the file", read, goal=False),
        _row("then, behind the first picture: two forecasts", ahead, goal=False),
    ]


def _row(what: str, ms: float, *, goal: bool) -> Row:
    if not goal:
        return what, f"{ms:.0f} ms", "–", ""
    return what, f"{ms:.0f} ms", f"≤ {GOAL_MS:.0f} ms", "yes" if ms <= GOAL_MS else "NO"


def main() -> int:
    """Print the rows."""
    for row in rows():
        print("  ".join(row))
    return 0


if __name__ == "__main__":
    sys.exit(main())

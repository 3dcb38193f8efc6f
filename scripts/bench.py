"""Speed as ratios against floors measured in the same run: one table for people.

    bench.py [--quick]

Nothing here passes or fails: each row has its goal and says whether it is met. The
whole takes five minutes, quick about two: fewer runs, shorter looks. The longer tables
have scripts of their own: ``bench_sound.py``, ``bench_sound_faults.py``.

A ratio is the median over pairs: our program and its floor in turn, so that a busy
machine slows both; what else it had to do is said above the table and below. numpy and
pandas, which come with the tests alone, are hidden from both: sqlite_utils would load
them.
"""

from __future__ import annotations

import argparse
import itertools
import json
import math
import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta, timezone
from pathlib import Path
from typing import TypeVar
from uuid import uuid4

from _bench_programs import (
    FLOOR_CLICK,
    FLOOR_CLOCK,
    FLOOR_OPENED,
    FLOOR_SCREEN,
    OURS_CLI,
    OURS_HOLD,
    OURS_SCREEN,
)
from _bench_run import Run, run

YEAR = "year.db"
HOLD_LOOK_S = 8.0
"""How long processor time is watched in a hold."""


Took = TypeVar("Took")


@dataclass(frozen=True)
class Row:
    """One line of the table."""

    what: str
    ours: str
    floor: str
    figure: str
    goal: str
    met: str
    """``yes``, ``NO``, or nothing where there is no goal."""


HEADS = Row("", "ours", "floor", "measured", "goal", "met")
SOUND_HOLD_S = 20.0
"""Of the hold that is listened to; ``bench_sound.py`` listens to one of a minute."""


def row_text(row: Row) -> str:
    """Lay one line out."""
    return (
        f"{row.what:<56}{row.ours:>9}{row.floor:>9}{row.figure:>10}{row.goal:>11}"
        f"  {row.met}"
    ).rstrip()


def ratio_row(
    what: str, ours: str, floor: str, ratio: float, most: float | None = None
) -> Row:
    """Judge a ratio, where it has a goal."""
    if most is None:
        return Row(what, ours, floor, f"{ratio:.2f} ×", "", "")
    met = "yes" if ratio <= most else "NO"
    return Row(what, ours, floor, f"{ratio:.2f} ×", f"≤ {most:g} ×", met)


def plain_row(found: tuple[str, str, str, str]) -> Row:
    """Take a row of another script over: what, measured, goal, whether it is met."""
    what, figure, goal, met = found
    return Row(what, "", "", figure, goal, met)


def limit_row(what: str, ms: float, most_ms: float) -> Row:
    """Judge a time that has a limit of its own; nan: there was nothing to measure."""
    if math.isnan(ms):
        return Row(what, "", "", "not heard", f"≤ {most_ms:g} ms", "NO")
    met = "yes" if ms <= most_ms else "NO"
    return Row(what, "", "", f"{ms:.1f} ms", f"≤ {most_ms:g} ms", met)


def pairs(
    ours: Callable[[], Took], floor: Callable[[], Took], count: int
) -> list[tuple[Took, Took]]:
    """Run both in turn, after one of each to warm the caches."""
    ours()
    floor()
    return [(ours(), floor()) for _ in range(count)]


def median_row(
    what: str,
    found: Sequence[tuple[float, float]],
    unit: str,
    most: float | None = None,
) -> Row:
    """Compare ours with the floor, pair by pair."""
    return ratio_row(
        what,
        f"{statistics.median(ours for ours, _ in found):.0f} {unit}",
        f"{statistics.median(floor for _, floor in found):.0f} {unit}",
        statistics.median(ours / floor for ours, floor in found),
        most,
    )


def time_row(what: str, found: Sequence[tuple[Run, Run]], most: float) -> Row:
    """Compare the time of the whole run."""
    pairs_ms = [(o.wall_s * 1000, f.wall_s * 1000) for o, f in found]
    return median_row(what, pairs_ms, "ms", most)


@dataclass(frozen=True)
class Seen:
    """When a full-screen program was seen, and what it took."""

    painted_ms: float
    """From its start to its first screen."""
    today_ms: float
    """From its start to the day's own text; for the floor, its first screen."""
    peak_mb: float


def seen(code: str, db: str, folder: Path) -> Seen:
    """Run a full-screen program until it has been seen."""
    out = folder / "seen.json"
    begun_s = time.monotonic()
    took = run(code, [db, str(out)], terminal=True, home=folder)
    noted = json.loads(out.read_text(encoding="utf-8"))
    painted_s = noted["painted"]
    return Seen(
        (painted_s - begun_s) * 1000,
        (noted.get("today", painted_s) - begun_s) * 1000,
        took.peak_kb / 1024,
    )


def rows(folder: Path, *, quick: bool) -> list[Callable[[], list[Row]]]:
    """Give what makes each part of the table, so that each is printed when done."""
    # In a process of its own: a child's peak of memory starts at its parent's.
    made = [sys.executable, __file__, "--year", str(folder)]
    subprocess.run(made, check=True)
    db = str(folder / YEAR)
    count = 3 if quick else 9

    def cli(code: str, *arguments: str) -> Callable[[], Run]:
        return lambda: run(code, arguments, terminal=False, home=folder)

    def help_rows() -> list[Row]:
        found = pairs(cli(OURS_CLI, "--help"), cli(FLOOR_CLICK, "--help"), count)
        return [time_row("trainer --help", found, 1.3)]

    def next_rows() -> list[Row]:
        ours = cli(OURS_CLI, "--db", db, "next")
        found = pairs(ours, cli(FLOOR_OPENED, db), count)
        return [time_row("trainer next, on a year", found, 1.5)]

    def screen_rows() -> list[Row]:
        found = pairs(
            lambda: seen(OURS_SCREEN, db, folder),
            lambda: seen(FLOOR_SCREEN, db, folder),
            count,
        )
        painted = [(o.painted_ms, f.painted_ms) for o, f in found]
        today = [(o.today_ms, f.today_ms) for o, f in found]
        memory = [(o.peak_mb, f.peak_mb) for o, f in found]
        return [
            median_row("first screen, from the start", painted, "ms", 1.3),
            median_row("… with the log of a year opened behind it", today, "ms"),
            median_row("memory, with that", memory, "MB", 1.5),
        ]

    def hold_rows() -> list[Row]:
        ratios = []
        for _ in range(1 if quick else 2):
            ours_s, floor_s = (
                processor_s(code, db, folder) for code in (OURS_HOLD, FLOOR_CLOCK)
            )
            ratios.append((ours_s / floor_s, ours_s, floor_s))
        ratio, ours_s, floor_s = min(ratios)
        ours, floor = (f"{each / HOLD_LOOK_S:.1%}" for each in (ours_s, floor_s))
        return [ratio_row("processor time during a hold", ours, floor, ratio, 1.5)]

    def phase_rows() -> list[Row]:
        import bench_phases

        return [plain_row(row) for row in bench_phases.rows(quick=quick)]

    def review_rows() -> list[Row]:
        import bench_review

        return [
            ratio_row(what, f"{ours:.0f} ms", f"{floor:.0f} ms", ours / floor, most)
            for what, ours, floor, most in bench_review.rows(quick=quick)
        ]

    return [
        help_rows,
        next_rows,
        screen_rows,
        hold_rows,
        phase_rows,
        lambda: sound_rows(quick=quick),
        review_rows,
    ]


def sound_rows(*, quick: bool) -> list[Row]:
    """Listen through a loopback, where there is one; quick: a part of it."""
    try:
        import bench_sound
    except ImportError as fault:
        return [Row(f"cue onsets: not measured ({fault.name} is missing)", *[""] * 5)]
    if why := bench_sound.missing():
        return [Row(f"cue onsets: not measured ({why})", *[""] * 5)]
    kinds = 2 * len(bench_sound.engines())  # one circumstance, the first: idle
    onsets = itertools.islice(
        bench_sound.onset_rows(SOUND_HOLD_S), kinds if quick else None
    )
    found = [
        limit_row(f"onsets, p99: {name}", spread[1], 5)
        for name, _, _, _, spread in onsets
    ]
    cuts = () if quick else bench_sound.cut_over_rows()
    return found + [limit_row(f"cut-over: {name}", ms, 150) for name, ms, _ in cuts]


def processor_s(code: str, db: str, folder: Path) -> float:
    """Give the processor time that a full-screen program takes in its hold."""
    out = folder / "processor-time"
    run(code, [db, str(HOLD_LOOK_S), str(out)], terminal=True, home=folder)
    return float(out.read_text())


def write_year(folder: Path) -> None:
    """Write a made-up year: three days a week, three sets of two exercises."""
    from trainer.core.clock import ManualClock
    from trainer.core.model import EndedBy, Felt, Hold, Session, SessionKind, Site
    from trainer.core.plan.plan import default_plan
    from trainer.store import open_store

    path = folder / YEAR
    today = datetime.now(timezone.utc)
    with open_store(path, clock=ManualClock(start=today)) as store:
        store.set_answer("cautions-read", "yes")
        store.save_plan(default_plan(), valid_from=date(2020, 1, 1))
        for day in range(364, 0, -1):
            begun = today - timedelta(days=day)
            if begun.isoweekday() not in (1, 3, 5):
                continue
            uid = str(uuid4())
            store.begin_session(
                Session(
                    uid=uid,
                    kind=SessionKind.PLAN,
                    started_at=begun,
                    utc_offset_min=0,
                    local_date=begun.date(),
                    ended_at=begun + timedelta(minutes=20),
                )
            )
            target_s = min(60.0, 20.0 + 5 * ((364 - day) // 14))
            for number in range(6):
                store.save_hold(
                    uid,
                    Hold(
                        uid=str(uuid4()),
                        exercise=("hang-supported", "press-pushup")[number % 2],
                        set_number=1 + number // 2,
                        held_s=target_s - (number == 5) * (day % 4),
                        target_s=target_s,
                        ended_by=EndedBy.TARGET,
                        started_at=begun + timedelta(minutes=2 * number),
                        confirmed=True,
                        rpe=6 + (day + number) % 6 / 2,
                        felt=(Felt(site=Site.LATS, strength=4.0),),
                    ),
                )
            store.end_session(uid, ended_at=begun + timedelta(minutes=20))


def load() -> str:
    """Say how busy this machine is."""
    if not hasattr(os, "getloadavg"):
        return "load unknown"
    return f"load {os.getloadavg()[0]:.1f} on {os.cpu_count()} processors"


def main() -> int:
    """Print the table."""
    parser = argparse.ArgumentParser(description="Ratios against floors.")
    parser.add_argument("--quick", action="store_true", help="fewer runs, shorter")
    parser.add_argument("--year", metavar="FOLDER", type=Path, help="only write it")
    chosen = parser.parse_args()
    if chosen.year:
        write_year(chosen.year)
        return 0
    if os.name == "nt":
        sys.exit("bench: the floors run on pseudo-terminals, which Windows hasn't")
    begun_s = time.monotonic()
    print(f"Python {sys.version.split()[0]}, {load()}\n\n{row_text(HEADS)}", flush=True)
    with tempfile.TemporaryDirectory() as folder:
        for part in rows(Path(folder), quick=chosen.quick):
            for row in part():
                print(row_text(row), flush=True)
    print(f"\n{time.monotonic() - begun_s:.0f} s; {load()} by now")
    return 0


if __name__ == "__main__":
    sys.exit(main())

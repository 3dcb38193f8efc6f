"""Speed as ratios against floors measured in the same run: tables for people.

    bench.py [--quick] [--only WORD]

Nothing here passes or fails: each row has its goal and says whether it is met. Quick
takes a few minutes, with fewer runs and without the longer tables of the other scripts.
Wall time is that of the whole run, leaving included, for both.

A ratio is the median over pairs: our program and its floor in turn, so that a busy
machine slows both. numpy and pandas, which come with the tests alone, are hidden from
both: sqlite_utils would load them.
"""

from __future__ import annotations

import argparse
import itertools
import os
import statistics
import subprocess
import sys
import tempfile
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta, timezone
from pathlib import Path
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

ROOT = Path(__file__).resolve().parent.parent
YEAR = "year.db"
HOLD_LOOK_S = 8.0
"""How long processor time is watched in a hold."""


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
MOST_RATIO = 1.5


def row_text(row: Row) -> str:
    """Lay one line out."""
    return (
        f"{row.what:<56}{row.ours:>9}{row.floor:>9}{row.figure:>10}{row.goal:>11}"
        f"  {row.met}"
    ).rstrip()


def ratio_row(what: str, ours: str, floor: str, ratio: float) -> Row:
    """Judge a ratio."""
    met = "yes" if ratio <= MOST_RATIO else "NO"
    return Row(what, ours, floor, f"{ratio:.2f} ×", f"≤ {MOST_RATIO:g} ×", met)


def plain_row(found: tuple[str, str, str, str]) -> Row:
    """Take a row of another script over: what, measured, goal, whether it is met."""
    what, figure, goal, met = found
    return Row(what, "", "", figure, goal, met)


def limit_row(what: str, ms: float, most_ms: float) -> Row:
    """Judge a time that has a limit of its own."""
    met = "yes" if ms <= most_ms else "NO"
    return Row(what, "", "", f"{ms:.1f} ms", f"≤ {most_ms:g} ms", met)


def pairs(
    ours: Callable[[], Run], floor: Callable[[], Run], count: int
) -> list[tuple[Run, Run]]:
    """Run both in turn, after one of each to warm the caches."""
    ours()
    floor()
    return [(ours(), floor()) for _ in range(count)]


def time_row(what: str, found: Sequence[tuple[Run, Run]]) -> Row:
    """Compare wall time."""
    return ratio_row(
        what,
        f"{statistics.median(o.wall_s for o, _ in found) * 1000:.0f} ms",
        f"{statistics.median(f.wall_s for _, f in found) * 1000:.0f} ms",
        statistics.median(o.wall_s / f.wall_s for o, f in found),
    )


def memory_row(what: str, found: Sequence[tuple[Run, Run]]) -> Row:
    """Compare the peak of memory."""
    return ratio_row(
        what,
        f"{statistics.median(o.peak_kb for o, _ in found) / 1024:.0f} MB",
        f"{statistics.median(f.peak_kb for _, f in found) / 1024:.0f} MB",
        statistics.median(o.peak_kb / f.peak_kb for o, f in found),
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

    def screen(code: str) -> Callable[[], Run]:
        return lambda: run(code, [db], terminal=True, home=folder)

    def help_rows() -> list[Row]:
        found = pairs(cli(OURS_CLI, "--help"), cli(FLOOR_CLICK, "--help"), count)
        return [time_row("trainer --help", found)]

    def next_rows() -> list[Row]:
        ours = cli(OURS_CLI, "--db", db, "next")
        found = pairs(ours, cli(FLOOR_OPENED, db), count)
        return [time_row("trainer next, on a year", found)]

    def screen_rows() -> list[Row]:
        found = pairs(screen(OURS_SCREEN), screen(FLOOR_SCREEN), count)
        return [
            time_row("first screen, the run as a whole", found),
            memory_row("memory, first screen", found),
        ]

    def hold_rows() -> list[Row]:
        ratios = []
        for _ in range(1 if quick else 2):
            ours_s, floor_s = (
                processor_s(code, db, folder) for code in (OURS_HOLD, FLOOR_CLOCK)
            )
            ratios.append((ours_s, floor_s))
        ours_s, floor_s = min(ratios)
        return [
            ratio_row(
                "processor time during a hold",
                f"{ours_s / HOLD_LOOK_S:.1%}",
                f"{floor_s / HOLD_LOOK_S:.1%}",
                ours_s / floor_s,
            )
        ]

    def phase_rows() -> list[Row]:
        import bench_phases

        return [plain_row(row) for row in bench_phases.rows(quick=quick)]

    def review_rows() -> list[Row]:
        import bench_review

        return [plain_row(row) for row in bench_review.rows()]

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
    onsets = itertools.islice(
        bench_sound.onset_rows(20.0 if quick else 60.0), 2 if quick else None
    )
    found = [
        limit_row(f"onsets, p99: {name}", spread[1], 5)
        for name, _, _, _, spread in onsets
    ]
    cuts = itertools.islice(bench_sound.cut_over_rows(), 2 if quick else None)
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


def others(*, quick: bool) -> list[tuple[str, list[str]]]:
    """Give the other tables' scripts, where they are there."""
    found = []
    for name, options in (
        ("bench_sound.py", ["--quick"] if quick else []),
        ("simulate.py", ["--each", "20"] if quick else []),
    ):
        if (ROOT / "scripts" / name).exists():
            found.append((name, options))
    return found


def main() -> int:
    """Print the tables."""
    parser = argparse.ArgumentParser(description="Ratios against floors.")
    parser.add_argument("--quick", action="store_true", help="fewer runs, shorter")
    parser.add_argument("--only", choices=["table", "others"], help="one part of it")
    parser.add_argument("--year", metavar="FOLDER", type=Path, help="only write it")
    chosen = parser.parse_args()
    if chosen.year:
        write_year(chosen.year)
        return 0
    print(f"Python {sys.version.split()[0]}, {os.cpu_count()} processors", flush=True)
    if chosen.only != "others" and os.name != "nt":
        print(f"\n{row_text(HEADS)}")
        with tempfile.TemporaryDirectory() as folder:
            for part in rows(Path(folder), quick=chosen.quick):
                for row in part():
                    print(row_text(row), flush=True)
    status = 0
    table_alone = chosen.only == "table" or (chosen.quick and chosen.only is None)
    for name, options in [] if table_alone else others(quick=chosen.quick):
        print(f"\n== {name}", flush=True)
        script = str(ROOT / "scripts" / name)
        status |= subprocess.run(
            [sys.executable, script, *options], check=False
        ).returncode
    return status


if __name__ == "__main__":
    sys.exit(main())

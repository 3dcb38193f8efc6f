"""Speed as ratios against floors measured in the same run: tables for people.

    bench.py [--quick] [--only WORD]

Nothing here passes or fails. A ratio is the median over pairs: our program and its
floor in turn, so that a busy machine slows both. numpy and pandas, which come with the
tests alone, are hidden from both: sqlite_utils would load them.
"""

from __future__ import annotations

import argparse
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
from uuid import uuid4

ROOT = Path(__file__).resolve().parent.parent
SIZE = (100, 30)
"""Columns and rows of the terminal that full-screen programs get."""
YEAR = "year.db"
HOLD_LOOK_S = 8.0
"""How long processor time is watched in a hold."""

HIDE = "import sys; sys.modules['numpy'] = sys.modules['pandas'] = None\n"

OURS_CLI = HIDE + (
    "from trainer.cli.main import main; raise SystemExit(main(sys.argv[1:]))"
)
FLOOR_CLICK = (
    HIDE
    + """
import click
@click.group()
def cli(): "A program."
names = "session add undo next plan rest-week review angle data doctor demo"
for name in names.split():
    cli.command(name, help="One of its commands.")(lambda: None)
cli()
"""
)
FLOOR_OPENED = (
    HIDE
    + """
import click, sqlite_utils
@click.command()
@click.argument("path")
def cli(path):
    db = sqlite_utils.Database(path)
    click.echo(str(db.execute("select count(*) from holds").fetchone()))
cli()
"""
)
FLOOR_SCREEN = (
    HIDE
    + """
from textual.app import App
from textual.widgets import Static
class Empty(App):
    def compose(self):
        yield Static("empty")
    def on_ready(self):
        self.call_after_refresh(self.exit)
Empty().run()
"""
)
OURS_SCREEN = (
    HIDE
    + """
from pathlib import Path
import trainer.tui
from trainer.cli.context import CliContext
from trainer.store import open_store
from trainer.tui.app import TrainerApp
class Ours(TrainerApp):
    CSS_PATH = str(Path(trainer.tui.__file__).with_name("app.tcss"))
    def on_ready(self):
        self.call_after_refresh(self.exit)
context = CliContext(db=sys.argv[1])
with open_store(context.db_path, clock=context.clock) as store:
    Ours(
        store=store,
        paths=context.paths,
        settings=context.settings(),
        clock=context.clock,
    ).run()
"""
)
WATCH = """
import time
def watch(app, look_s, out):
    begun = time.process_time()
    def done():
        open(out, "w").write(str(time.process_time() - begun))
        app.exit()
    app.set_timer(look_s, done)
"""
FLOOR_CLOCK = (
    HIDE
    + WATCH
    + """
from textual.app import App
from textual.widgets import Digits
class Clock(App):
    def compose(self):
        yield Digits("00.00")
    def on_ready(self):
        start = time.monotonic()
        show = self.query_one(Digits).update
        self.set_interval(1 / 20, lambda: show(f"{time.monotonic() - start:05.2f}"))
        self.set_timer(1, lambda: watch(self, float(sys.argv[2]), sys.argv[3]))
Clock().run()
"""
)
OURS_HOLD = (
    HIDE
    + WATCH
    + """
from pathlib import Path
import trainer.tui
from trainer.cli.context import CliContext
from trainer.core.session_state import Phase
from trainer.request import SessionRequest
from trainer.sound.player import SilentPlayer
from trainer.store import open_store
from trainer.tui.app import TrainerApp
class Ours(TrainerApp):
    CSS_PATH = str(Path(trainer.tui.__file__).with_name("app.tcss"))
    def on_ready(self):
        self.poll = self.set_interval(0.5, self.look_for_the_hold)
    def look_for_the_hold(self):
        if getattr(self.screen, "phase", None) is Phase.HOLD:
            self.poll.stop()
            self.set_timer(1, lambda: watch(self, float(sys.argv[2]), sys.argv[3]))
context = CliContext(db=sys.argv[1])
request = SessionRequest(exercise="hang", sets=1, target_s=40.0, rehearse=True)
with open_store(context.db_path, clock=context.clock) as store:
    Ours(
        store=store,
        paths=context.paths,
        settings=context.settings(),
        clock=context.clock,
        start="session",
        session=request,
        player=lambda _: SilentPlayer(),
    ).run()
"""
)


@dataclass(frozen=True)
class Run:
    """What one run of a program took."""

    wall_s: float
    peak_kb: int


@dataclass(frozen=True)
class Row:
    """One line of the table."""

    what: str
    ours: str
    floor: str
    ratio: float
    goal: float


def row_text(row: Row) -> str:
    """Lay one line out."""
    return (
        f"{row.what:<34}{row.ours:>12}{row.floor:>12}{row.ratio:>8.2f} ×"
        f"   goal ≤ {row.goal:g} ×"
    )


def run(code: str, arguments: Sequence[str], *, terminal: bool, home: Path) -> Run:
    """Run CODE in a process of its own, on a terminal of its own if wanted."""
    environ = {**os.environ, "HOME": str(home), "TERM": "xterm-256color"}
    environ.pop("TRAINER_DB", None)
    command = [sys.executable, "-c", code, *arguments]
    begun = time.perf_counter()
    if terminal:
        status, usage = _on_a_terminal(command, environ)
    else:
        with subprocess.Popen(
            command, env=environ, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL
        ) as child:
            _, status, usage = os.wait4(child.pid, 0)
            child.returncode = os.waitstatus_to_exitcode(status)
    wall_s = time.perf_counter() - begun
    if status != 0:
        sys.exit(f"bench: a program ended with {os.waitstatus_to_exitcode(status)}")
    per_kb = 1024 if sys.platform == "darwin" else 1
    return Run(wall_s, usage.ru_maxrss // per_kb)


def _on_a_terminal(
    command: Sequence[str], environ: dict[str, str]
) -> tuple[int, object]:
    """Run COMMAND on a new terminal, reading what it draws as a terminal would."""
    import fcntl
    import pty
    import struct
    import termios

    pid, terminal = pty.fork()
    if pid == 0:
        os.execve(command[0], list(command), environ)
    size = struct.pack("HHHH", SIZE[1], SIZE[0], 0, 0)
    fcntl.ioctl(terminal, termios.TIOCSWINSZ, size)
    while True:
        try:
            if not os.read(terminal, 65536):
                break
        except OSError:  # Linux says so when the last writer is gone
            break
    _, status, usage = os.wait4(pid, 0)
    os.close(terminal)
    return status, usage


def pairs(
    ours: Callable[[], Run], floor: Callable[[], Run], count: int
) -> list[tuple[Run, Run]]:
    """Run both in turn, after one of each to warm the caches."""
    ours()
    floor()
    return [(ours(), floor()) for _ in range(count)]


def time_row(what: str, found: Sequence[tuple[Run, Run]]) -> Row:
    """Compare wall time."""
    return Row(
        what,
        f"{statistics.median(o.wall_s for o, _ in found) * 1000:.0f} ms",
        f"{statistics.median(f.wall_s for _, f in found) * 1000:.0f} ms",
        statistics.median(o.wall_s / f.wall_s for o, f in found),
        1.5,
    )


def memory_row(what: str, found: Sequence[tuple[Run, Run]]) -> Row:
    """Compare the peak of memory."""
    return Row(
        what,
        f"{statistics.median(o.peak_kb for o, _ in found) / 1024:.0f} MB",
        f"{statistics.median(f.peak_kb for _, f in found) / 1024:.0f} MB",
        statistics.median(o.peak_kb / f.peak_kb for o, f in found),
        1.5,
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
            time_row("first screen", found),
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
            Row(
                "processor time during a hold",
                f"{ours_s / HOLD_LOOK_S:.1%}",
                f"{floor_s / HOLD_LOOK_S:.1%}",
                ours_s / floor_s,
                1.5,
            )
        ]

    return [help_rows, next_rows, screen_rows, hold_rows]


def processor_s(code: str, db: str, folder: Path) -> float:
    """Give the processor time that a full-screen program takes in its hold."""
    out = folder / "processor-time"
    run(code, [db, str(HOLD_LOOK_S), str(out)], terminal=True, home=folder)
    return float(out.read_text())


def write_year(folder: Path) -> None:
    """Write a made-up year: three days a week, three sets of two exercises."""
    from trainer.core.clock import ManualClock
    from trainer.core.model import EndedBy, Felt, Hold, Session, SessionKind, Site
    from trainer.core.plan import default_plan
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
        ("bench_review.py", []),
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
        print(f"\n{'':<34}{'ours':>12}{'floor':>12}{'ratio':>10}")
        with tempfile.TemporaryDirectory() as folder:
            for part in rows(Path(folder), quick=chosen.quick):
                for row in part():
                    print(row_text(row), flush=True)
    status = 0
    for name, options in [] if chosen.only == "table" else others(quick=chosen.quick):
        print(f"\n== {name}", flush=True)
        script = str(ROOT / "scripts" / name)
        status |= subprocess.run(
            [sys.executable, script, *options], check=False
        ).returncode
    return status


if __name__ == "__main__":
    sys.exit(main())

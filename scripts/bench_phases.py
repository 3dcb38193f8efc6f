"""How well phase changes keep their time: rows for ``bench.py``, or alone.

    bench_phases.py [--quick]

A phase ends at its deadline however late the program looks: that is what is logged and
what was handed to the sound ahead of time. It is *seen* when the screen looks, which it
does steadily and once more at each deadline. So this leads one session as the screen
does, on a terminal of its own and with a data file to write to, and asks when the
screen looked, when the page had the new phase's words and when it was drawn.
"""

from __future__ import annotations

import argparse
import json
import random
import sys
import tempfile
import time
from dataclasses import replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from _bench_run import run

from trainer.core.clock import Clock, ManualClock, SystemClock
from trainer.core.exercises import BUILT_IN
from trainer.core.model import SessionKind
from trainer.core.safety import Person
from trainer.core.session.clearance import Cleared, ask_gate, cleared, rehearsed
from trainer.core.session.program import ProgramSet, SessionProgram
from trainer.core.session.state import Phase
from trainer.sound.player import SilentPlayer
from trainer.training.runner import SessionRunner

GOAL_MS = 5.0
LOOKS_EVERY_S = 1 / 10
"""How often a session is looked at that nobody shows."""
HOUR_S = 3600.0

Row = tuple[str, str, str, str]
"""What, measured, goal, whether it is met."""


class Led:
    """A session, and how late each of its phases began by its own account."""

    def __init__(self, program: SessionProgram, clock: Clock) -> None:
        self.runner = SessionRunner(
            rehearsed(program), clock=clock, player=SilentPlayer(), log=None
        )
        self.runner.start()
        self.kept_s: list[float] = []
        self.next_s = clock.now_s()

    def look(self, now_s: float) -> None:
        """Look, if it is time to."""
        if now_s < self.next_s:
            return
        before = self.runner.state
        self.runner.tick()
        after = self.runner.state
        if before.ends_at_s is not None and after.phase is not before.phase:
            self.kept_s.append(after.began_at_s - before.ends_at_s)
        self.next_s = max(self.next_s + LOOKS_EVERY_S, now_s)


def well(program: SessionProgram) -> Cleared:
    """Give a program as it is led for somebody who answered to go on anyway."""
    on = SystemClock().wall().date()
    return cleared(ask_gate(program, Person(), on=on), anyway=True)


def program(sets: int, *, brief: bool) -> SessionProgram:
    """Make a session of one exercise; BRIEF: every phase takes about a second."""
    exercise = BUILT_IN["hang"]
    if brief:
        exercise = replace(exercise, setup_s=1.03, come_out_s=0.57)
    one = ProgramSet(
        exercise=exercise,
        set_number=1,
        sets=sets,
        target_s=1.31 if brief else 60.0,
        rest_s=1.17 if brief else 120.0,
    )
    numbered = tuple(replace(one, set_number=1 + n) for n in range(sets))
    return SessionProgram(kind=SessionKind.PLAN, sets=numbered)


def p99_ms(values_s: list[float]) -> float:
    """Give the value that 99 in 100 don't exceed, in milliseconds."""
    ordered = sorted(values_s)
    return 1000 * ordered[min(len(ordered) - 1, int(0.99 * len(ordered)))]


def real_time(look_s: float, sessions: int = 20) -> list[float]:
    """Lead sessions that began at odd moments for LOOK_S by the machine's clock."""
    clock, draw = SystemClock(), random.Random(9)
    led: list[Led] = []
    starts = sorted(clock.now_s() + draw.uniform(0, 1) for _ in range(sessions))
    until_s = clock.now_s() + look_s
    while (now_s := clock.now_s()) < until_s:
        while starts and starts[0] <= now_s:
            starts.pop(0)
            led.append(Led(program(1 + int(look_s), brief=True), clock))
        for one in led:
            one.look(now_s)
        time.sleep(0.001)
    return [late for one in led for late in one.kept_s]


def on_a_screen(look_s: float, out: str) -> None:
    """Lead a session on this terminal for LOOK_S; write how late each phase was seen.

    Args:
        look_s: seconds.
        out: the file to write: for each change how late it was looked at, how late
            the page had its words and how late it was drawn.
    """
    import trainer.tui
    from trainer.settings.paths import Paths
    from trainer.settings.settings import Settings
    from trainer.store import open_store
    from trainer.tui.app import LogOpened, TrainerApp
    from trainer.tui.session import screen

    clock, folder = SystemClock(), Path(out).parent
    entered_s: list[float] = []
    shown_s: list[float] = []
    drawn_s: list[float] = []

    class Watched(screen.SessionScreen):
        CSS_PATH = str(Path(screen.__file__).with_name("session.tcss"))

        def look(self) -> None:
            before, looked_s = self.state, self.now_s()
            super().look()
            due_s = before.ends_at_s
            if due_s is not None and self.phase is not before.phase:
                entered_s.append(looked_s - due_s)
                shown_s.append(self.now_s() - due_s)
                self.call_after_refresh(
                    lambda: drawn_s.append(self.now_s() - due_s),
                )

    class Led(TrainerApp):
        CSS_PATH = str(Path(trainer.tui.__file__).with_name("app.tcss"))

        async def on_log_opened(self, message: LogOpened) -> None:
            # The framework calls each class's own, one after the other.
            message.prevent_default()
            await super().on_log_opened(message)
            self.push_screen(Watched(runner))
            self.set_timer(look_s, self.exit)

    with open_store(folder / "phases.db", clock=clock) as store:
        runner = SessionRunner(
            well(replace(program(1 + int(look_s), brief=True), watches=False)),
            clock=clock,
            player=SilentPlayer(),
            log=store,
        )
        paths = Paths(data=folder, config=folder, state=folder)
        Led(
            open_store=lambda: store, paths=paths, settings=Settings(), clock=clock
        ).run()
    Path(out).write_text(json.dumps([entered_s, shown_s, drawn_s]), encoding="utf-8")


def seen(look_s: float) -> tuple[list[float], list[float], list[float]]:
    """Give how late phases were looked at, shown and drawn on a real terminal."""
    code = (
        f"import sys; sys.path[:0] = [{str(Path(__file__).parent)!r}]\n"
        "import bench_phases\n"
        "bench_phases.on_a_screen(float(sys.argv[1]), sys.argv[2])"
    )
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder, "seen.json")
        run(code, [str(look_s), str(out)], terminal=True, home=Path(folder))
        looked_s, shown_s, drawn_s = json.loads(out.read_text(encoding="utf-8"))
    return looked_s, shown_s, drawn_s


def drift_s() -> float:
    """Give how far a session is from its plan after an hour of uneven looks."""
    clock, draw = ManualClock(), random.Random(60)
    each_s = 60.0 + 120.0 + BUILT_IN["hang"].setup_s + BUILT_IN["hang"].come_out_s
    sets = 2 + int(HOUR_S / each_s)
    runner = SessionRunner(
        rehearsed(program(sets, brief=False)),
        clock=clock,
        player=SilentPlayer(),
        log=None,
    )
    runner.start()
    worst_s = 0.0
    before = runner.state
    while clock.seconds < HOUR_S:
        clock.advance(draw.uniform(0.02, 0.4))
        runner.tick()
        after = runner.state
        if after.phase is Phase.HOLD and before.phase is not Phase.HOLD:
            exercise, n = after.set.exercise, after.index
            rest_s = after.set.rest_s
            spent_s = exercise.setup_s + 60.0 + exercise.come_out_s + rest_s
            planned_s = n * spent_s + exercise.setup_s

            worst_s = max(worst_s, abs(after.began_at_s - planned_s))
        before = after
    return worst_s


def rows(*, quick: bool) -> list[Row]:
    """Measure and give the rows of the table."""
    kept_s = real_time(5 if quick else 15)
    looked_s, shown_s, drawn_s = seen(15 if quick else 60)
    kept, looked = p99_ms(kept_s), p99_ms(looked_s)
    drift_ms = 1000 * drift_s()
    goal = f"≤ {GOAL_MS:g} ms"
    return [
        (
            f"{len(kept_s)} phase changes, as logged, p99",
            f"{kept:.1f} ms",
            goal,
            "yes" if kept <= GOAL_MS else "NO",
        ),
        (
            f"{len(looked_s)} phase changes, looked at by the screen, p99",
            f"{looked:.1f} ms",
            goal,
            "yes" if looked <= GOAL_MS else "NO",
        ),
        ("… the page has its words, p99", f"{p99_ms(shown_s):.1f} ms", "–", ""),
        ("… drawn, p99", f"{p99_ms(drawn_s):.1f} ms", "–", ""),
        (
            "drift over an hour, manual clock",
            f"{drift_ms:g} ms",
            "0",
            "yes" if drift_ms < 1e-6 else "NO",
        ),
    ]


def main() -> int:
    """Print the rows."""
    parser = argparse.ArgumentParser(description="How late phases change.")
    parser.add_argument("--quick", action="store_true", help="for a shorter time")
    for row in rows(quick=parser.parse_args().quick):
        print("  ".join(row))
    return 0


if __name__ == "__main__":
    sys.exit(main())

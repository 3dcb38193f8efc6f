"""How well phase changes keep their time: rows for ``bench.py``, or alone.

    bench_phases.py [--quick]

A phase ends at its deadline however late the program looks: that is what is logged and
what was handed to the sound ahead of time. When the change is *seen* depends on how
often the screen looks: ten times a second, twenty in a hold. So the change on the
screen comes up to a tenth of a second after the deadline, by design; the cue doesn't.
"""

from __future__ import annotations

import argparse
import random
import sys
import time
from dataclasses import replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from trainer.core.clock import Clock, ManualClock, SystemClock
from trainer.core.exercises import BUILT_IN
from trainer.core.model import SessionKind
from trainer.core.program import ProgramSet, SessionProgram
from trainer.core.session_state import Phase
from trainer.runner import SessionRunner
from trainer.sound.player import SilentPlayer

GOAL_MS = 5.0
EVERY_S = {Phase.HOLD: 1 / 20}
ELSE_EVERY_S = 1 / 10
"""How often the session's screen looks (the same figures as there)."""
HOUR_S = 3600.0

Row = tuple[str, str, str, str]
"""What, measured, goal, whether it is met."""


class Led:
    """A session, and how late each of its phases began: as kept and as seen."""

    def __init__(self, program: SessionProgram, clock: Clock) -> None:
        self.runner = SessionRunner(
            program, clock=clock, player=SilentPlayer(), log=None
        )
        self.runner.start()
        self.kept_s: list[float] = []
        self.seen_s: list[float] = []
        self.next_s = clock.now_s()

    def look(self, now_s: float) -> None:
        """Look, if it is time to, as the screen would."""
        if now_s < self.next_s:
            return
        before = self.runner.state
        self.runner.tick()
        after = self.runner.state
        if before.ends_at_s is not None and after.phase is not before.phase:
            self.kept_s.append(after.began_at_s - before.ends_at_s)
            self.seen_s.append(self.runner.clock.now_s() - before.ends_at_s)
        every_s = EVERY_S.get(after.phase, ELSE_EVERY_S)
        self.next_s = max(self.next_s + every_s, now_s)


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


def real_time(look_s: float, sessions: int = 20) -> tuple[list[float], list[float]]:
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
    return (
        [late for one in led for late in one.kept_s],
        [late for one in led for late in one.seen_s],
    )


def drift_s() -> float:
    """Give how far a session is from its plan after an hour of uneven looks."""
    clock, draw = ManualClock(), random.Random(60)
    each_s = 60.0 + 120.0 + BUILT_IN["hang"].setup_s + BUILT_IN["hang"].come_out_s
    sets = 2 + int(HOUR_S / each_s)
    runner = SessionRunner(
        program(sets, brief=False), clock=clock, player=SilentPlayer(), log=None
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
    kept_s, seen_s = real_time(5 if quick else 30)
    kept, seen = p99_ms(kept_s), p99_ms(seen_s)
    drift_ms = 1000 * drift_s()
    goal = f"≤ {GOAL_MS:g} ms"
    return [
        (
            f"{len(kept_s)} phase changes, as logged, p99",
            f"{kept:.1f} ms",
            goal,
            "yes" if kept <= GOAL_MS else "NO",
        ),
        ("… as seen at the screen's rate, p99", f"{seen:.0f} ms", "–", ""),
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

"""Draw the README's pictures out of the real program.

    python scripts/pictures/draw.py

Two windows of 80 by 24: a hold, and the five answers of the made-up trainee's review.
The clock stands still, so that they say the same each time; a test compares what they
say with what the program shows. Needs the program's own packages and no others.
"""

from __future__ import annotations

import asyncio
import re
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date, datetime, timezone
from html import unescape
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from trainer.core.clock import ManualClock
from trainer.core.exercises import BUILT_IN
from trainer.core.model import SessionKind
from trainer.core.safety import Person
from trainer.core.session.clearance import ask_gate, cleared
from trainer.core.session.program import ProgramSet, SessionProgram
from trainer.demo.trainee import fill, made_up
from trainer.settings.paths import Paths
from trainer.settings.settings import Settings
from trainer.sound.player import RecordingPlayer
from trainer.store import Store, open_store
from trainer.training.runner import SessionRunner
from trainer.tui.app import TrainerApp
from trainer.tui.door import screen

HERE = Path(__file__).resolve().parent
SIZE = (80, 24)
NOON = datetime(2026, 11, 25, 12, tzinfo=timezone.utc)
SETS = 3
TARGET_S = 30.0
REST_S = 60.0
INTO_THE_HOLD_S = 3.0
"""Where the line of the breath is high, before its first exhale."""
PICTURES = ("hold", "answers")


@contextmanager
def _program() -> Iterator[tuple[TrainerApp, Store, ManualClock]]:
    """Open the program on the made-up trainee's file."""
    clock = ManualClock(start=NOON)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder)
        with open_store(path / "trainer.db", clock=clock) as store:
            fill(store, made_up(date(2026, 11, 25)))
            app = TrainerApp(
                store=store,
                paths=Paths(data=path, config=path, state=path),
                settings=Settings(),
                clock=clock,
                player=lambda _: RecordingPlayer(),
            )
            yield app, store, clock


async def hold() -> str:
    """Draw a hang, a few seconds in."""
    planned = tuple(
        ProgramSet(
            exercise=BUILT_IN["hang"],
            set_number=number,
            sets=SETS,
            target_s=TARGET_S,
            rest_s=REST_S,
        )
        for number in range(1, SETS + 1)
    )
    program = SessionProgram(kind=SessionKind.PLAN, sets=planned)
    with _program() as (app, store, clock):
        runner = SessionRunner(
            cleared(ask_gate(program, Person(), on=NOON.date()), anyway=True),
            clock=clock,
            player=RecordingPlayer(),
            log=store,
        )
        async with app.run_test(size=SIZE) as pilot:
            live = screen("session", runner)
            app.push_screen(live)
            await pilot.pause()
            wanted_s = BUILT_IN["hang"].setup_s + INTO_THE_HOLD_S
            while wanted_s > 0:
                clock.advance(min(1.0, wanted_s))
                wanted_s -= 1.0
                live.look()
            await pilot.pause()
            return tidy(app.export_screenshot(title="trainer"))


async def answers() -> str:
    """Draw the first page of the review."""
    with _program() as (app, _, _):
        async with app.run_test(size=SIZE) as pilot:
            await pilot.press("r")
            await app.workers.wait_for_complete()
            await pilot.pause()
            return tidy(app.export_screenshot(title="trainer review"))


def tidy(svg: str) -> str:
    """Take out of a screenshot what is fetched, and what differs each time."""
    svg = re.sub(r"@font-face \{.*?\}", "", svg, flags=re.S)
    svg = re.sub(r"terminal-\d+", "terminal", svg)
    svg = svg.replace("Fira Code", "monospace")
    return "\n".join(line.rstrip() for line in svg.splitlines() if line.strip()) + "\n"


def said(svg: str) -> str:
    """Give the words of a picture, without what only says where they stand."""
    texts = re.findall(r"<text[^>]*>(.*?)</text>", svg, re.S)
    return " ".join(" ".join(map(unescape, texts)).replace("\xa0", " ").split())


def draw(name: str) -> str:
    """Draw one of ``PICTURES``."""
    return asyncio.run({"hold": hold, "answers": answers}[name]())


def main() -> None:
    """Write all of them beside this script."""
    for name in PICTURES:
        path = HERE / f"{name}.svg"
        path.write_text(draw(name), encoding="utf-8")
        print(f"{path.relative_to(HERE.parent.parent)}: {path.stat().st_size} bytes")


if __name__ == "__main__":
    main()

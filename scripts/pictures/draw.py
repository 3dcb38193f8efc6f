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
from datetime import datetime, timezone
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
TEXT_HEIGHT, LINE_HEIGHT = 18.5, 24.4
"""In a screenshot of Textual's: from a line's top to where its text stands, and to the
next line."""
QUARTERS = " ▘▝▀▖▌▞▛▗▚▐▜▄▙▟█"
"""Block elements by their quarters: upper left 1, upper right 2, lower left 4, lower
right 8 (Unicode, U+2580 to U+259F)."""
DOTS = ((0, 0), (0, 1), (0, 2), (1, 0), (1, 1), (1, 2), (0, 3), (1, 3))
"""Column and row of each dot of Braille, from the lowest bit on (Unicode, U+2800)."""


@contextmanager
def _program(*, filled: bool) -> Iterator[tuple[TrainerApp, Store, ManualClock]]:
    """Open the program on a new file, or on the made-up trainee's."""
    clock = ManualClock(start=NOON)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder)
        with open_store(path / "trainer.db", clock=clock) as store:
            if filled:
                fill(store, made_up(NOON.date()))
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
    with _program(filled=False) as (app, store, clock):
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
    with _program(filled=True) as (app, _, _):
        async with app.run_test(size=SIZE) as pilot:
            await pilot.press("r")
            await app.workers.wait_for_complete()
            await pilot.pause()
            return tidy(app.export_screenshot(title="trainer review"))


def tidy(svg: str) -> str:
    """Take out of a screenshot what is fetched, what differs each time, and every
    character that fonts draw in another width or with gaps."""
    svg = re.sub(r"@font-face \{.*?\}", "", svg, flags=re.S)
    svg = re.sub(r"<!--.*?-->", "", svg, flags=re.S)
    svg = re.sub(r"terminal-\d+", "terminal", svg)
    svg = svg.replace("Fira Code", "monospace")
    svg = svg.replace("<text ", '<text xml:space="preserve" ')
    svg = re.sub(r"<text ([^>]*)>([█▀▄▌▐▖▗▘▝▙▛▜▟▚▞\u2800-\u28ff]+)</text>", _shape, svg)
    return "\n".join(line.rstrip() for line in svg.splitlines() if line.strip()) + "\n"


def _shape(text: re.Match[str]) -> str:
    """Draw a text of blocks or Braille dots as a path in its place."""
    attributes, characters = text.groups()
    named = dict(re.findall(r'([\w-]+)="([^"]*)"', attributes))
    across = float(named["textLength"]) / len(characters)
    left, top = float(named["x"]), float(named["y"]) - TEXT_HEIGHT
    parts = [
        f"M{left + across * (place + x):.1f} {top + LINE_HEIGHT * y:.1f}"
        f"h{across * w:.1f}v{LINE_HEIGHT * h:.1f}h-{across * w:.1f}z"
        for place, character in enumerate(characters)
        for x, y, w, h in _boxes(character)
    ]
    return f'<path class="{named["class"]}" d="{"".join(parts)}"/>'


def _boxes(character: str) -> Iterator[tuple[float, float, float, float]]:
    """Give the inked boxes of a cell of one by one: left, top, width, height."""
    if character in QUARTERS:
        bits = QUARTERS.index(character)
        for bit in range(4):
            if bits >> bit & 1:
                yield bit % 2 / 2, bit // 2 / 2, 0.5, 0.5
        return
    bits = ord(character) - 0x2800
    for bit, (column, row) in enumerate(DOTS):
        if bits >> bit & 1:
            yield column / 2 + 0.1, row / 4 + 0.04, 0.3, 0.17


def said(svg: str) -> str:
    """Give the words of a picture, without what only says where they stand."""
    texts = re.findall(r"<text[^>]*>(.*?)</text>", svg, re.S)
    return " ".join(" ".join(map(unescape, texts)).replace("\xa0", " ").split())


DRAWN = {"hold": hold, "answers": answers}


def draw(name: str) -> str:
    """Draw one of ``PICTURES``."""
    return asyncio.run(DRAWN[name]())


def main() -> None:
    """Write all of them beside this script."""
    for name in PICTURES:
        path = HERE / f"{name}.svg"
        path.write_text(draw(name), encoding="utf-8")
        print(f"{path.relative_to(HERE.parent.parent)}: {path.stat().st_size} bytes")


if __name__ == "__main__":
    main()

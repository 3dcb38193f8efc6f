"""The pages as they look, kept as text that can be read in a difference.

A frame is written anew only when asked for: ``WRITE_FRAMES=1 pytest tests/tui``. Text,
not pictures, so that an upgrade of the framework changes nothing that a person can't
see. Seconds on a page come from a clock that stands still.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest

from tests.tui.desk import clock_at, frame, made_app, made_store, settle, train
from trainer.core.clock import ManualClock
from trainer.store import Store

FRAMES = Path(__file__).parent / "frames"
WRITE = os.environ.get("WRITE_FRAMES") == "1"

CASES = {
    "today": ("today", (80, 24), []),
    "today-wide": ("today", (160, 40), []),
    "sound": ("sound", (80, 24), ["down", "down", "down"]),
    "plan-change": ("plan", (100, 30), ["down", "down", "down", "right"]),
    "first-day": ("today", (60, 20), ["f"]),
    "help": ("today", (80, 24), ["question_mark"]),
}
"""By name: what the program opens with, the window, the keys pressed. Next week is left
out: its chances change whenever the estimate is made better."""


@pytest.fixture
def clock() -> ManualClock:
    """Give a clock that stands on a Monday evening."""
    return clock_at()


@pytest.fixture
def store(tmp_path: Path, clock: ManualClock) -> Iterator[Store]:
    """Give a file of somebody who has trained three times."""
    with made_store(tmp_path, clock) as made:
        settle(made)
        train(made, date(2026, 3, 2), 20, rpe=8.5)
        train(made, date(2026, 3, 4), 20)
        train(made, date(2026, 3, 6), 20)
        yield made


@pytest.mark.parametrize("name", CASES)
async def test_a_page_looks_as_it_did(
    store: Store, clock: ManualClock, name: str
) -> None:
    """Whoever changes a page sees the change as a difference of two texts."""
    start, size, keys = CASES[name]
    app = made_app(store, clock, start=start)
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        await pilot.press(*keys)
        await app.workers.wait_for_complete()
        await pilot.pause()
        seen = frame(pilot)
    kept = FRAMES / f"{name}.txt"
    if WRITE:
        kept.parent.mkdir(exist_ok=True)
        kept.write_text(seen, encoding="utf-8")

    assert kept.read_text(encoding="utf-8") == seen


@pytest.mark.parametrize("name", CASES)
def test_nothing_on_a_page_runs_over_its_edge(name: str) -> None:
    """No kept line is longer than its window is wide."""
    _, (width, height), _ = CASES[name]
    lines = (FRAMES / f"{name}.txt").read_text(encoding="utf-8").splitlines()

    assert len(lines) <= height
    assert max(map(len, lines)) <= width

"""What is there before the first page is seen, and what is not made in vain."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from textual.events import Key
from textual.pilot import Pilot
from textual.screen import Screen

from tests.tui.desk import MONDAY, clock_at, frame, made_app, made_store, settle, train
from trainer.core.clock import ManualClock
from trainer.errors import DataDamagedError
from trainer.settings.paths import Paths
from trainer.settings.settings import Settings
from trainer.sound.player import RecordingPlayer
from trainer.store import Store
from trainer.tui import theme
from trainer.tui.app import TrainerApp
from trainer.tui.cover import Cover
from trainer.tui.screens.cautions import CautionsScreen
from trainer.tui.screens.gate import GateSlip
from trainer.tui.screens.plan import PlanScreen
from trainer.tui.screens.today import TodayScreen
from trainer.tui.widgets.keyline import keys_by_id

LONGEST_WAIT_S = 60.0
"""Far more than it takes on a busy machine; a failure, not a measurement."""


@pytest.fixture
def clock() -> ManualClock:
    """Give a clock that stands on a training day."""
    return clock_at(MONDAY)


@pytest.fixture
def store(tmp_path: Path, clock: ManualClock) -> Iterator[Store]:
    """Give a file with a plan and a session of last week."""
    with made_store(tmp_path, clock) as made:
        settle(made)
        train(made, date(2026, 3, 9) - timedelta(days=3), 20)
        yield made


def cards(pilot: Pilot[int]) -> int:
    """Count the entries of the card beside the day."""
    return len(pilot.app.screen.query_one("#card").children)


@pytest.mark.parametrize("name", theme.NAMES)
def test_the_theme_is_on_before_the_style_sheet_is_read(
    store: Store, clock: ManualClock, name: str
) -> None:
    """The program is made with its theme: nothing is laid out twice to change it."""
    app = made_app(store, clock, settings=Settings(theme=name))
    worn = next(each for each in theme.THEMES if each.name == name)

    assert name == app.theme
    assert worn.background == app.theme_variables["background"].lower()


async def test_today_lies_below_all_other_pages(
    store: Store, clock: ManualClock
) -> None:
    """There is no empty page under it that would be laid out first."""
    async with made_app(store, clock).run_test(size=(100, 30)) as pilot:
        await pilot.pause()

        assert [TodayScreen] == [type(each) for each in pilot.app.screen_stack]


async def test_the_card_is_made_where_it_is_seen(
    store: Store, clock: ManualClock
) -> None:
    """Without room for it there is none; once the window is wide, there is."""
    async with made_app(store, clock).run_test(size=(100, 30)) as pilot:
        await pilot.pause()
        narrow = cards(pilot)
        await pilot.resize_terminal(200, 60)
        await pilot.pause()
        await pilot.pause()

        assert 0 == narrow
        assert cards(pilot) > 0
        assert "lately" in frame(pilot)


def covered(open_store: Callable[[], Store], folder: Path, start: str) -> TrainerApp:
    """Give the program as it is started, with its data file still to be opened."""
    return TrainerApp(
        open_store=open_store,
        paths=Paths(data=folder, config=folder, state=folder),
        settings=Settings(),
        clock=clock_at(MONDAY),
        start=start,
        player=lambda _: RecordingPlayer(),
    )


async def until(pilot: Pilot[int], there: Callable[[], bool]) -> None:
    """Let the program go on until something is there."""
    deadline = time.monotonic() + LONGEST_WAIT_S
    while not there():
        assert time.monotonic() < deadline
        await pilot.pause(0.01)


async def test_a_cover_is_seen_before_the_data_file_is_open(
    store: Store, tmp_path: Path
) -> None:
    """Its frame is drawn first; leaving is all that it offers; then Today lies on it,
    and the page that was asked for on Today."""
    may_open = threading.Event()

    def open_store() -> Store:
        assert may_open.wait(LONGEST_WAIT_S)
        return store

    app = covered(open_store, tmp_path, "plan")
    async with app.run_test(size=(100, 30)) as pilot:
        await until(pilot, lambda: "Opening the log" in frame(pilot))
        await pilot.press("f1", "ctrl+p", "c")
        alone = [type(each) for each in app.screen_stack]
        may_open.set()
        await until(pilot, lambda: len(app.screen_stack) == 3)
        laid = [type(each) for each in app.screen_stack]

    assert [Cover] == alone
    assert [Cover, TodayScreen, PlanScreen] == laid


async def keyed_on_the_cover(store: Store, folder: Path, *keys: str) -> list[type]:
    """Give the pages that lie there once Today is, after KEYS on its cover."""
    may_open = threading.Event()

    def open_store() -> Store:
        assert may_open.wait(LONGEST_WAIT_S)
        return store

    app = covered(open_store, folder, "today")
    async with app.run_test(size=(100, 30)) as pilot:
        await until(pilot, lambda: "Opening the log" in frame(pilot))
        await pilot.press(*keys)
        may_open.set()
        await until(pilot, lambda: "today.next" in keys_by_id(app.screen_stack[-1]))
        await pilot.pause()
        await pilot.pause()
        return [type(each) for each in app.screen_stack]


async def test_a_page_asked_for_on_the_cover_is_opened_once_it_can_be(
    store: Store, tmp_path: Path
) -> None:
    """The last one that was asked for, and by whatever key it is on."""
    laid = await keyed_on_the_cover(store, tmp_path, "n", "p")

    assert [Cover, TodayScreen, PlanScreen] == laid


async def test_a_key_from_before_the_day_was_seen_starts_nothing(
    store: Store, tmp_path: Path
) -> None:
    """Start on the cover leads neither into a session nor to what comes before one."""
    laid = await keyed_on_the_cover(store, tmp_path, "enter", "space")

    assert [Cover, TodayScreen] == laid


def gate_slip() -> Screen[Any]:
    return GateSlip("Hang", ["There is pain."])


@pytest.mark.parametrize(
    ("page", "key"),
    [(lambda: CautionsScreen(first=True), "enter"), (gate_slip, "y")],
)
async def test_a_key_from_before_a_page_was_seen_answers_nothing(
    store: Store, clock: ManualClock, page: Callable[[], Screen[Any]], key: str
) -> None:
    """No caution is read and no gate passed by whoever pressed a key twice."""
    app = made_app(store, clock)
    async with app.run_test(size=(100, 120)) as pilot:
        await pilot.pause()
        early = Key(key, None)
        await app.push_screen(page())
        await pilot.pause()
        app.post_message(early)
        await pilot.pause()
        unseen = len(app.screen_stack)
        await pilot.press(key)
        await pilot.pause()

        assert [2, 1] == [unseen, len(app.screen_stack)]


async def test_a_log_that_cannot_be_opened_ends_the_program(tmp_path: Path) -> None:
    """What is wrong goes to whoever started it, with the terminal given back."""

    def open_store() -> Store:
        raise DataDamagedError("The data file is damaged")

    app = covered(open_store, tmp_path, "today")
    async with app.run_test() as pilot:
        await until(pilot, lambda: app.fault is not None)

    assert isinstance(app.fault, DataDamagedError)
    assert app.return_code

"""What is there before the first page is seen, and what is not made in vain."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path

import pytest
from textual.pilot import Pilot

from tests.tui.desk import MONDAY, clock_at, frame, made_app, made_store, settle, train
from trainer.core.clock import ManualClock
from trainer.settings.settings import Settings
from trainer.store import Store
from trainer.tui import theme
from trainer.tui.screens.today import TodayScreen


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

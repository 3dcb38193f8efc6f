"""The sounds of a hold, before the first session and whenever they are asked for."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from textual.pilot import Pilot

from tests.tui.desk import clock_at, frame, made_app, made_store, settle
from trainer.core.clock import ManualClock
from trainer.core.cues.introduction import (
    HEARD_ANSWER,
    INTRODUCTION,
    INTRODUCTION_S,
    introduction_sheet,
)
from trainer.core.cues.settings import Backend, SoundSettings
from trainer.settings.settings import Settings
from trainer.sound.player import RecordingPlayer
from trainer.store import Store
from trainer.tui.screens.today import TodayScreen
from trainer.tui.session.screen import SessionScreen
from trainer.tui.session.sounds import LEAD_S, SoundsOfAHold

SIZE = (80, 24)


@pytest.fixture
def clock() -> ManualClock:
    return clock_at()


@pytest.fixture
def new(tmp_path: Path, clock: ManualClock) -> Iterator[Store]:
    """Open a file with a plan, of somebody who has neither trained nor heard."""
    with made_store(tmp_path, clock) as store:
        settle(store)
        store.set_answer(HEARD_ANSWER, "")
        yield store


async def at(pilot: Pilot[int], clock: ManualClock, elapsed_s: float) -> None:
    """Go to ELAPSED_S of the introduction and let the page see it."""
    screen = pilot.app.screen
    assert isinstance(screen, SoundsOfAHold)
    clock.advance(screen.started_s + elapsed_s - clock.now_s())
    await screen.poll()
    await pilot.pause()


async def test_the_first_session_begins_with_them(
    new: Store, clock: ManualClock
) -> None:
    """All six stand there with their meanings; each is marked as it is heard; at the
    end the session begins, and the next one without them."""
    app = made_app(new, clock)
    async with app.run_test(size=SIZE) as pilot:
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(app.screen, SoundsOfAHold)
        player = app.screen.player
        assert isinstance(player, RecordingPlayer)
        assert [introduction_sheet(clock.now_s() + LEAD_S)] == player.sheets
        for each in INTRODUCTION:
            await at(pilot, clock, each.at_s + 0.1)
            marked = [line for line in frame(pilot).splitlines() if "◂ now" in line]
            assert 1 == len(marked)
            assert each.meaning in marked[0]
        await at(pilot, clock, INTRODUCTION_S)

        assert isinstance(app.screen, SessionScreen)
        assert player.closed
    assert new.answers()[HEARD_ANSWER] == "2026-03-09"


@pytest.mark.parametrize("key", ["enter", "escape"])
async def test_they_can_be_left(new: Store, clock: ManualClock, key: str) -> None:
    """One key, and the session begins."""
    app = made_app(new, clock)
    async with app.run_test(size=SIZE) as pilot:
        await pilot.press("enter")
        await pilot.pause()
        await pilot.press(key)
        await pilot.pause()

        assert isinstance(app.screen, SessionScreen)


async def test_they_can_be_heard_again_from_today(
    new: Store, clock: ManualClock
) -> None:
    """One key on Today, another to begin anew, and back to Today."""
    app = made_app(new, clock)
    async with app.run_test(size=SIZE) as pilot:
        await pilot.press("l")
        await pilot.pause()
        assert isinstance(app.screen, SoundsOfAHold)
        player = app.screen.player
        assert isinstance(player, RecordingPlayer)
        clock.advance(10)
        await pilot.press("a")
        assert introduction_sheet(clock.now_s() + LEAD_S) == player.sheets[-1]
        await pilot.press("escape")
        await pilot.pause()

        assert isinstance(app.screen, TodayScreen)
        assert player.closed


async def test_a_person_who_wants_silence_is_not_kept(
    new: Store, clock: ManualClock
) -> None:
    """With the sound off, the first session begins at once."""
    silent = Settings(sound=SoundSettings(backend=Backend.SILENT))
    app = made_app(new, clock, settings=silent)
    async with app.run_test(size=SIZE) as pilot:
        await pilot.press("enter")
        await pilot.pause()

        assert isinstance(app.screen, SessionScreen)

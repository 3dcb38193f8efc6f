"""When the session's screen looks at a deadline: once, and only at the latest one."""

from __future__ import annotations

import errno
import gc
import time
from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from textual.app import App

from trainer.core.clock import SystemClock
from trainer.core.session.state import Phase
from trainer.tui.session.timers import AWAKE_S, CALM_S, CLEARED_EVERY_S, Looks

SOON_S = 0.05


async def test_a_deadline_is_looked_at_once_without_a_steady_look() -> None:
    """The look at a deadline needs no ticker, and the same one isn't set twice."""
    now_s = SystemClock().now_s
    looked: list[float] = []
    app: App[None] = App()
    async with app.run_test() as pilot:
        looks = Looks(app, lambda: looked.append(now_s()), now_s=now_s)
        deadline_s = now_s() + SOON_S
        looks.look_at(deadline_s)
        looks.look_at(deadline_s)
        await pilot.pause(4 * SOON_S)

        assert 1 == len(looked)


async def test_a_clock_that_stands_still_is_not_waited_for() -> None:
    """The last moment before a deadline is waited out awake, but not for ever."""
    looked: list[bool] = []
    app: App[None] = App()
    async with app.run_test() as pilot:
        looks = Looks(app, lambda: looked.append(True), now_s=lambda: 0.0)
        looks.look_at(AWAKE_S / 2)
        await pilot.pause(SOON_S)

    assert [True] == looked


async def test_a_clock_that_is_set_ends_no_session(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A sleep that the system refuses just then is done without."""

    def refused(_seconds: float) -> None:
        raise OSError(errno.EINVAL, "Invalid argument")

    now_s = SystemClock().now_s
    looked: list[bool] = []
    app: App[None] = App()
    async with app.run_test() as pilot:
        looks = Looks(app, lambda: looked.append(True), now_s=now_s)
        monkeypatch.setattr(time, "sleep", refused)
        looks.look_at(now_s() + SOON_S)
        await pilot.pause(4 * SOON_S)

    assert [True] == looked


async def test_a_deadline_that_was_moved_is_not_looked_at() -> None:
    """Not yet, a pause and an early end leave no look behind for the old moment."""
    now_s = SystemClock().now_s
    looked: list[float] = []
    app: App[None] = App()
    async with app.run_test() as pilot:
        looks = Looks(app, lambda: looked.append(now_s()), now_s=now_s)
        looks.look_at(now_s() + SOON_S)
        looks.look_at(now_s() + 60)
        await pilot.pause(4 * SOON_S)
        assert [] == looked

        looks.look_at(now_s() + SOON_S)
        looks.look_at(None)
        await pilot.pause(4 * SOON_S)
        assert [] == looked


@contextmanager
def clearings() -> Iterator[list[int]]:
    """Note the generation of each collection as it begins."""
    seen: list[int] = []

    def note(when: str, about: dict[str, int]) -> None:
        if when == "start":
            seen.append(about["generation"])

    gc.callbacks.append(note)
    try:
        yield seen
    finally:
        gc.callbacks.remove(note)


async def test_nothing_is_cleared_away_as_a_deadline_nears() -> None:
    """Clearing stops the program for longer than a phase may be late to be seen."""
    now = [0.0]
    looked: list[float] = []
    app: App[None] = App()
    async with app.run_test() as pilot:
        looks = Looks(app, lambda: looked.append(now[0]), now_s=lambda: now[0])
        looks.start()
        try:
            now[0] = 2 * CLEARED_EVERY_S
            looks.look_at(now[0] + CALM_S)
            with clearings() as near:
                looks.pace(Phase.HOLD, glides=True)
                await pilot.pause(4 * SOON_S)
            looks.look_at(now[0] + 60)
            with clearings() as far:
                await pilot.pause(4 * SOON_S)
        finally:
            looks.end()

    assert looked
    assert [] == near
    assert [2] == far


async def test_the_collector_works_by_itself_again_after_a_session() -> None:
    """A page behind the session is cleared up as ever; who turned it off keeps that."""
    app: App[None] = App()
    async with app.run_test():
        looks = Looks(app, lambda: None, now_s=lambda: 0.0)
        looks.start()
        assert not gc.isenabled()
        looks.end()
        assert gc.isenabled()

        gc.disable()
        try:
            looks.start()
            looks.end()
            assert not gc.isenabled()
        finally:
            gc.enable()

"""The gate on the screens: what starts a hold asks, and Enter alone answers nothing."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from textual.pilot import Pilot

from tests.tui.desk import clock_at, made_app, made_store, settle, text_of, train
from trainer.core.answers import HEAD_UP, NO, SHOULDER, YES
from trainer.core.clock import ManualClock
from trainer.core.model import Pain, PainKind, Side, Site
from trainer.store import Store
from trainer.tui.screens.first_day import FirstDayScreen
from trainer.tui.screens.gate import GateSlip
from trainer.tui.screens.today import TodayScreen
from trainer.tui.session.screen import SessionScreen

SIZE = (100, 40)
LEFT_WRIST = Pain(PainKind.PAIN, Site.WRIST, Side.LEFT)


@pytest.fixture
def clock() -> ManualClock:
    return clock_at()


@pytest.fixture
def store(tmp_path: Path, clock: ManualClock) -> Iterator[Store]:
    with made_store(tmp_path, clock) as opened:
        settle(opened)
        yield opened


def hurt(store: Store, sign: Pain, day: date = date(2026, 3, 6)) -> None:
    """Log a session in whose last press SIGN was noted."""
    session = store.session(train(store, day, 20))
    assert session is not None
    hold = [each for each in session.holds if each.exercise == "press-pike"][-1]
    store.correct_hold(replace(hold, pain=(sign,)))


def signs(store: Store) -> list[Pain]:
    holds = [hold for session in store.history().sessions for hold in session.holds]
    return [sign for hold in holds for sign in hold.pain]


async def settled(pilot: Pilot[int], *keys: str) -> None:
    await pilot.press(*keys)
    await pilot.pause()


async def test_open_pain_stops_start_and_enter_does_not_answer(
    store: Store, clock: ManualClock
) -> None:
    """Start asks; Enter and space leave the question standing; back starts nothing."""
    hurt(store, LEFT_WRIST)
    app = made_app(store, clock)
    async with app.run_test(size=SIZE) as pilot:
        await pilot.pause()
        await settled(pilot, "enter")
        said = " ".join(text_of(pilot.app.screen).split())
        assert isinstance(app.screen, GateSlip)
        assert "Pain in the left wrist since 6 March 2026" in said
        assert "nobody has said that it is gone" in said

        await settled(pilot, "enter", "space", "enter")
        assert isinstance(app.screen, GateSlip)

        await settled(pilot, "escape")
        assert isinstance(app.screen, TodayScreen)
    assert [LEFT_WRIST] == signs(store)


async def test_pain_that_is_gone_is_dated_and_the_session_starts(
    store: Store, clock: ManualClock
) -> None:
    """One key closes it with today's date; nothing is asked again."""
    hurt(store, LEFT_WRIST)
    app = made_app(store, clock)
    async with app.run_test(size=SIZE) as pilot:
        await pilot.pause()
        await settled(pilot, "enter", "g")

        assert isinstance(app.screen, SessionScreen)
        assert () == app.screen.runner._session(()).overrides
    assert [replace(LEFT_WRIST, gone_on=date(2026, 3, 9))] == signs(store)


async def test_what_loads_it_can_be_left_out(store: Store, clock: ManualClock) -> None:
    """A low back leaves the hangs; what was left out takes no new target."""
    hurt(store, Pain(PainKind.PAIN, Site.LOW_BACK))
    app = made_app(store, clock)
    async with app.run_test(size=SIZE) as pilot:
        await pilot.pause()
        await settled(pilot, "enter", "l")

        assert isinstance(app.screen, SessionScreen)
        sets = app.screen.runner.state.program.sets
        assert {"hang"} == {each.exercise.id for each in sets}


async def test_going_on_anyway_is_kept_with_the_session(
    store: Store, clock: ManualClock
) -> None:
    """The reason as it was read stands in the log with the first hold."""
    hurt(store, LEFT_WRIST)
    app = made_app(store, clock)
    async with app.run_test(size=SIZE) as pilot:
        await pilot.pause()
        await settled(pilot, "enter", "y")
        assert isinstance(app.screen, SessionScreen)
        overrides = app.screen.runner._session(()).overrides

    assert {"hang", "press-pike"} == {each.exercise for each in overrides}
    assert {"pain"} == {each.reason for each in overrides}
    assert "Pain in the left wrist since 6 March 2026" in overrides[0].says


@pytest.mark.parametrize("door", ["one exercise", "all tests", "test"])
async def test_one_exercise_and_a_test_ask_too(
    store: Store, clock: ManualClock, door: str
) -> None:
    """With a caution that keeps the head up, no other key turns it down unasked."""
    store.set_answer(HEAD_UP, YES)
    app = made_app(store, clock)
    async with app.run_test(size=SIZE) as pilot:
        await pilot.pause()
        if door == "one exercise":
            await settled(pilot, "e", "end", "enter")  # the last one: the wall
        elif door == "all tests":
            await settled(pilot, "t", "enter")  # the first line: each once
        else:
            await settled(pilot, "t", "down", "down", "enter")  # the pike alone
        said = " ".join(text_of(pilot.app.screen).split())

        assert isinstance(app.screen, GateSlip)
        assert "eye or blood-pressure caution keeps the head up" in said


async def test_the_command_line_is_asked_on_the_screen(
    store: Store, clock: ManualClock
) -> None:
    """``session --exercise press-wall`` opens with the question, not with a handstand;
    with ``--anyway`` it was answered already."""
    from trainer.training.request import SessionRequest

    asked = {}
    for anyway in (False, True):
        app = made_app(store, clock)
        app._request = SessionRequest(exercise="press-wall", anyway=anyway)
        async with app.run_test(size=SIZE) as pilot:
            await pilot.pause()
            await pilot.pause()
            asked[anyway] = type(app.screen)

    assert {False: GateSlip, True: SessionScreen} == asked


async def test_an_open_question_can_be_answered_from_there(
    store: Store, clock: ManualClock
) -> None:
    """Plans from before the question was asked stay, and lead to it at Start."""
    store.set_answer(SHOULDER, "")
    app = made_app(store, clock)
    async with app.run_test(size=SIZE) as pilot:
        await pilot.pause()
        await settled(pilot, "enter")
        assert "nobody has answered whether there was surgery" in " ".join(
            text_of(pilot.app.screen).split()
        )
        await settled(pilot, "f")
        assert isinstance(app.screen, FirstDayScreen)
    assert ["hang", "press-pike"] == [e.exercise for e in store.plan().exercises]


async def test_the_plan_page_puts_nothing_past_the_gate_in_silence(
    store: Store, clock: ManualClock
) -> None:
    """The wall in a draft is asked about when it is taken; Enter leaves it out."""
    app = made_app(store, clock, start="plan")
    async with app.run_test(size=SIZE) as pilot:
        await pilot.pause()
        await settled(pilot, "a", "end", "enter")
        await settled(pilot, "enter", "enter")
        assert isinstance(app.screen, GateSlip)
        await settled(pilot, "enter", "escape")
        assert ["hang", "press-pike"] == [e.exercise for e in store.plan().exercises]

        await settled(pilot, "enter", "enter", "y")
    assert "press-wall" in [each.exercise for each in store.plan().exercises]


async def test_a_rehearsal_asks_nothing_for_nothing_is_held(
    store: Store, clock: ManualClock
) -> None:
    """To see and hear it there is no gate, and nothing is logged."""
    store.set_answer(SHOULDER, YES)
    hurt(store, LEFT_WRIST)
    app = made_app(store, clock)
    async with app.run_test(size=SIZE) as pilot:
        await pilot.pause()
        await settled(pilot, "h", "enter")

        assert isinstance(app.screen, SessionScreen)
        assert app.screen.runner.rehearsal


def test_the_answers_of_the_desk_hold_nothing_back(store: Store) -> None:
    """What the tests above stand on."""
    assert (NO, NO) == (store.answers()[SHOULDER], store.answers()[HEAD_UP])

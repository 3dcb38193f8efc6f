"""The pages, driven as a person would: keys in, text and the data file out."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from dataclasses import replace
from datetime import date, datetime, timedelta, timezone
from pathlib import Path

import pytest

from tests.tui.desk import (
    MONDAY,
    ZONE,
    clock_at,
    frame,
    made_app,
    made_store,
    settle,
    text_of,
    train,
)
from trainer.core.answers import CAUTIONS_READ, HEAD_UP
from trainer.core.clock import ManualClock
from trainer.core.cues.cues import CUES, Cue
from trainer.core.cues.settings import Voice
from trainer.core.model import (
    Author,
    EndedBy,
    Felt,
    Hold,
    Pain,
    PainKind,
    Session,
    SessionKind,
    Site,
)
from trainer.core.weeks import IsoWeek
from trainer.settings.settings import Settings, read_settings
from trainer.sound.player import RecordingPlayer
from trainer.store import Store
from trainer.tui.screens.cautions import CautionsScreen
from trainer.tui.screens.first_day import FirstDayScreen
from trainer.tui.screens.help import HelpScreen
from trainer.tui.screens.next_week import NextWeekScreen
from trainer.tui.screens.plan import PlanScreen
from trainer.tui.screens.sound import SoundScreen
from trainer.tui.screens.summary import SummaryScreen
from trainer.tui.screens.today import TodayScreen
from trainer.tui.screens.unfinished import UnfinishedScreen
from trainer.tui.widgets.keyline import MOST, KeyLine

SIZE = (80, 24)


@pytest.fixture
def clock() -> ManualClock:
    """Give a clock that stands on a Monday evening."""
    return clock_at()


@pytest.fixture
def store(tmp_path: Path, clock: ManualClock) -> Iterator[Store]:
    """Give a file of somebody who has trained twice, cleanly, at 20 s."""
    with made_store(tmp_path, clock) as made:
        settle(made)
        train(made, date(2026, 3, 4), 20)
        train(made, date(2026, 3, 6), 20)
        yield made


@pytest.fixture
def fresh(tmp_path: Path, clock: ManualClock) -> Iterator[Store]:
    """Give a file in which nothing is yet."""
    with made_store(tmp_path, clock) as made:
        yield made


async def test_a_first_start_leads_from_cautions_to_a_plan(
    fresh: Store, clock: ManualClock
) -> None:
    """Cautions, read to the end, then the questions, then a plan to start with."""
    app = made_app(fresh, clock)
    async with app.run_test(size=SIZE) as pilot:
        await pilot.pause()
        assert isinstance(app.screen, CautionsScreen)
        await pilot.press("enter")
        assert isinstance(app.screen, CautionsScreen)
        assert CAUTIONS_READ not in fresh.answers()
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(app.screen, FirstDayScreen)
        # Three questions of safety: each is pointed at before it may be left open.
        await pilot.press("enter")
        await pilot.pause()
        assert "then the careful way is taken" in " ".join(frame(pilot).split())
        await pilot.press("enter", "enter", "enter")
        await pilot.pause()

        assert isinstance(app.screen, TodayScreen)
        assert (
            "Hear the sounds of a hold: l. Rehearse: h. Find your start by a test: t."
            in text_of(app.screen.query_one("#day"))
        )
    assert fresh.answers()[CAUTIONS_READ] == "2026-03-09"
    assert [each.exercise for each in fresh.plan().exercises] == [
        "hang-supported",
        "press-pushup",
    ]


async def test_cautions_left_unread_are_asked_for_again(
    fresh: Store, clock: ManualClock
) -> None:
    """Nobody gets past them to a session by leaving."""
    app = made_app(fresh, clock)
    async with app.run_test(size=SIZE) as pilot:
        await pilot.press("escape")
        await pilot.pause()
        assert isinstance(app.screen, TodayScreen)
        await pilot.press("enter")
        await pilot.pause()

        assert isinstance(app.screen, CautionsScreen)
    assert CAUTIONS_READ not in fresh.answers()


async def test_the_answers_decide_the_plan(fresh: Store, clock: ManualClock) -> None:
    """Easy hanging, no caution, the wall walked: a hang, and the wall on offer."""
    fresh.set_answer(CAUTIONS_READ, "2026-03-09")
    app = made_app(fresh, clock)
    async with app.run_test(size=SIZE) as pilot:
        await pilot.press("right", "right", "down", "right", "down", "right")
        await pilot.press("down", "right", "right")
        await pilot.press("down", "right", "down", "6", "enter")
        await pilot.pause()

        assert isinstance(app.screen, TodayScreen)
    plan = fresh.plan()
    assert ["hang", "press-pike"] == [each.exercise for each in plan.exercises]
    assert "press-wall" in plan.top.values()
    assert plan.days == (1, 3, 5, 6)
    assert fresh.answers()[HEAD_UP] == "no"


async def test_questions_of_safety_are_pointed_at_before_the_plan_is_made(
    fresh: Store, clock: ManualClock
) -> None:
    """Enter leads to the open one; a pike is offered once nothing speaks against it."""
    fresh.set_answer(CAUTIONS_READ, "2026-03-09")
    app = made_app(fresh, clock)
    async with app.run_test(size=SIZE) as pilot:
        await pilot.pause()
        await pilot.press("enter")
        await pilot.pause()
        assert "▸ Do you have a shoulder" in frame(pilot)
        await pilot.press("right", "enter")
        await pilot.pause()
        assert "▸ Do you have an eye" in frame(pilot)
        assert "A pike is head-down too" in frame(pilot)
        await pilot.press("right", "enter")
        await pilot.pause()
        assert "▸ Can you walk your feet up" in frame(pilot)
        assert "A pike is head-down too" not in frame(pilot)
        await pilot.press("right", "enter")
        await pilot.pause()

        assert isinstance(app.screen, TodayScreen)
    assert fresh.has_plan()


@pytest.mark.parametrize(
    ("chosen", "sets", "left"),
    [("take", 4, True), ("drop", 3, True), ("stay", 3, False)],
)
async def test_a_change_of_the_plan_is_not_lost_by_going_back(
    store: Store, clock: ManualClock, chosen: str, sets: int, left: bool
) -> None:
    """Take, drop or stay; a figure still being typed is among the changes."""
    downs = {"take": 0, "drop": 1, "stay": 2}[chosen]
    app = made_app(store, clock, start="plan")
    async with app.run_test(size=SIZE) as pilot:
        await pilot.pause()
        await pilot.press("down", "down", "down", "4", "escape")
        await pilot.pause()
        assert "1 change not taken: Passive hang: sets 3 → 4." in frame(pilot)
        await pilot.press(*["down"] * downs, "enter")
        await pilot.pause()

        assert left is not isinstance(app.screen, PlanScreen)
    assert sets == store.plan().exercises[0].sets


async def test_today_says_what_is_due_and_why(store: Store, clock: ManualClock) -> None:
    """The target, its step in per cent, the rule's sentence, last time's figures."""
    app = made_app(store, clock)
    async with app.run_test(size=SIZE) as pilot:
        await pilot.pause()
        said = text_of(app.screen.query_one("#day"))

    assert "A training day." in said
    assert "3 × 25 s" in said
    assert "5 s more (25 %)" in said  # 5 s on 20 s (references 7, arithmetic)
    assert "were clean" in said
    assert "Last Friday: kept 20, 20, 20 of 20 s, RPE 7, 7, 7." in said
    assert "Ribs down first [/] [b]" in said
    assert "3 rounds: passive hang 25 s, then pike press-away 25 s" in said


async def test_a_day_off_says_when_the_next_is(tmp_path: Path) -> None:
    """On a Tuesday of a Monday, Wednesday, Friday plan: tomorrow."""
    clock = clock_at(MONDAY + timedelta(days=1))
    with made_store(tmp_path, clock) as store:
        settle(store)
        app = made_app(store, clock)
        async with app.run_test(size=SIZE) as pilot:
            await pilot.pause()
            said = text_of(app.screen.query_one("#day"))

    assert "Not a training day. The next one is tomorrow." in said


async def test_a_start_after_midnight_shows_the_new_day_first(
    store: Store, clock: ManualClock
) -> None:
    """A page left open overnight doesn't start yesterday's session."""
    app = made_app(store, clock)
    async with app.run_test(size=SIZE) as pilot:
        await pilot.pause()
        clock.advance(24 * 3600)
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(app.screen, TodayScreen)
        said = text_of(app.screen.query_one("#day"))

    assert "Not a training day. The next one is tomorrow." in said
    assert store.history().targets == ()


async def test_no_player_is_left_open(store: Store, clock: ManualClock) -> None:
    """However the program is left, whatever made the sound is closed."""
    app = made_app(store, clock, start="sound")
    async with app.run_test(size=SIZE) as pilot:
        await pilot.pause()
        screen = app.screen
        assert isinstance(screen, SoundScreen)
        player = screen._player
        await pilot.press("ctrl+q")
        await pilot.pause()

    assert isinstance(player, RecordingPlayer)
    assert player.closed
    assert app.return_value == 0


async def test_a_suggestion_can_be_declined_and_taken_after_all(
    store: Store, clock: ManualClock
) -> None:
    """Declined, the target in force is what would be led; once more takes it back."""
    app = made_app(store, clock)
    async with app.run_test(size=SIZE) as pilot:
        await pilot.pause()
        await pilot.press("d")
        await pilot.pause()
        await pilot.press("enter")
        await pilot.pause()
        assert "Declined: 25 s was suggested" in text_of(app.screen.query_one("#day"))
        assert "passive hang 20 s" in text_of(app.screen.query_one("#day"))
        await pilot.press("d")
        await pilot.pause()
        await pilot.press("enter")
        await pilot.pause()

        assert "passive hang 25 s" in text_of(app.screen.query_one("#day"))


async def test_next_week_is_taken_and_taken_back_by_one_key_each(
    store: Store, clock: ManualClock
) -> None:
    """Taking writes a target for that week; taking back removes it."""
    app = made_app(store, clock, start="next")
    async with app.run_test(size=SIZE) as pilot:
        await pilot.pause()
        assert isinstance(app.screen, NextWeekScreen)
        await pilot.press("enter")
        await pilot.pause()
        taken = store.history().targets
        assert [("hang", 25.0, IsoWeek(2026, 12))] == [
            (each.exercise, each.target_s, each.week) for each in taken
        ]
        await pilot.press("u")
        await pilot.pause()

        assert store.history().targets == ()


async def test_a_lighter_week_is_taken_where_one_is_on_offer(
    tmp_path: Path, clock: ManualClock
) -> None:
    """After weeks of rises: one set fewer at the target in force, for that week."""
    with made_store(tmp_path, clock) as store:
        settle(store)
        for week in range(7):
            for day in (0, 2, 4):
                when = date(2026, 1, 19) + timedelta(days=7 * week + day)
                train(store, when, 20 + 5 * week)
        train(store, date(2026, 3, 9), 50)
        app = made_app(store, clock, start="next")
        async with app.run_test(size=SIZE) as pilot:
            await pilot.pause()
            assert "l Lighter" in frame(pilot)
            await pilot.press("l")
            await pilot.pause()

        target = store.history().targets[-1]
        assert (50.0, 2) == (target.target_s, target.sets)
        assert target.week == IsoWeek(2026, 12)


async def test_a_program_that_ends_has_left_its_pages(
    store: Store, clock: ManualClock
) -> None:
    """What is worked out beside a page comes too late then: its lines go first."""
    app = made_app(store, clock, start="next")
    async with app.run_test(size=SIZE) as pilot:
        await pilot.pause()
        page = app.screen
        assert isinstance(page, NextWeekScreen)
        assert not page.was_left
        app.exit()
        assert page.was_left


async def test_a_coach_may_set_another_target(store: Store, clock: ManualClock) -> None:
    """The figure is typed, the author chosen, and the page says whose it is."""
    app = made_app(store, clock, start="next")
    async with app.run_test(size=SIZE) as pilot:
        await pilot.pause()
        await pilot.press("t", "2", "2", "down", "right", "enter")
        await pilot.pause()
        said = text_of(app.screen.query_one("#detail"))

    target = store.history().targets[-1]
    assert (22.0, Author.COACH) == (target.target_s, target.author)
    assert "22 s, set by the coach" in said


async def test_a_target_for_the_coming_week_leaves_today_alone(
    store: Store, clock: ManualClock
) -> None:
    """Set on Next week it is for that week, said beside its line; Today keeps to its
    own, and so does the plan's page."""
    app = made_app(store, clock, start="next")
    async with app.run_test(size=SIZE) as pilot:
        await pilot.pause()
        before = text_of(app.screen_stack[-2].query_one("#day"))
        await pilot.press("t", "4", "2", "enter")
        await pilot.pause()
        assert "3 × 42 s" in frame(pilot)
        assert "set by you for the week of 16 March" in " ".join(frame(pilot).split())
        await pilot.press("escape")
        await pilot.pause()
        after = text_of(app.screen.query_one("#day"))

    assert IsoWeek(2026, 12) == store.history().targets[-1].week
    assert before == after


async def test_who_made_the_plan_and_what_they_say_stands_beside_it(
    store: Store, clock: ManualClock
) -> None:
    """The coach's name and note from a plan file; text, whatever is in it."""
    told = replace(
        store.plan(), coach="Odo, made up [/]", note="Ribs first, then reach."
    )
    store.save_plan(told, valid_from=clock.wall().date())
    app = made_app(store, clock, start="plan")
    async with app.run_test(size=SIZE) as pilot:
        await pilot.pause()
        beside = text_of(app.screen.query_one("#beside"))

    assert "Odo, made up [/]" in beside
    assert "Ribs first, then reach." in beside


async def test_the_plan_is_shown_as_a_change_before_it_is_taken(
    store: Store, clock: ManualClock
) -> None:
    """Nothing is written until the change was seen and taken."""
    app = made_app(store, clock, start="plan")
    async with app.run_test(size=SIZE) as pilot:
        await pilot.pause()
        assert isinstance(app.screen, PlanScreen)
        await pilot.press("down", "down", "1", "2", "0", "down", "right")
        await pilot.pause()
        assert "warm-up: 240 → 120 s" in text_of(app.screen.query_one("#beside"))
        assert "Passive hang: sets 3 → 4" in text_of(app.screen.query_one("#beside"))
        assert store.plan().warm_up_s == 240
        await pilot.press("enter")
        await pilot.pause()
        assert "Passive hang: sets" in frame(pilot)
        await pilot.press("enter")
        await pilot.pause()

    assert store.plan().warm_up_s == 120
    assert [each.sets for each in store.plan().exercises] == [4, 3]


async def test_figures_that_do_not_go_together_are_refused(
    store: Store, clock: ManualClock
) -> None:
    """A floor above the cap is said and not taken."""
    app = made_app(store, clock, start="plan")
    async with app.run_test(size=SIZE, notifications=True) as pilot:
        await pilot.pause()
        await pilot.press(*["down"] * 8, "9", "0", "down")
        await pilot.pause()
        said = [str(each.message) for each in app._notifications]

    assert any("the floor, 90 s, is over" in each for each in said)


async def test_the_coming_week_can_be_made_a_rest_week(
    store: Store, clock: ManualClock
) -> None:
    """One key, and the same key again."""
    app = made_app(store, clock, start="plan")
    async with app.run_test(size=SIZE) as pilot:
        await pilot.pause()
        await pilot.press("k")
        await pilot.pause()
        assert store.history().rest_weeks == {IsoWeek(2026, 12)}
        await pilot.press("k")
        await pilot.pause()

    assert store.history().rest_weeks == frozenset()


async def test_a_cue_is_heard_and_the_settings_are_kept(
    store: Store, clock: ManualClock, tmp_path: Path
) -> None:
    """The marked cue goes to the player; a change is in the file at once."""
    app = made_app(store, clock, start="sound")
    async with app.run_test(size=SIZE) as pilot:
        await pilot.pause()
        screen = app.screen
        assert isinstance(screen, SoundScreen)
        await pilot.press("left", *["down"] * 7, "enter")
        player = screen._player
        assert isinstance(player, RecordingPlayer)
        assert [Cue.OUT] == [each.cue for each in player.sheets[-1]]
        await pilot.press("right", "h")
        last = {each.cue for each in player.sheets[-1]}

    assert {Cue.IN, Cue.OUT, Cue.TARGET, Cue.IN_THEN_DOWN} <= last
    kept = read_settings(tmp_path / "settings.toml").sound
    assert kept.voice is Voice.WORDS
    assert kept.muted == {Cue.OUT}


async def test_what_the_sound_page_says_is_replaced_and_stays_on_it(
    store: Store, clock: ManualClock
) -> None:
    """One line, not a pile of notices that follows to other pages."""
    app = made_app(store, clock, start="sound")
    async with app.run_test(size=SIZE, notifications=True) as pilot:
        await pilot.pause()
        await pilot.press(*["down"] * 7, "right", "enter", "enter")
        await pilot.pause()
        assert 1 == frame(pilot).count("“out” is off.")
        await pilot.press("left", "enter")
        await pilot.pause()
        assert "is off." not in frame(pilot)

        assert [] == list(app._notifications)


def test_every_cue_has_its_words() -> None:
    """No cue is missing on the sound page."""
    assert set(Cue) == set(CUES)


async def test_a_set_is_corrected_and_taken_out(
    store: Store, clock: ManualClock
) -> None:
    """Held lowered lowers kept; a set that didn't happen can be put back."""
    uid = train(store, date(2026, 3, 9), 20)
    app = made_app(store, clock)
    async with app.run_test(size=SIZE) as pilot:
        await pilot.pause()
        await app.push_screen(SummaryScreen(uid))
        await pilot.press("e", "1", "7", "down", "1", "9", "enter")
        await pilot.pause()
        session = store.session(uid)
        assert session is not None
        assert (17.0, 17.0) == (session.holds[0].held_s, session.holds[0].kept_s)
        assert "x Didn't happen" in frame(pilot)
        await pilot.press("x")
        await pilot.pause()
        assert "didn't happen" in frame(pilot)
        assert "x Put back" in frame(pilot)
        session = store.session(uid)
        assert session is not None
        assert len(session.holds) == 5
        await pilot.press("x")
        await pilot.pause()

    session = store.session(uid)
    assert session is not None
    assert len(session.holds) == 6


async def test_the_only_set_of_a_session_can_be_put_back(
    store: Store, clock: ManualClock
) -> None:
    """Pain that was noted of it stays to be seen while it is out of the log."""
    hold = Hold(
        uid="5f0c8f5e-0000-4000-8000-000000000003",
        exercise="hang",
        set_number=1,
        target_s=20,
        held_s=12,
        ended_by=EndedBy.KEY,
        started_at=datetime(2026, 3, 9, 16, 40, tzinfo=timezone.utc),
        pain=(Pain(PainKind.NUMB, Site.RIBS),),
    )
    uid = one_hold(store, hold, SessionKind.PLAN)
    app = made_app(store, clock)
    async with app.run_test(size=SIZE) as pilot:
        await pilot.pause()
        await app.push_screen(SummaryScreen(uid))
        await pilot.press("x")
        await pilot.pause()
        said = " ".join(frame(pilot).split())
        assert "didn't happen; numbness in the ribs" in said
        assert store.hold(hold.uid) is None
        await pilot.press("x")
        await pilot.pause()

    assert store.hold(hold.uid) is not None


def one_hold(store: Store, hold: Hold, kind: SessionKind) -> str:
    """Log a session of one hold; gives its uid."""
    uid = "5f0c8f5e-0000-4000-8000-000000000009"
    store.begin_session(
        Session(
            uid=uid,
            kind=kind,
            started_at=hold.started_at,
            utc_offset_min=60,
            local_date=date(2026, 3, 9),
        )
    )
    store.save_hold(uid, hold)
    store.end_session(uid, ended_at=hold.started_at + timedelta(minutes=2))
    return uid


@pytest.mark.parametrize(
    ("held_s", "expected"),
    [
        # Two thirds of 29 s are 19.3 s; rounded down to 5 s that is 15 s (by hand).
        (29.0, "Two thirds of 29 s, rounded down to 5 s, is 15 s: your start."),
        (30.0, "Two thirds of 30 s, rounded down to 5 s, is 20 s: your start."),
        (12.0, "Under 15 s: Supported hang fits better to start with."),
    ],
)
async def test_the_summary_of_a_test_says_the_start_that_follows(
    fresh: Store, clock: ManualClock, held_s: float, expected: str
) -> None:
    """What was held, how hard it was, and the start by the first-day rule."""
    settle(fresh)
    hold = Hold(
        uid="5f0c8f5e-0000-4000-8000-000000000003",
        exercise="hang",
        set_number=1,
        target_s=45,
        held_s=held_s,
        ended_by=EndedBy.KEY,
        started_at=datetime(2026, 3, 9, 16, 40, tzinfo=timezone.utc),
        rpe=7,
        confirmed=True,
    )
    uid = one_hold(fresh, hold, SessionKind.TEST)
    app = made_app(fresh, clock)
    async with app.run_test(size=SIZE) as pilot:
        await pilot.pause()
        await app.push_screen(SummaryScreen(uid))
        await pilot.pause()
        said = text_of(app.screen.query_one("#outcome"))

    assert expected in said
    assert f"Held {held_s:g} s, RPE 7: two breaths left." in said


async def test_the_places_felt_are_corrected_on_the_drawing(
    store: Store, clock: ManualClock
) -> None:
    """Marked there, named on the line, in the log once they are kept."""
    uid = train(store, date(2026, 3, 9), 20)
    app = made_app(store, clock)
    async with app.run_test(size=SIZE) as pilot:
        await pilot.pause()
        await app.push_screen(SummaryScreen(uid))
        await pilot.press("e", *["down"] * 7, "w", "a", "6", "enter")
        await pilot.pause()
        assert "Felt ▸ armpit, 6" in frame(pilot)
        await pilot.press("enter")
        await pilot.pause()

    session = store.session(uid)
    assert session is not None
    assert (Felt(Site.ARMPIT, strength=6),) == session.holds[0].felt


async def test_kept_is_counted_from_what_was_held(
    store: Store, clock: ManualClock
) -> None:
    """The first press gives one second less than held, not nought."""
    uid = train(store, date(2026, 3, 9), 20)
    app = made_app(store, clock)
    async with app.run_test(size=SIZE) as pilot:
        await pilot.pause()
        await app.push_screen(SummaryScreen(uid))
        await pilot.press("e", "1", "8", "down", "left", "enter")
        await pilot.pause()

    session = store.session(uid)
    assert session is not None
    assert (18.0, 17.0) == (session.holds[0].held_s, session.holds[0].kept_s)


@pytest.mark.parametrize(
    ("keys", "held"),
    [(["enter"], 17.0), (["2", "1", "enter"], 21.0), (["x"], None)],
    ids=["as-journaled", "another-figure", "none"],
)
async def test_an_unfinished_hold_is_asked_about(
    store: Store, clock: ManualClock, keys: list[str], held: float | None
) -> None:
    """The last journaled second, another figure, or none: nothing is made up."""
    began = datetime(2026, 3, 9, 16, 40, tzinfo=timezone.utc)
    session = Session(
        uid="5f0c8f5e-0000-4000-8000-000000000001",
        kind=SessionKind.PLAN,
        started_at=began,
        utc_offset_min=60,
        local_date=date(2026, 3, 9),
    )
    store.begin_session(session)
    hold = Hold(
        uid="5f0c8f5e-0000-4000-8000-000000000002",
        exercise="press-pike",
        set_number=2,
        target_s=25,
        held_s=17,
        ended_by=EndedBy.CRASH,
        started_at=began,
    )
    store.journal(session.uid, hold)
    app = made_app(store, clock)
    async with app.run_test(size=SIZE) as pilot:
        await pilot.pause()
        assert isinstance(app.screen, UnfinishedScreen)
        assert "today at 17:40" in frame(pilot)
        await pilot.press(*keys)
        await pilot.pause()
        assert isinstance(app.screen, TodayScreen)

    kept = store.hold(hold.uid)
    assert held == (kept.held_s if kept else None)
    assert store.unfinished() is None


@pytest.mark.parametrize("start", ["today", "next", "plan", "sound"])
async def test_every_page_has_cautions_and_help_one_key_away(
    store: Store, clock: ManualClock, start: str
) -> None:
    """F2 gives the cautions, ? the keys that are live, escape comes back.

    The foot has six keys at most; however narrow it is, the help stays in it.
    """
    app = made_app(store, clock, start=start)
    async with app.run_test(size=SIZE) as pilot:
        for width in (60, 200, 80):
            await pilot.resize_terminal(width, 24)
            await pilot.pause()
            foot = app.screen.query_one(KeyLine)
            shown = str(foot.render())
            assert len(foot.live()) <= MOST
            assert shown.endswith("? Help")
            assert len(shown) <= foot.content_size.width
        page = app.screen
        live = {b.tooltip for _, b, _, _ in page.active_bindings.values() if b.id}
        await pilot.press("f2")
        assert isinstance(app.screen, CautionsScreen)
        await pilot.press("escape", "question_mark")
        await pilot.pause()
        assert isinstance(app.screen, HelpScreen)
        said = text_of(app.screen)
        await pilot.press("escape")

        assert app.screen is page
    assert [] == [each for each in live if each not in said]


async def test_a_window_too_small_says_so_and_waits(
    store: Store, clock: ManualClock
) -> None:
    """Under 60×20 one sentence; made larger, the page is back."""
    app = made_app(store, clock)
    async with app.run_test(size=(50, 15)) as pilot:
        await pilot.pause()
        assert "50 columns and 15 rows" in frame(pilot)
        await pilot.resize_terminal(80, 24)
        await pilot.pause()

        assert "A training day." in frame(pilot)


async def test_keys_can_be_moved_and_a_bad_move_is_said(
    store: Store, clock: ManualClock
) -> None:
    """A good remap works and shows; a bad one leaves every key where it was."""
    app = made_app(store, clock, settings=Settings(keys={"today.plan": "g"}))
    async with app.run_test(size=SIZE) as pilot:
        await pilot.pause()
        assert "g Plan" in frame(pilot)
        await pilot.press("g")
        assert isinstance(app.screen, PlanScreen)

    app = made_app(store, clock, settings=Settings(keys={"today.plan": "n"}))
    async with app.run_test(size=SIZE, notifications=True) as pilot:
        await pilot.pause()
        said = [str(each.message) for each in app._notifications]
        await pilot.press("p")
        assert isinstance(app.screen, PlanScreen)

    assert any("today.plan" in each for each in said)


async def test_without_colour_the_plain_theme_is_used(
    store: Store, clock: ManualClock
) -> None:
    """And every page is drawn in black, white and greys."""
    app = made_app(store, clock, no_color=True)
    async with app.run_test(size=SIZE) as pilot:
        await pilot.pause()
        strips = app.screen._compositor.render_strips(app.screen.size)
        colours = {
            colour.get_truecolor()
            for strip in strips
            for segment in strip
            if segment.style is not None
            for colour in (segment.style.color, segment.style.bgcolor)
            if colour is not None
        }

    assert app.theme == "plain"
    assert all(len({*colour}) == 1 for colour in colours)


@pytest.mark.parametrize("reduced", [True, False])
async def test_reduced_motion_animates_nothing(
    store: Store, clock: ManualClock, reduced: bool
) -> None:
    """With it on, the framework glides nowhere."""
    app = made_app(store, clock, settings=Settings(reduced_motion=reduced))
    async with app.run_test(size=SIZE) as pilot:
        await pilot.pause()

        assert (app.animation_level == "none") is reduced


async def test_a_second_copy_may_look_but_not_train(
    store: Store, clock: ManualClock, tmp_path: Path
) -> None:
    """Without the lock the start says why, and nothing is written."""
    assert store.take_lock()
    from trainer.store import open_store

    with open_store(tmp_path / "trainer.db", clock=clock) as second:
        app = made_app(second, clock)
        async with app.run_test(size=SIZE, notifications=True) as pilot:
            await pilot.pause()
            await pilot.press("enter")
            await pilot.pause()
            assert isinstance(app.screen, TodayScreen)
            assert "Another copy" in text_of(app.screen.query_one("#day"))
            # A lasting line, not a notice that fades.
            assert [] == list(app._notifications)

        assert second.history().targets == ()


async def test_looking_and_a_start_that_comes_to_nothing_keep_nobody_from_training(
    store: Store, clock: ManualClock, tmp_path: Path
) -> None:
    """Today is open, and its start found another day: the other copy may train."""
    from trainer.store import open_store

    with open_store(tmp_path / "trainer.db", clock=clock) as second:
        app = made_app(store, clock)
        async with app.run_test(size=SIZE, notifications=True) as pilot:
            await pilot.pause()
            clock.advance(86400)
            await pilot.press("enter")
            await pilot.pause()
            said = [str(each.message) for each in app._notifications]

            assert any("another day" in each for each in said)
            assert second.take_lock()


async def test_the_palette_names_what_the_page_can_do(
    store: Store, clock: ManualClock
) -> None:
    """Each live key has its command, under the page's name; moving about has none."""
    app = made_app(store, clock)
    async with app.run_test(size=SIZE) as pilot:
        await pilot.pause()
        titles = [each.title for each in app.get_system_commands(app.screen)]

    assert "today: start" in titles
    assert "view: day" in titles
    assert "trainer: cautions" in titles
    assert not any("turn" in title for title in titles)


def test_the_zone_of_the_makers_is_the_clocks() -> None:
    """The made-up trainee's evening is the manual clock's evening."""
    assert MONDAY.astimezone(ZONE) == clock_at().wall()


async def test_the_mouse_does_what_the_keys_do(
    store: Store, clock: ManualClock
) -> None:
    """A key at the foot can be clicked, and a line, and once more to change it."""
    app = made_app(store, clock)
    async with app.run_test(size=SIZE) as pilot:
        await pilot.pause()
        at = frame(pilot).splitlines()[-1].index("Plan")
        await pilot.click(offset=(at, 23))
        await pilot.pause()
        assert isinstance(app.screen, PlanScreen)
        row = next(
            n for n, line in enumerate(frame(pilot).splitlines()) if "Order" in line
        )
        await pilot.click(offset=(24, row))
        await pilot.click(offset=(24, row))
        await pilot.pause()

        assert "order: in-turn → hang-first" in text_of(app.screen.query_one("#beside"))


async def test_another_theme_is_put_on_and_kept(
    store: Store, clock: ManualClock, tmp_path: Path
) -> None:
    """By the palette's command; the settings file has it for the next start."""
    app = made_app(store, clock)
    async with app.run_test(size=SIZE) as pilot:
        await pilot.pause()
        app.keep_theme("day")
        await pilot.pause()
        assert app.theme == "day"

    assert read_settings(tmp_path / "settings.toml").theme == "day"


async def test_the_arrows_move_a_page_that_is_read(
    store: Store, clock: ManualClock
) -> None:
    """On a short window the end of Today is reached without a mouse."""
    app = made_app(store, clock)
    async with app.run_test(size=(60, 20)) as pilot:
        await pilot.pause()
        assert "Weeks" not in frame(pilot)
        await pilot.press(*["down"] * 30)
        await pilot.pause()

        assert "Weeks" in frame(pilot)


async def test_a_rest_week_asks_for_nothing(store: Store, clock: ManualClock) -> None:
    """Today says so, and there is nothing to start."""
    store.set_rest_week(IsoWeek(2026, 11), True)
    app = made_app(store, clock)
    async with app.run_test(size=SIZE) as pilot:
        await pilot.pause()
        said = text_of(app.screen.query_one("#day"))
        assert "enter Start" not in frame(pilot)
        await pilot.press("enter")

        assert isinstance(app.screen, TodayScreen)
    assert "Nothing is to be done this week." in said


async def test_a_coachs_cue_is_written_as_it_is_typed(
    store: Store, clock: ManualClock
) -> None:
    """Brackets stay brackets, and neither page nor slip takes them for markup."""
    app = made_app(store, clock, start="plan")
    async with app.run_test(size=SIZE) as pilot:
        await pilot.pause()
        await pilot.press(*["down"] * 11, "w", "end")
        await pilot.press(*" [@click=app.quit]x[/]", "enter")
        await pilot.pause()
        await pilot.press("enter")
        await pilot.pause()
        await pilot.press("enter")
        await pilot.pause()

    assert "Ribs down first [/] [b] [@click=app.quit]x[/]" == (
        store.plan().exercises[0].cue
    )


async def test_a_fault_that_can_be_told_ends_nothing(
    store: Store, clock: ManualClock
) -> None:
    """A data file that another program writes to is said in a sentence; all stays."""
    app = made_app(store, clock, start="plan")
    async with app.run_test(size=SIZE, notifications=True) as pilot:
        await pilot.pause()
        with closing(sqlite3.connect(store.path, isolation_level=None)) as other:
            other.execute("BEGIN IMMEDIATE")
            await pilot.press("k")
            await pilot.pause()
            other.execute("ROLLBACK")
        said = [str(each.message) for each in app._notifications]

        assert isinstance(app.screen, PlanScreen)
    assert store.history().rest_weeks == frozenset()
    assert len(said) == 1

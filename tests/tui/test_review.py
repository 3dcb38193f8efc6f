"""The review screen: pictures by key, tables, periods, and holds corrected from it."""

from __future__ import annotations

import functools
import re
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from datetime import date, datetime, timedelta, timezone
from pathlib import Path
from uuid import UUID

import pytest
from textual.containers import VerticalScroll
from textual.pilot import Pilot
from textual.widgets import Static

from tests.tui.desk import clock_at, frame, made_app, made_store, settle
from trainer.core.answers import NAME_KEY
from trainer.core.clock import ManualClock
from trainer.core.model import EndedBy, Felt, Hold, Session, SessionKind, Site
from trainer.core.review.answers import ASKED, Question
from trainer.demo.trainee import MadeUp, fill, made_up
from trainer.store import Store
from trainer.tui.screens.review import ReviewScreen, SessionsScreen
from trainer.tui.screens.summary import SummaryScreen
from trainer.tui.theme import PLAIN

TODAY = date(2026, 11, 25)
NOON = datetime(2026, 11, 25, 12, tzinfo=timezone.utc)
HOSTILE = "[/] [b]bold[/b] [@click=app.quit]x[/] \x1b[31m"


@functools.cache
def trainee() -> MadeUp:
    """Give the made-up trainee, made up once."""
    return made_up(TODAY)


@pytest.fixture
def clock() -> ManualClock:
    """Give a clock that stands on a Wednesday noon."""
    return clock_at(NOON)


@pytest.fixture
def store(tmp_path: Path, clock: ManualClock) -> Iterator[Store]:
    """Give the made-up trainee's file."""
    with made_store(tmp_path, clock) as made:
        fill(made, trainee())
        yield made


async def opened(pilot: Pilot[int]) -> ReviewScreen:
    """Open the review from Today and wait until it has looked back."""
    await pilot.press("r")
    await settled(pilot)
    screen = pilot.app.screen
    assert isinstance(screen, ReviewScreen)
    return screen


async def settled(pilot: Pilot[int]) -> None:
    """Wait until nothing is worked out any more."""
    await pilot.pause()
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()


@pytest.mark.parametrize("size", [(60, 20), (80, 24), (100, 30), (200, 60)])
async def test_every_picture_is_there_at_every_size(
    store: Store, clock: ManualClock, size: tuple[int, int]
) -> None:
    """Turning leads through all pictures and back to the first, at any window.

    No row of a picture is wider than its place, with a scrollbar beside it or without.
    """
    async with made_app(store, clock).run_test(size=size) as pilot:
        screen = await opened(pilot)
        seen = []
        for _ in range(len(screen._leaves)):
            assert screen.leaf is not None
            seen.append(screen.leaf.id)
            text = frame(pilot)
            assert screen.leaf.title in text
            for said in screen.leaf.sentences[:1]:
                assert said.split()[0] in text
            picture = screen.query_one("#picture", Static)
            for row in str(picture.visual).splitlines():
                assert len(row) <= picture.size.width, f"it breaks: {row}"
            await pilot.press("right")
        assert [
            "answers",
            "days",
            "kept-hang",
            "kept-press",
            "overhead",
            "felt",
            "pain",
        ] == seen
        assert screen.leaf is not None
        assert "answers" == screen.leaf.id


async def test_a_picture_and_its_sentence_at_eighty_columns(
    store: Store, clock: ManualClock
) -> None:
    """Kept against target: the sentence, the labelled line, the row of early ends."""
    async with made_app(store, clock).run_test(size=(80, 24)) as pilot:
        await opened(pilot)
        await pilot.press("right", "right")
        text = " ".join(frame(pilot).split())

    assert "Passive hang: best kept 45 s in four weeks, up 15 s on the four" in text
    assert "target 45 s" in text
    assert "early" in text
    assert "█" in text


async def test_every_picture_has_its_table_on_one_key(
    store: Store, clock: ManualClock
) -> None:
    """``t`` shows the figures, ``t`` again the picture."""
    async with made_app(store, clock).run_test(size=(100, 30)) as pilot:
        await opened(pilot)
        await pilot.press("right", "right", "t")
        table = frame(pilot)
        await pilot.press("t")
        picture = frame(pilot)

    assert "kept, mean" in table
    assert "23 Nov 2026" in table
    assert "kept, mean" not in picture


async def test_a_low_back_that_keeps_turning_up_is_said_over_the_map(
    tmp_path: Path, clock: ManualClock
) -> None:
    """On the first page in one line; on the Felt page first, on a small window too."""
    with made_store(tmp_path, clock) as store:
        settle(store)
        for back in range(3):
            began = NOON - timedelta(days=2 * back + 1)
            hold = Hold(
                uid=str(UUID(int=back)),
                exercise="hang",
                set_number=1,
                held_s=30,
                ended_by=EndedBy.ADDED,
                started_at=began,
                felt=(Felt(Site.LOW_BACK, strength=7),),
            )
            store.add_hold(hold, at=began, has_time=True)
        async with made_app(store, clock).run_test(size=(80, 24)) as pilot:
            screen = await opened(pilot)
            first = frame(pilot)
            while screen.leaf is not None and screen.leaf.id != "felt":
                await pilot.press("right")
            await pilot.pause()
            felt = frame(pilot)

    assert "where a hold shouldn't load: low back" in " ".join(first.split())
    assert "page 1 of" in first
    assert "Low back felt in 3 of 3 sessions" in felt
    assert felt.index("Low back felt in") < felt.index("Mostly felt in")


async def test_the_period_changes_on_one_key(store: Store, clock: ManualClock) -> None:
    """Weeks, months, all, and weeks again; the picture stays the one that was open."""
    async with made_app(store, clock).run_test(size=(100, 30)) as pilot:
        screen = await opened(pilot)
        await pilot.press("right", "right")
        found = []
        for _ in range(4):
            assert screen._found is not None
            assert screen.leaf is not None
            found.append((screen._found.weeks, screen.leaf.id))
            await pilot.press("w")
            await settled(pilot)

    assert [12, 20, 20, 12] == [weeks for weeks, _ in found]
    assert {"kept-hang"} == {section for _, section in found}


async def test_a_hold_is_corrected_from_the_review_and_the_review_knows(
    store: Store, clock: ManualClock
) -> None:
    """Session opened, held lowered, correction recorded, best kept told anew."""
    async with made_app(store, clock).run_test(size=(100, 30)) as pilot:
        screen = await opened(pilot)
        await pilot.press("s")
        await pilot.pause()
        assert isinstance(pilot.app.screen, SessionsScreen)
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(pilot.app.screen, SummaryScreen)
        await pilot.press("e")
        await pilot.pause()
        await pilot.press(*"52", "enter")
        await pilot.pause()
        await pilot.press("escape")
        await pilot.pause()
        await pilot.press("escape")
        await settled(pilot)
        assert pilot.app.screen is screen
        await pilot.press("right", "right")
        text = " ".join(frame(pilot).split())

    newest = store.history().sessions[-1]
    assert 52 == newest.holds[0].held_s
    with closing(sqlite3.connect(store.path)) as db:
        recorded = db.execute(
            "SELECT what, from_json, to_json FROM corrections WHERE hold_uid = ?",
            [newest.holds[0].uid],
        ).fetchall()
    assert ("held_s", "45.0", "52.0") in [
        (what, str(float(before)), str(float(after)))
        for what, before, after in recorded
        if what == "held_s"
    ]
    assert "Passive hang: best kept 52 s" in text


async def test_made_up_is_said_on_every_page(store: Store, clock: ManualClock) -> None:
    """Review, its sessions and one session's page all say that nobody is behind it."""
    async with made_app(store, clock).run_test(size=(80, 24)) as pilot:
        await opened(pilot)
        pages = [frame(pilot)]
        await pilot.press("s")
        await pilot.pause()
        pages.append(frame(pilot))
        await pilot.press("enter")
        await pilot.pause()
        pages.append(frame(pilot))

    assert all("made up" in page for page in pages)


async def test_the_trainees_name_heads_every_page(
    store: Store, clock: ManualClock
) -> None:
    """Small, as data, and short enough to leave room for what stands beside it."""
    store.set_answer(NAME_KEY, "[b]Mira of the very long made-up name")
    async with made_app(store, clock).run_test(size=(60, 20)) as pilot:
        await opened(pilot)
        await pilot.press("s")
        await pilot.pause()
        text = frame(pilot)

    assert "([b]Mira of the very..., made up)" in text


async def test_nothing_logged_is_said(tmp_path: Path, clock: ManualClock) -> None:
    """An empty log opens to one sentence, without pictures to turn to."""
    with made_store(tmp_path, clock) as empty:
        settle(empty)
        async with made_app(empty, clock).run_test(size=(80, 24)) as pilot:
            await opened(pilot)
            text = frame(pilot)
            await pilot.press("right", "t", "s", "w")
            await settled(pilot)

            assert isinstance(pilot.app.screen, ReviewScreen)
    assert "No holds in these weeks yet." in text
    assert "made up" not in text


async def test_without_colour_nothing_is_lost(store: Store, clock: ManualClock) -> None:
    """On the colourless theme the same words and glyphs stand on the screen."""
    texts = []
    for no_color in (False, True):
        app = made_app(store, clock, no_color=no_color)
        async with app.run_test(size=(80, 24)) as pilot:
            await opened(pilot)
            await pilot.press("right")
            texts.append(frame(pilot))
            assert (app.theme == PLAIN) is no_color

    assert texts[0] == texts[1]


async def test_a_hostile_note_is_text(tmp_path: Path, clock: ManualClock) -> None:
    """A note full of markup neither crashes the pages nor is obeyed."""
    with made_store(tmp_path, clock) as store:
        settle(store)
        begun = datetime(2026, 11, 24, 17, tzinfo=timezone.utc)
        store.begin_session(
            Session(
                uid="11111111-1111-4111-8111-111111111111",
                kind=SessionKind.PLAN,
                started_at=begun,
                utc_offset_min=0,
                local_date=begun.date(),
                note=HOSTILE,
            )
        )
        store.save_hold(
            "11111111-1111-4111-8111-111111111111",
            Hold(
                uid="22222222-2222-4222-8222-222222222222",
                exercise="hang",
                set_number=1,
                held_s=20,
                target_s=20,
                ended_by=EndedBy.TARGET,
                started_at=begun,
                note=HOSTILE,
            ),
        )
        async with made_app(store, clock).run_test(size=(100, 30)) as pilot:
            await opened(pilot)
            await pilot.press("s")
            await pilot.pause()
            text = frame(pilot)
            await pilot.press("enter")
            await pilot.pause()
            holds = frame(pilot)

    assert "[b]bold[/b]" in text
    assert "[b]bold[/b]" in holds.replace("\n", "")


async def test_the_forecasts_follow_the_first_page(
    store: Store, clock: ManualClock
) -> None:
    """Once they are worked out, the page of what lies ahead has them."""
    async with made_app(store, clock).run_test(size=(120, 40)) as pilot:
        screen = await opened(pilot)
        while screen.leaf is not None and screen.leaf.id != "overhead":
            await pilot.press("right")
        text = " ".join(frame(pilot).split())

    assert screen._found is not None
    assert screen._found.forecasts
    assert "80 % range" in text
    assert re.search(r"60 s +\d+ \w{3} 20\d\d", text)


@pytest.mark.parametrize("size", [(80, 24), (100, 30)])
async def test_the_five_answers_stand_on_one_screen(
    store: Store, clock: ManualClock, size: tuple[int, int]
) -> None:
    """All five questions without scrolling, open pain first, with its figures."""
    async with made_app(store, clock).run_test(size=size) as pilot:
        screen = await opened(pilot)
        text = frame(pilot)
        assert screen.query_one("#page", VerticalScroll).max_scroll_y == 0

    places = [text.index(asked) for asked in ASKED.values()]
    assert min(places) == text.index(ASKED[Question.HURTS])
    assert "left wrist" in text
    assert "days done that were due" in " ".join(text.split())


async def test_every_pain_is_on_a_page_of_its_own(
    store: Store, clock: ManualClock
) -> None:
    """The last page: each day, place and side, the exercise, and that it is open."""
    async with made_app(store, clock).run_test(size=(100, 30)) as pilot:
        await opened(pilot)
        await pilot.press("left")
        text = frame(pilot)

    assert "6 Nov 2026: pain, left wrist" in text
    assert "4 Nov 2026: pain, left wrist" in text
    assert "stopped; open" in text


async def test_what_is_found_too_late_is_dropped(
    store: Store, clock: ManualClock
) -> None:
    """Left while it looks back, with the window changed: it ended the program."""
    async with made_app(store, clock).run_test(size=(80, 24)) as pilot:
        screen = await opened(pilot)
        found = screen._found
        assert found is not None
        screen.show_when_laid_out(screen._show)
        await screen.dismiss()
        screen._take(found)
        await settled(pilot)

        assert screen.was_left

"""Every page at every size, in every theme, and on terminals that lack characters.

One walk leads through all pages, another through a session. At each stop the page is
looked at in each size and theme; what a picture would show a person is asserted from
the cells themselves: nothing cut off, the seconds to be read, the keys named, every
pair of colours.
"""

from __future__ import annotations

import itertools
import os
import shutil
import string
from collections.abc import AsyncIterator, Iterator
from contextlib import contextmanager
from datetime import date, datetime, timezone
from pathlib import Path
from typing import Any

import pytest
from textual.color import Color
from textual.content import Content
from textual.pilot import Pilot
from textual.screen import Screen
from textual.widget import Widget
from textual.widgets import Static

from tests.tui.desk import clock_at, frame, made_app, made_store
from tests.tui.session.session_rig import Rig, one_set, rig
from tests.tui.test_theme import ratio
from trainer.core.session.state import Phase
from trainer.demo.trainee import fill, made_up
from trainer.store import Store, open_store
from trainer.tui import theme
from trainer.tui.screens.page import Page
from trainer.tui.session.big_digits import big_rows
from trainer.tui.widgets.keyline import KeyLine

SIZES = ((60, 20), (80, 24), (100, 30), (200, 60))
EVERY = os.environ.get("EVERY_SIZE") == "1"
TEXT_CONTRAST = 4.5
"""Of words: W3C, WCAG 2.x, success criterion 1.4.3."""
FLASHES = 3
FRAME_S = 0.05
"""The screen looks twenty times a second at most."""
FEWEST_WORDS = 8
ON_EVERY_TERMINAL = frozenset(string.printable)
NOON = datetime(2026, 11, 25, 12, tzinfo=timezone.utc)
PAGES = {
    "today": [],
    "help": ["question_mark"],
    "cautions": ["f2"],
    "next week": ["n"],
    "plan": ["p"],
    "an entry of the plan, changed": ["down", "down", "down", "down", "right"],
    "review": ["r"],
    **{f"review, page {number}": ["right"] for number in range(2, 8)},
    "review, a table": ["t"],
    "sessions": ["s"],
    "a session": ["enter"],
    "a hold, corrected": ["enter"],
    "sound": ["s"],
    "the sounds, one by one": ["l"],
    "first day": ["f"],
    "an exercise alone": ["e"],
    "angle checks": ["a"],
    "find": ["ctrl+p"],
}
"""Each stop of the walk, with the keys that lead there."""
ON_FROM_THE_LAST = frozenset(
    {
        "an entry of the plan, changed",
        *(name for name in PAGES if name.startswith("review, ")),
        "sessions",
        "a session",
        "a hold, corrected",
    }
)
"""Stops that are reached from the one before; to all others it goes from Today."""


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Make the made-up trainee's file once."""
    folder = tmp_path_factory.mktemp("demo")
    with made_store(folder, clock_at(NOON)) as store:
        fill(store, made_up(date(2026, 11, 25)))
    return folder / "trainer.db"


@contextmanager
def a_copy(demo: Path, folder: Path) -> Iterator[Store]:
    """Open a copy of the file in FOLDER."""
    path = Path(shutil.copy(demo, folder / "trainer.db"))
    with open_store(path, clock=clock_at(NOON)) as store:
        yield store


async def settled(pilot: Pilot[int]) -> None:
    """Wait until nothing is worked out any more."""
    await pilot.pause()
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()


async def walk(pilot: Pilot[int]) -> AsyncIterator[str]:
    """Lead through the pages; gives the name of each when it stands there."""
    app = pilot.app
    for name, keys in PAGES.items():
        if name not in ON_FROM_THE_LAST:
            while len(app.screen_stack) > 1:
                app.pop_screen()
        await pilot.press(*keys)
        await settled(pilot)
        yield name


async def walk_session(session: Rig) -> AsyncIterator[str]:
    """Lead through a session; gives the name of each moment."""
    await session.wait(2)
    yield "set-up"
    await session.wait(10)
    yield "hold"
    await session.press("u")
    yield "hold, turned over"
    await session.wait_for(Phase.COME_OUT)
    yield "come-out"
    await session.wait_for(Phase.LOG_AND_REST)
    yield "log"
    await session.press("f")
    await session.press("a", "6")
    yield "felt"
    await session.press("escape", "p")
    yield "hurts"
    await session.press("escape", "w")
    yield "pause"
    await session.press("enter")
    await session.wait_for(Phase.SET_UP)
    await session.press("ctrl+q")
    yield "leaving"


def cut_off(screen: Screen[Any]) -> list[str]:
    """Give the texts on the page that have less room than they need, and no scroll."""
    found = []
    for each in screen.query(Static):
        content, room = each.content, each.content_size
        if not isinstance(content, Content) or not each.region or not room.width:
            continue
        wraps = each.styles.text_wrap == "wrap"
        wanted = len(content.wrap(room.width)) if wraps else 1
        placed = screen.find_widget(each)
        scrolls = any(
            isinstance(above, Widget) and above.allow_vertical_scroll
            for above in each.ancestors
        )
        hidden = not scrolls and placed.visible_region != placed.region
        if wanted > room.height or hidden:
            found.append(f"{each!r}: {content.plain!r} in {room}")
    found += [
        f"{each!r} is broader than its place"
        for each in screen.walk_children()
        if isinstance(each, Widget) and each.show_horizontal_scrollbar
    ]
    return found


def dim(screen: Screen[Any]) -> list[str]:
    """Give the words whose ink is too near to their ground."""
    found = []
    # Under a slip the page is dimmed on purpose: it is not to be read then.
    over = screen.children[0].region if screen.is_modal else screen.region
    for strip in screen._compositor.render_strips(screen.size)[over.y : over.bottom]:
        for segment in strip.crop(over.x, over.right):
            style = segment.style
            if style is None or not any(map(str.isalnum, segment.text)):
                continue
            assert style.color is not None
            assert style.bgcolor is not None
            ink, ground = style.color, style.bgcolor
            if style.reverse:
                ink, ground = ground, ink
            told = ratio(Color.from_rich_color(ink), Color.from_rich_color(ground))
            if told < TEXT_CONTRAST:
                found.append(
                    f"{segment.text!r} {ink.name} on {ground.name}: {told:.1f}"
                )
    return found


def looked_at(pilot: Pilot[int], seen: str) -> list[str]:
    """Give what is wrong with the page as it stands; SEEN is its text."""
    screen = pilot.app.screen
    wrong = [*cut_off(screen), *dim(screen)]
    if len(set(seen.split())) < FEWEST_WORDS:
        wrong.append("hardly anything stands there")
    if isinstance(screen, Page):
        keys = screen.query_one(KeyLine)
        named = seen.splitlines()[-1] if keys.region else ""
        if "Help" not in named:
            wrong.append("the foot doesn't name the key of the help")
    return wrong


def turn_of(number: int) -> list[tuple[tuple[int, int], str]]:
    """Give the sizes and themes at which a stop is looked at.

    In the suite one: the sizes take turns, and so do the themes, each for as many stops
    as there are sizes, since another theme styles everything anew. All with
    ``EVERY_SIZE=1``.
    """
    if EVERY:
        return list(itertools.product(SIZES, theme.NAMES))
    turn, size = divmod(number, len(SIZES))
    return [(SIZES[size], theme.NAMES[turn % len(theme.NAMES)])]


async def test_every_page_at_every_size_in_every_theme(
    demo: Path, tmp_path: Path
) -> None:
    """Nothing is cut off, every word can be told from its ground, keys are named."""
    wrong = []
    with a_copy(demo, tmp_path) as store:
        app = made_app(store, clock_at(NOON))
        async with app.run_test(size=SIZES[0]) as pilot:
            number = 0
            async for stop in walk(pilot):
                for size, name in turn_of(number):
                    app.theme = name
                    await pilot.resize_terminal(*size)
                    await pilot.pause()
                    where = f"{stop}, {size}, {name}"
                    faults = looked_at(pilot, frame(pilot))
                    wrong += [f"{where}: {each}" for each in faults]
                number += 1

    assert [] == wrong


async def test_every_page_in_ascii(
    demo: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The kernel's console is drawn on in characters that it has, none as a ``?``."""
    monkeypatch.setenv("TERM", "linux")
    wrong = []
    with a_copy(demo, tmp_path) as store:
        async with made_app(store, clock_at(NOON)).run_test(size=(80, 24)) as pilot:
            async for stop in walk(pilot):
                seen = frame(pilot)
                foreign = set(seen) - ON_EVERY_TERMINAL
                faults = [*cut_off(pilot.app.screen), *sorted(foreign)]
                if "??" in seen:
                    faults.append("something is drawn as question marks")
                wrong += [f"{stop}: {each}" for each in faults]

    assert [] == wrong


@pytest.mark.parametrize("terminal", ["xterm-256color", "linux"])
async def test_a_session_at_every_size(
    terminal: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The state, the seconds large and plain: on every terminal, at every size."""
    monkeypatch.setenv("TERM", terminal)
    in_ascii = terminal == "linux"
    sets = [one_set("hang", 20, number=n, sets=2, rest_s=120) for n in (1, 2)]
    async with rig(tmp_path, sets, reduced_motion=in_ascii) as session:
        number = 0
        async for moment in walk_session(session):
            sizes = SIZES if moment == "hold" else [SIZES[number % len(SIZES)]]
            for size in sizes:
                where = f"{moment}, {size}"
                await session.pilot.resize_terminal(*size)
                await session.pilot.pause()
                seen = session.seen()
                faults = [*cut_off(session.screen), *dim(session.screen)]
                if in_ascii:
                    faults += sorted(set(seen) - ON_EVERY_TERMINAL)
                assert [] == faults, where
                assert "??" not in seen, where
                if moment == "hold":
                    _has_the_hold(seen, in_ascii=in_ascii)
            number += 1


def _has_the_hold(seen: str, *, in_ascii: bool) -> None:
    """See the hold in a frame: in words, in plain figures and in large ones."""
    words = (
        *("HOLD", "18 s left of 20 s", "breathe in", "any key: down early"),
        "Let the weight lengthen you.",
    )
    assert all(each in seen for each in (*words, "next: rest 120 s")), seen
    blocks = "#" if in_ascii else "█▀▄▌▐"
    body = seen.splitlines()[2:]  # the heading is ruled with the same sign
    rows = sum(any(block in row for block in blocks) for row in body)
    assert rows >= 7
    for row in big_rows("18", rows, in_ascii=in_ascii):
        assert row.strip() in seen


async def test_nothing_flashes(tmp_path: Path) -> None:
    """No cell goes bright and dark more than three times in any second.

    WCAG 2.x, 2.3.1: at most three flashes in one second; a flash is a pair of opposing
    changes. Counted for each cell by itself, which is stricter than by area.
    """
    a_second = round(1 / FRAME_S)
    async with rig(tmp_path, [one_set("hang", 20)]) as session:
        await session.wait(8)
        log = []
        for _ in range(4 * a_second):
            session.clock.advance(FRAME_S)
            session.screen.look()
            await session.pilot.pause()
            log.append([char != " " for char in _cells(session)])
    changes = [
        [a != b for a, b in zip(before, after, strict=True)]
        for before, after in itertools.pairwise(log)
    ]
    most = max(
        sum(cell)
        for start in range(len(changes) - a_second + 1)
        for cell in zip(*changes[start : start + a_second], strict=True)
    )

    assert any(map(any, changes))
    assert most <= 2 * FLASHES


def _cells(session: Rig) -> str:
    """Give the screen's characters, cell by cell."""
    columns, rows = session.screen.size
    lines = session.seen().splitlines()
    return "".join(line.ljust(columns) for line in lines).ljust(columns * rows)

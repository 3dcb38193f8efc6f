"""A data file that can't be written while a session runs: a real lock by another
connection, as a second program would hold it."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from tests.tui.desk import text_of
from tests.tui.session.session_rig import Rig, one_set, rig
from trainer.core.model import SessionKind
from trainer.core.session.state import Phase
from trainer.errors import ExitCode
from trainer.tui.screens.help import HelpScreen
from trainer.tui.widgets.slip import Choices

PUSHUP = (one_set("press-pushup", 8),)


@contextmanager
def locked(path: Path) -> Iterator[sqlite3.Connection]:
    """Hold the file so that nobody else can write or read it."""
    other = sqlite3.connect(path, isolation_level=None)
    other.execute("BEGIN EXCLUSIVE")
    try:
        yield other
    finally:
        if other.in_transaction:
            other.execute("ROLLBACK")
        other.close()


async def to_the_last_second(session: Rig) -> None:
    """Let the only hold run nearly to its end: every locked write takes its time."""
    await session.wait(8 + 8 - 0.5)
    assert session.is_in(Phase.HOLD)


async def to_the_end(session: Rig) -> None:
    """Let the hold end, and the time in which a key would mean down earlier."""
    await session.wait_for(Phase.DONE)


async def test_what_waits_to_be_saved_is_seen_until_it_is(tmp_path: Path) -> None:
    """The foot counts it while the session runs, and says nothing once it is saved."""
    async with rig(tmp_path, PUSHUP) as session:
        await to_the_last_second(session)
        with locked(session.store.path):
            await session.wait_for(Phase.COME_OUT)
            assert "not saved yet" in session.seen()
        await session.wait(2)

        assert "not saved yet" not in session.seen()
        assert [8.0] == [hold.held_s for hold in session.logged()]


async def test_enter_again_and_again_leaves_no_unsaved_session(tmp_path: Path) -> None:
    """The end waits for the file: it says what isn't saved, and enter stays."""
    async with rig(tmp_path, PUSHUP) as session:
        await to_the_last_second(session)
        with locked(session.store.path):
            await to_the_end(session)
            await session.press("7")
            assert "not saved yet, tried again" in session.seen()

            await session.press("enter")
            await session.pilot.pause()
            assert session.covered
            asked = text_of(session.pilot.app.screen)
            assert "Press-away, push-up position, set 1, 8 s" in asked
            assert "Stay until it is saved" in session.seen()
            await session.press("enter")
            assert not session.covered
            assert not session.ended
        await session.wait(2)
        await session.press("enter")

        assert session.ended
        assert [(8.0, 7.0)] == [(hold.held_s, hold.rpe) for hold in session.logged()]
        assert [] == list(tmp_path.glob("unsaved-*"))


async def test_the_question_goes_when_all_is_saved(tmp_path: Path) -> None:
    """Nobody need answer what is settled."""
    async with rig(tmp_path, PUSHUP) as session:
        await to_the_last_second(session)
        with locked(session.store.path):
            await to_the_end(session)
            await session.press("enter")
            assert session.covered
        await session.wait(2)

        assert not session.covered
        assert not session.ended
        assert "all is saved" in session.seen()


async def test_who_leaves_all_the_same_has_it_in_a_file(tmp_path: Path) -> None:
    """The way out of the program: asked for, and the session is kept for import."""
    async with rig(tmp_path, PUSHUP) as session:
        await to_the_last_second(session)
        with locked(session.store.path):
            await to_the_end(session)
            await session.press("7", "ctrl+q")
            assert not session.pilot.app._exit
            await session.press("down", "enter")
            assert session.pilot.app._exit
            assert ExitCode.DATA == session.pilot.app.return_value
            left = session.screen.trainer.left_unsaved

    (kept,) = tmp_path.glob("unsaved-*.json")
    assert f"It is kept in {kept}: trainer data import takes it." in str(left)
    document = json.loads(kept.read_text("utf-8"))
    assert [(8.0, 7.0)] == [
        (hold["held_s"], hold["rpe"]) for hold in document["sessions"][0]["holds"]
    ]
    assert SessionKind.PLAN.value == document["sessions"][0]["kind"]


async def test_a_session_left_unsaved_for_today_is_said_at_the_end(
    tmp_path: Path,
) -> None:
    """However much later the program is left, it ends with the file's exit code."""
    async with rig(tmp_path, PUSHUP) as session:
        await to_the_last_second(session)
        with locked(session.store.path):
            await to_the_end(session)
            await session.press("enter", "down", "enter")
        assert session.ended
        program = session.pilot.app
        await program.run_action("leave")

        assert ExitCode.DATA == program.return_value


async def test_told_to_end_with_the_file_locked_it_is_kept_too(tmp_path: Path) -> None:
    """The system asks nothing and waits for nobody: the file beside has it all."""
    async with rig(tmp_path, PUSHUP) as session:
        await to_the_last_second(session)
        with locked(session.store.path):
            await to_the_end(session)
            await session.press("n")
            await session.write("half typed")
            session.screen.leave_at_once()

        (kept,) = tmp_path.glob("unsaved-*.json")
        document = json.loads(kept.read_text("utf-8"))
        assert "half typed" == document["sessions"][0]["holds"][0]["note"]


async def test_two_enters_at_once_leave_one_page(tmp_path: Path) -> None:
    """The second comes while the first closes the question: the session below stays."""
    async with rig(tmp_path, PUSHUP) as session:
        await to_the_last_second(session)
        with locked(session.store.path):
            await to_the_end(session)
            await session.press("enter")
            asked = session.pilot.app.screen.query_one(Choices)
            asked.action_select()
            asked.action_select()
            await session.pilot.pause()

            assert not session.covered
            assert not session.ended
            assert session.screen.is_running


async def test_a_page_that_is_told_twice_to_go_leaves_the_one_below(
    tmp_path: Path,
) -> None:
    """Whatever lies on top by then is another page."""
    async with rig(tmp_path, PUSHUP) as session:
        page = HelpScreen([], "Session")
        session.pilot.app.push_screen(page)
        await session.pilot.pause()
        page.action_back()
        page.action_back()
        await session.pilot.pause()

        assert not session.covered
        assert session.screen.is_running

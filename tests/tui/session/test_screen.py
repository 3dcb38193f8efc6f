"""The live session by keys: the real runner, a real file, a clock moved by hand."""

from __future__ import annotations

import gc
import os
import signal
from dataclasses import replace
from pathlib import Path

import pytest
from textual import events

from tests.tui.desk import frame
from tests.tui.session.session_rig import alone, one_set, rig, running
from trainer.core.clock import SystemClock
from trainer.core.exercises import BUILT_IN
from trainer.core.model import EndedBy, SessionKind, StoppedBy
from trainer.core.session.clearance import rehearsed
from trainer.core.session.program import SessionProgram
from trainer.core.session.state import Phase, SessionEnd
from trainer.settings.settings import Settings, read_settings
from trainer.sound.player import SilentPlayer
from trainer.store import open_store
from trainer.training.runner import SessionRunner
from trainer.tui.app import TrainerApp
from trainer.tui.session.big_digits import big_rows
from trainer.tui.session.figure import BigFigure
from trainer.tui.session.screen import SessionScreen

HANG = (one_set("hang", 30),)
TWO = (one_set("hang", 20), one_set("press-wall", 20))


async def test_a_session_needs_no_key_between_its_start_and_its_end(
    tmp_path: Path,
) -> None:
    """Set-up, hold, come-out, rest, the next set and done follow by themselves."""
    async with rig(tmp_path, TWO) as session:
        for phase in (
            Phase.SET_UP,
            Phase.HOLD,
            Phase.COME_OUT,
            Phase.LOG_AND_REST,
            Phase.SET_UP,
            Phase.HOLD,
            Phase.COME_OUT,
            Phase.DONE,
        ):
            await session.wait_for(phase)

        assert [20.0, 20.0] == [hold.held_s for hold in session.logged()]
        assert [EndedBy.TARGET] * 2 == [hold.ended_by for hold in session.logged()]
        assert [False, False] == [hold.confirmed for hold in session.logged()]

        await session.press("enter")

        assert session.ended
        assert session.ended[0] is not None
        assert SessionEnd.COMPLETE is session.ended[0].end


async def test_the_state_is_told_by_the_rule_under_the_heading(tmp_path: Path) -> None:
    """Dashed in a set-up, double in a pause, heavy in a hold."""
    rules: dict[Phase, str] = {}
    async with rig(tmp_path, HANG) as session:

        def note() -> None:
            heading = session.screen.query_one("#heading")
            rules[session.screen.phase] = heading.styles.border_bottom[0]

        note()
        await session.press("w")
        note()
        await session.press("enter")
        await session.wait(10.5)
        note()

    assert {
        Phase.SET_UP: "dashed",
        Phase.PAUSED: "double",
        Phase.HOLD: "heavy",
    } == rules


async def test_the_state_is_told_by_its_word_and_a_plain_number(tmp_path: Path) -> None:
    """Each phase says its name; the seconds stand there large and in plain words."""
    async with rig(tmp_path, TWO) as session:
        await session.wait(2)
        assert "SET-UP" in session.seen()
        assert "8 s to the hold" in session.seen()
        assert "Go up in 5 s." in session.seen()

        await session.wait(6)
        assert "Go up now" in session.seen()

        await session.wait(4)
        assert "HOLD" in session.seen()
        assert "18 s left of 20 s" in session.seen()
        assert "breathe in 2" in session.seen()
        assert "Let the weight lengthen you." in session.seen()
        assert "next: rest 60 s, then Wall press-away, 20 s" in session.seen()
        for row in big_rows("18", _rows_of(session.seen())):
            assert row.strip() in session.seen()

        await session.wait_for(Phase.COME_OUT)
        assert "COME-OUT" in session.seen()

        await session.wait_for(Phase.LOG_AND_REST)
        await session.wait(10)
        assert "REST" in session.seen()
        assert "50 s of 60 s left" in session.seen()
        assert "Wall press-away, 20 s" in session.seen()


def _rows_of(seen: str) -> int:
    """Count the rows that the large figures take."""
    return sum(any(block in row for block in "█▀▄▌▐") for row in seen.splitlines())


async def test_any_key_ends_a_hold_less_the_come_down_allowance(tmp_path: Path) -> None:
    """A key at 20 s of a hang, 3 s to come down: 17 s held, and the log says why."""
    async with rig(tmp_path, HANG) as session:
        await session.wait(30)
        await session.press("pagedown")

        assert session.is_in(Phase.COME_OUT)
        assert 17.0 == session.logged()[0].held_s
        assert "key at 20 s, less 3 s allowance" in session.seen()

        await session.press("g")

        assert StoppedBy.GRIP is session.logged()[0].stopped_by


KEYS_OF_NOTHING = ("space", "pageup", "tab", "r")


async def test_every_key_that_isnt_bound_comes_down(tmp_path: Path) -> None:
    """A presenter's remote, a pedal or a hand on the keyboard: all the same."""
    sets = running("hang", 30, len(KEYS_OF_NOTHING) + 1)
    async with rig(tmp_path, sets) as session:
        for key in KEYS_OF_NOTHING:
            await session.wait_for(Phase.HOLD)
            await session.wait(10)
            await session.press(key)

            assert EndedBy.KEY is session.last.ended_by, key
            assert 7.0 == session.last.held_s, key
            await session.wait_for(Phase.LOG_AND_REST)
            await session.press("j")


async def test_a_key_counts_from_when_it_was_pressed(tmp_path: Path) -> None:
    """A screen that was held up for 0.7 s: the key was pressed 0.4 s ago, and a false
    start of 4.6 s is one although it is looked at after 5 s."""
    async with rig(tmp_path, running("hang", 30, 2)) as session:
        await session.wait_for(Phase.HOLD)
        await session.wait(4.5)
        session.clock.advance(0.7)
        session.screen.post_message(pressed_ago("x", 0.6))
        await session.pilot.pause()
        assert session.is_in(Phase.SET_UP)
        assert () == session.logged()

        await session.wait_for(Phase.HOLD)
        await session.wait(10)
        session.clock.advance(0.7)
        now_s, began_s = session.clock.now_s(), session.state.hold_began_at_s
        session.screen.post_message(pressed_ago("space", 0.4))
        await session.pilot.pause()
        assert began_s is not None
        assert session.last.key_s is not None
        # A busy machine may make it older, never younger; not older than the last look.
        assert 0.4 - 1e-6 <= now_s - began_s - session.last.key_s <= 0.7 + 0.1


def pressed_ago(key: str, seconds: float) -> events.Key:
    """Make a key that was pressed a while ago."""
    event = events.Key(key, None)
    event.time -= seconds
    return event


async def test_help_and_palette_open_nothing_in_a_hold(tmp_path: Path) -> None:
    """Nothing is put over a hold: such a key is a key like any other."""
    async with rig(tmp_path, HANG) as session:
        await session.wait(20)
        await session.press("question_mark")

        assert not session.covered
        assert session.is_in(Phase.COME_OUT)


async def test_a_key_in_set_up_means_not_yet(tmp_path: Path) -> None:
    """Thirty seconds more, as often as needed; a key held down counts once."""
    async with rig(tmp_path, HANG) as session:
        await session.wait(5)
        await session.press("space", "space", "space")
        assert "35 s to the hold" in session.seen()

        await session.wait(2)
        await session.press("space")
        assert "63 s to the hold" in session.seen()


async def test_a_false_start_is_set_up_again_and_can_be_undone(tmp_path: Path) -> None:
    """In the first five seconds x lets the hold count for nothing."""
    async with rig(tmp_path, (one_set("hang", 30), one_set("hang", 30))) as session:
        await session.wait(13)
        assert "x False start" in session.seen()
        await session.press("x")

        assert session.is_in(Phase.SET_UP)
        assert () == session.logged()

        await session.press("z")

        assert session.is_in(Phase.LOG_AND_REST)
        assert 1 == len(session.logged())


async def test_later_the_same_key_is_a_come_down(tmp_path: Path) -> None:
    """After five seconds x is a key like any other, and isn't offered any more."""
    async with rig(tmp_path, HANG) as session:
        await session.wait(20)
        assert "False start" not in session.seen()
        await session.press("x")

        assert 7.0 == session.last.held_s


async def test_down_earlier_right_after_a_hold_that_ended_by_itself(
    tmp_path: Path,
) -> None:
    """Somebody who drops at 28 of 30 s is not logged 30; one key undoes it."""
    async with rig(tmp_path, HANG) as session:
        await session.wait(41)
        assert "any other key: I was down earlier" in session.seen()
        await session.press("space")
        assert 28.0 == session.logged()[0].held_s

        await session.press("z")
        assert 30.0 == session.logged()[0].held_s


async def test_down_earlier_counts_after_the_last_come_out_too(tmp_path: Path) -> None:
    """An allowance longer than the come-out: enter is no summary while it lasts."""
    own = replace(
        one_set("hang", 14), exercise=replace(BUILT_IN["hang"], allowance_s=12)
    )
    async with rig(tmp_path, (own,)) as session:
        await session.wait_for(Phase.DONE)
        await session.wait(2)
        assert "any other key: I was down earlier" in session.seen()
        assert "Summary" not in session.seen()
        await session.press("enter")

        assert not session.ended
        assert (8.0, EndedBy.KEY) == (
            session.logged()[0].held_s,
            session.logged()[0].ended_by,
        )
        assert "enter Summary" in session.seen()

        await session.press("enter")
        assert session.ended


async def test_the_summary_opens_once_the_allowance_is_over(tmp_path: Path) -> None:
    """After it nothing is left of being down earlier: enter goes on."""
    own = replace(
        one_set("hang", 14), exercise=replace(BUILT_IN["hang"], allowance_s=12)
    )
    async with rig(tmp_path, (own,)) as session:
        await session.wait_for(Phase.DONE)
        await session.wait(12)
        assert "enter Summary" in session.seen()
        await session.press("enter")

        assert session.ended
        assert 14.0 == session.logged()[0].held_s


async def test_a_come_down_is_undone_only_while_one_comes_out(tmp_path: Path) -> None:
    """In the rest, or past the hold's time, no hold can go on: undo isn't offered."""
    async with rig(tmp_path, running("hang", 30, 3)) as session:
        await session.wait(20)
        await session.press("space")
        assert "z Undo come-down" in session.seen()
        await session.wait(5)
        assert session.is_in(Phase.LOG_AND_REST)
        assert "z Undo" not in session.seen()
        await session.press("z")
        assert "correct the seconds instead" in session.seen()
        assert [7.0] == [hold.held_s for hold in session.logged()]

        await session.wait_for(Phase.HOLD)
        await session.wait(28)
        await session.press("space")
        assert "z Undo come-down" in session.seen()
        await session.wait(3)
        assert session.is_in(Phase.COME_OUT)
        assert "z Undo" not in session.seen()


async def test_a_come_down_that_was_a_mistake_is_undone(tmp_path: Path) -> None:
    """Undo goes on with the hold while its time lasts."""
    async with rig(tmp_path, HANG) as session:
        await session.wait(20)
        await session.press("space")
        assert "z Undo" in session.seen()
        await session.press("z")

        assert session.is_in(Phase.HOLD)
        await session.wait_for(Phase.DONE)
        assert [30.0] == [hold.held_s for hold in session.logged()]


async def test_a_stay_counts_on_past_its_target(tmp_path: Path) -> None:
    """The seconds count up then, until a key or twice the target."""
    async with rig(tmp_path, (one_set("hang", 10, stay=True),)) as session:
        await session.wait(24)
        assert "14 s held, 10 s was the target" in session.seen()

        await session.wait_for(Phase.COME_OUT)
        assert EndedBy.LIMIT is session.last.ended_by
        assert 20.0 == session.last.held_s


async def test_a_stalled_screen_misses_nothing(tmp_path: Path) -> None:
    """Whatever the screen didn't look at is true at its next look, and the sound had
    been handed over before."""
    async with rig(tmp_path, HANG) as session:
        await session.wait(9)
        handed_over = len(session.player.sheets)
        session.clock.advance(1.9)
        session.screen.look()

        assert session.is_in(Phase.HOLD)
        assert 10.0 == session.state.hold_began_at_s
        assert handed_over == len(session.player.sheets)


async def test_pause_and_go_on_shift_the_rest(tmp_path: Path) -> None:
    """What was left of the rest is left after the pause."""
    async with rig(tmp_path, TWO) as session:
        await session.wait_for(Phase.LOG_AND_REST)
        await session.wait(20)
        await session.press("w")
        assert "PAUSED" in session.seen()
        assert "40 s of rest left" in session.seen()

        await session.wait(100)
        await session.press("enter")

        assert session.is_in(Phase.LOG_AND_REST)
        assert "40 s of 60 s left" in session.seen()


async def test_a_set_is_left_out_only_when_asked_twice(tmp_path: Path) -> None:
    """In a set-up the key asks; any other key is a no and not a not yet."""
    async with rig(tmp_path, TWO) as session:
        await session.wait(1)
        await session.press("j")
        assert "Leave this set out?" in session.seen()
        await session.press("space")
        assert "Leave this set out?" not in session.seen()
        assert "9 s to the hold" in session.seen()

        await session.press("j", "j")
        assert 1 == session.state.index
        assert session.is_in(Phase.SET_UP)

        await session.press("j", "j")
        assert session.is_in(Phase.DONE)
        assert "No hold was done." in session.seen()
        assert "All sets done." not in session.seen()


async def test_the_last_set_is_called_so(tmp_path: Path) -> None:
    """Where nothing comes next the foot says why."""
    async with rig(tmp_path, HANG) as session:
        await session.wait_for(Phase.HOLD)

        assert "last set" in session.seen()
        assert "next:" not in session.seen()


async def test_skip_and_end_early_keep_what_was_done(tmp_path: Path) -> None:
    """A rest can be skipped; the end is asked once, and any other key is a no."""
    async with rig(tmp_path, TWO) as session:
        await session.wait_for(Phase.LOG_AND_REST)
        await session.press("j")
        assert session.is_in(Phase.SET_UP)

        await session.press("q")
        assert "End the session here?" in session.seen()
        await session.press("k")
        assert session.is_in(Phase.SET_UP)
        assert "End the session here?" not in session.seen()

        await session.press("q", "q")
        assert session.is_in(Phase.DONE)
        assert 1 == len(session.logged())


async def test_the_way_out_asks_once_then_obeys(tmp_path: Path) -> None:
    """ctrl+q in a hold: a question, then the end; the hold is kept."""
    async with rig(tmp_path, HANG) as session:
        await session.wait(25)
        await session.press("ctrl+q")
        assert session.is_in(Phase.HOLD)
        assert "Leave?" in session.seen()
        await session.press("ctrl+q")

        assert [12.0] == [hold.held_s for hold in session.logged()]
        assert session.pilot.app._exit


async def test_the_way_out_asks_through_whatever_lies_over_the_page(
    tmp_path: Path,
) -> None:
    """ctrl+q on the help, or on what lies over that: a session is under way below."""
    async with rig(tmp_path, TWO) as session:
        await session.wait_for(Phase.LOG_AND_REST)
        await session.press("question_mark", "ctrl+p")
        await session.press("ctrl+q")

        assert not session.pilot.app._exit
        assert not session.covered
        assert "Leave?" in session.seen()

        await session.press("ctrl+q")
        assert session.pilot.app._exit


@pytest.mark.skipif(os.name == "nt", reason="the loop takes no signals there")
@pytest.mark.parametrize("name", ["SIGTERM", "SIGHUP"])
async def test_told_to_end_it_keeps_what_is_half_said(
    tmp_path: Path, name: str
) -> None:
    """A half-typed note is in the file, the session has its end, the code is 130."""
    async with rig(tmp_path, HANG) as session:
        app = session.pilot.app
        assert isinstance(app, TrainerApp)
        app._leave_when_told()  # the rig opens without the page that does this
        await session.wait_for(Phase.COME_OUT)
        await session.press("n")
        await session.write("half typed")
        os.kill(os.getpid(), getattr(signal, name))
        await session.pilot.pause(0.1)

        assert 130 == app.return_code
        assert "half typed" == session.logged()[0].note
        ended = session.store.session(session.screen.runner.session_uid)
        assert ended is not None
        assert ended.ended_at is not None


async def test_told_to_end_in_a_hold_it_leaves_the_hold_in_the_journal(
    tmp_path: Path,
) -> None:
    """The next start can offer to keep its last second."""
    async with rig(tmp_path, HANG) as session:
        await session.wait(25)
        session.screen.leave_at_once()

        unfinished = session.store.unfinished()
        assert unfinished is not None
        assert 15.0 == unfinished.hold.held_s


async def test_whatever_lies_over_the_page_goes_when_a_set_up_begins(
    tmp_path: Path,
) -> None:
    """The help may be read in a rest; it never hides a set-up or a hold."""
    async with rig(tmp_path, TWO) as session:
        await session.wait_for(Phase.LOG_AND_REST)
        await session.press("question_mark")
        assert session.covered

        await session.wait_for(Phase.SET_UP)

        assert not session.covered


async def test_a_gap_in_a_hold_is_asked_about(tmp_path: Path) -> None:
    """Nothing is invented: the last noted second is offered, one key takes it."""
    async with rig(tmp_path, TWO) as session:
        await session.wait(22)
        session.clock.sleep(600)
        session.screen.look()
        await session.pilot.pause()

        assert session.is_in(Phase.INTERRUPTED)
        assert "12 s were noted last" in session.seen()
        await session.press("enter")

        assert session.is_in(Phase.LOG_AND_REST)
        assert (12.0, EndedBy.INTERRUPTED, True) == (
            session.logged()[0].held_s,
            session.logged()[0].ended_by,
            session.logged()[0].confirmed,
        )


async def test_an_interrupted_hold_takes_another_figure(tmp_path: Path) -> None:
    """The person's own figure counts, typed."""
    async with rig(tmp_path, TWO) as session:
        await session.wait(22)
        session.clock.advance(60)
        session.screen.look()
        await session.press("t", "9", "enter")

        assert session.is_in(Phase.LOG_AND_REST)
        assert 9.0 == session.logged()[0].held_s


async def test_an_interrupted_hold_that_was_none_is_set_up_again(
    tmp_path: Path,
) -> None:
    """None of it: the hold is out, and its set comes again."""
    async with rig(tmp_path, TWO) as session:
        await session.wait(22)
        session.clock.advance(60)
        session.screen.look()
        await session.press("x")

        assert session.is_in(Phase.SET_UP)
        assert () == session.logged()


async def test_nobody_there(tmp_path: Path) -> None:
    """Three holds that nobody answered for pause the session; one key drops them."""
    async with rig(tmp_path, running("hang", 10, 4)) as session:
        await session.wait_for(Phase.PAUSED)
        assert "Three holds ended by themselves" in session.seen()
        assert 3 == len(session.logged())

        await session.press("x")
        assert () == session.logged()

        await session.press("enter")
        assert session.is_in(Phase.SET_UP)


async def test_nobody_there_takes_out_nothing_that_was_answered(
    tmp_path: Path,
) -> None:
    """Once the holds that nobody answered for are out, x isn't there any more."""
    async with rig(tmp_path, running("hang", 10, 5)) as session:
        await session.wait_for(Phase.LOG_AND_REST)
        await session.press("7")
        await session.wait_for(Phase.PAUSED)
        assert "x Didn't happen" in session.seen()

        await session.press("x")
        assert "Didn't happen" not in session.seen().splitlines()[-1]
        await session.press("x")

        assert [7.0] == [hold.rpe for hold in session.logged()]


async def test_the_seconds_turn_over(tmp_path: Path) -> None:
    """u turns the figure by 180° for this exercise, in the hold and from go up on."""
    async with rig(tmp_path, (one_set("press-pike", 30),)) as session:
        await session.press("u")
        await session.wait(14)
        rows = _rows_of(session.seen())
        assert "28 s left of 30 s" in session.seen()
        for row in big_rows("28", rows, turned=True):
            assert row.strip() in session.seen()

        await session.press("u")
        for row in big_rows("28", rows):
            assert row.strip() in session.seen()
        assert session.is_in(Phase.HOLD)


async def test_figures_fit_a_place_that_became_smaller_unsaid(tmp_path: Path) -> None:
    """The hold's breath takes rows from the seconds. The framework may work out the new
    places before it lays out, for a widget that it doesn't know yet, finds no change
    then and tells of none; the seconds fit all the same."""
    async with rig(tmp_path, HANG) as session:
        await session.wait_for(Phase.SET_UP)
        figure = session.screen.query_one("#figure", BigFigure)
        before = figure.size.height
        while not session.is_in(Phase.HOLD):
            session.clock.advance(1)
            session.screen.look()
        session.screen._compositor._full_map_invalidated = True
        assert figure.region  # worked out here, and not by the layout that follows
        await session.pilot.pause()

        assert figure.size.height < before
        rows = _rows_of(session.seen())
        for row in big_rows("30", rows):
            assert row.strip() in session.seen()


async def test_upside_down_from_the_start_where_it_is_set(tmp_path: Path) -> None:
    """What the settings say of an exercise holds without a key."""
    sets = (one_set("press-wall", 30),)
    async with rig(tmp_path, sets, upside_down=("press-wall",)) as session:
        await session.wait(22)

        rows = _rows_of(session.seen())
        for row in big_rows("28", rows, turned=True):
            assert row.strip() in session.seen()


async def test_what_was_turned_over_stays_so(tmp_path: Path) -> None:
    """The settings remember for which exercises the seconds were turned."""
    async with rig(tmp_path, (one_set("press-pike", 30),)) as session:
        await session.press("u")
        await session.wait_for(Phase.DONE)
        await session.wait(1)
        await session.press("enter")

        assert ("press-pike",) == read_settings(tmp_path / "settings.toml").upside_down


async def test_a_rehearsal_says_so_and_logs_nothing(tmp_path: Path) -> None:
    """REHEARSAL stands on the page; the file knows of no session."""
    async with rig(tmp_path, HANG, rehearsal=True) as session:
        assert "REHEARSAL" in session.seen()
        await session.wait_for(Phase.DONE)

        assert "REHEARSAL" in session.seen()
        assert () == session.store.history().sessions


async def test_keys_that_were_moved_are_shown_and_work(tmp_path: Path) -> None:
    """A remapped key stands at its line, and the old one is a key like any other."""
    settings = Settings(keys={"session.all-kept": "y", "session.turn": "f6"})
    async with rig(tmp_path, HANG, settings=settings) as session:
        await session.wait(20)
        assert "f6 Upside down" in session.seen()
        await session.press("u")
        assert session.is_in(Phase.COME_OUT)
        assert "y all" in session.seen()

        await session.press("y")
        assert 7.0 == session.last.kept_s


async def test_a_coachs_cue_comes_first_and_is_never_parsed(tmp_path: Path) -> None:
    """A cue is text, whatever is in it: in set-up, then in the hold for its turn."""
    sets = (one_set("hang", 60, cue="Ribs down [/] [b]first"),)
    async with rig(tmp_path, sets) as session:
        await session.wait(2)
        assert "Cue: Ribs down [/] [b]first" in session.seen()
        await session.wait(10)
        assert "Ribs down [/] [b]first" in session.seen()
        await session.wait(20)
        assert "Ribs down" not in session.seen()


async def test_before_its_first_hold_an_exercise_is_explained(tmp_path: Path) -> None:
    """Two plain lines in the first set-up of each exercise, and in no other."""
    first, second = BUILT_IN["press-pushup"].how
    async with rig(tmp_path, running("press-pushup", 4, 2), size=(80, 24)) as session:
        await session.wait(1)
        assert first in session.seen()
        assert second in session.seen()
        await session.wait_for(Phase.HOLD)
        assert first not in session.seen()
        await session.wait_for(Phase.SET_UP)

        assert first not in session.seen()


async def test_a_narrow_heading_keeps_its_counter_whole(tmp_path: Path) -> None:
    """The short name stands where the long one would crowd out which hold it is."""
    sets = (*running("press-pushup", 4, 2), one_set("hang", 20))
    for size, name in (
        ((60, 20), "Push-up press-away"),
        ((100, 30), "Press-away, push-up"),
    ):
        (folder := tmp_path / str(size[0])).mkdir()
        async with rig(folder, sets, size=size, rehearsal=True) as session:
            await session.wait(1)
            heading = session.seen().splitlines()[0]

            assert name in heading
            assert "REHEARSAL" in heading
            assert "set 1 of 2 · hold 1 of 3" in heading


async def test_a_window_that_is_too_small_still_counts(tmp_path: Path) -> None:
    """A session waits for no window: the word and the seconds are shown."""
    async with rig(tmp_path, HANG, size=(40, 10)) as session:
        await session.wait(12)

        assert "HOLD  28" in session.seen()


async def test_without_colour_the_words_are_the_same(tmp_path: Path) -> None:
    """No state is told by colour, so NO_COLOR takes nothing away."""
    frames = []
    for no_color in (False, True):
        folder = tmp_path / str(no_color)
        folder.mkdir()
        async with rig(folder, HANG, no_color=no_color) as session:
            await session.wait(12)
            frames.append(session.seen())

    assert frames[0] == frames[1]


async def test_less_motion_steps_the_breathing_line(tmp_path: Path) -> None:
    """With reduced motion the line stands still between its steps."""
    async with rig(tmp_path, HANG, reduced_motion=True) as session:
        await session.wait(12)
        before = session.seen()
        session.clock.advance(0.05)
        session.screen.look()
        await session.pilot.pause()

        assert before == session.seen()


async def test_the_screen_looks_by_itself(tmp_path: Path) -> None:
    """With its own ticker and a real clock a rehearsal runs through without a hand.

    Meanwhile the garbage collector starts at no moment of its own.
    """
    clock = SystemClock()
    with open_store(tmp_path / "trainer.db", clock=clock) as store:
        app = alone(store, clock)
        program = SessionProgram(
            kind=SessionKind.PLAN, sets=(one_set("press-pushup", 4),)
        )
        runner = SessionRunner(
            rehearsed(program),
            clock=clock,
            player=SilentPlayer(),
            log=None,
            pace=20,
        )
        async with app.run_test(size=(80, 24)) as pilot:
            screen = SessionScreen(runner)
            app.push_screen(screen)
            for _ in range(100):
                await pilot.pause(0.05)
                if screen.phase is Phase.DONE:
                    break

            assert screen.phase is Phase.DONE
            assert "All sets done." in frame(pilot)
            assert not gc.isenabled()
    assert gc.isenabled()


async def test_enter_out_of_habit_changes_no_hold(tmp_path: Path) -> None:
    """Enter in the first second after the target is nothing; another key is a word."""
    async with rig(tmp_path, running("hang", 30, 2)) as session:
        await session.wait_for(Phase.COME_OUT)
        await session.press("enter")
        assert 30.0 == session.last.held_s

        await session.press("space")
        assert EndedBy.KEY is session.last.ended_by
        assert "Down earlier" in session.seen()
        assert "z takes it back" in session.seen()

        await session.press("z")
        assert 30.0 == session.last.held_s
        await session.wait(2)
        await session.press("enter")
        assert EndedBy.KEY is session.last.ended_by

"""A session carried out: the machine, a real data file, and what is to be heard."""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Callable, Iterator
from datetime import date, datetime, timedelta, timezone
from pathlib import Path
from types import FrameType
from typing import Any

import pytest

from tests.cleared import through
from tests.core.session.sessions import program, program_set
from tests.new_files import new_store
from tests.store.makers import Makers
from trainer.core.answers import HEAD_UP, SHOULDER
from trainer.core.clock import ManualClock
from trainer.core.cues.cues import Cue
from trainer.core.model import EndedBy, Hold, Pain, PainKind, Side, Site
from trainer.core.safety import Person
from trainer.core.session.clearance import (
    NotClearedError,
    ask_gate,
    cleared,
    rehearsed,
)
from trainer.core.session.events import (
    AnswerPain,
    AnswerRpe,
    AnyKey,
    DidNotHappen,
    EndSession,
    FalseStart,
    OverridePain,
    Resolve,
    TakeBack,
)
from trainer.core.session.state import Phase
from trainer.errors import DataGoneError, DataWriteError
from trainer.sound.player import RecordingPlayer
from trainer.store import Store, open_store
from trainer.training.runner import SessionRunner
from trainer.training.unsaved import UnsavedFolder

TWO = program(program_set(), program_set(set_number=2))
LED = through(TWO)


@pytest.fixture
def clock() -> ManualClock:
    return ManualClock(seconds=1000.0)


@pytest.fixture
def store(tmp_path: Path, clock: ManualClock) -> Iterator[Store]:
    with new_store(tmp_path / "log.db", clock) as opened:
        yield opened


def lead(runner: SessionRunner, clock: ManualClock, seconds: float) -> None:
    """Let time pass in steps that no watch would call a gap."""
    until_s = clock.seconds + seconds
    while clock.seconds < until_s - 1e-9:
        clock.advance(min(0.5, until_s - clock.seconds))
        runner.tick()


def started(store: Store | None, clock: ManualClock) -> SessionRunner:
    runner = SessionRunner(LED, clock=clock, player=RecordingPlayer(), log=store)
    runner.start()
    return runner


def logged(store: Store) -> tuple[Hold, ...]:
    return tuple(h for s in store.history().sessions for h in s.holds)


def test_a_hold_is_in_the_file_the_moment_it_ends(
    store: Store, clock: ManualClock
) -> None:
    """Before anybody answers anything, and with nothing made up."""
    runner = started(store, clock)

    lead(runner, clock, 30)

    (hold,) = logged(store)
    assert (20, None, False) == (hold.held_s, hold.rpe, hold.confirmed)
    assert store.unfinished() is None


def test_the_second_under_way_is_in_the_file(store: Store, clock: ManualClock) -> None:
    """What a crash leaves is the last whole second, under its own name."""
    runner = started(store, clock)

    lead(runner, clock, 10 + 7.5)

    unfinished = store.unfinished()
    assert unfinished is not None
    assert (7, EndedBy.CRASH) == (unfinished.hold.held_s, unfinished.hold.ended_by)
    assert () == logged(store)


def test_answers_reach_the_file(store: Store, clock: ManualClock) -> None:
    """An RPE given in the rest is there at once."""
    runner = started(store, clock)
    lead(runner, clock, 40)

    assert runner.send(AnswerRpe(rpe=6.5))

    assert [6.5] == [hold.rpe for hold in logged(store)]


def test_a_false_start_leaves_nothing_and_its_undo_a_come_down(
    store: Store, clock: ManualClock
) -> None:
    """Neither a hold nor a journal; taken back, a hold ended by a key."""
    runner = started(store, clock)
    lead(runner, clock, 14)

    runner.send(FalseStart())
    assert (None, ()) == (store.unfinished(), logged(store))

    runner.send(TakeBack())
    assert [(1, EndedBy.KEY)] == [(h.held_s, h.ended_by) for h in logged(store)]


def test_a_hold_that_did_not_happen_comes_back_with_undo(
    store: Store, clock: ManualClock
) -> None:
    """Out of the history, and in it again, as the same hold."""
    runner = started(store, clock)
    lead(runner, clock, 40)
    (before,) = logged(store)

    runner.send(DidNotHappen())
    assert () == logged(store)

    runner.send(TakeBack())
    assert (before.uid,) == tuple(hold.uid for hold in logged(store))


def test_a_key_and_its_undo_leave_one_hold(store: Store, clock: ManualClock) -> None:
    """A knocked pedal doesn't cost the hold, nor count it twice."""
    runner = started(store, clock)
    lead(runner, clock, 18)
    runner.send(AnyKey())
    lead(runner, clock, 1)

    runner.send(TakeBack())
    lead(runner, clock, 12)

    assert [20] == [hold.held_s for hold in logged(store)]


def test_sleep_in_a_hold_is_a_gap_and_is_asked_about(
    store: Store, clock: ManualClock
) -> None:
    """The clock that counts sleep tells; the dates of later holds include it."""
    runner = started(store, clock)
    lead(runner, clock, 22)
    clock.sleep(3600)
    runner.tick()
    assert Phase.INTERRUPTED is runner.state.phase
    assert [(12, EndedBy.INTERRUPTED)] == [
        (h.held_s, h.ended_by) for h in logged(store)
    ]

    runner.send(Resolve(held_s=12))
    lead(runner, clock, 60 + 10 + 21)

    first, second = logged(store)
    assert second.started_at - first.started_at >= timedelta(hours=1)


def test_a_wall_clock_set_in_mid_session_changes_nothing(
    store: Store, clock: ManualClock
) -> None:
    """Times of holds follow from the start of the session and what passed."""
    runner = started(store, clock)
    clock.start += timedelta(days=3)
    lead(runner, clock, 125)

    (session,) = store.history().sessions
    assert [10, 104] == [
        (hold.started_at - session.started_at).total_seconds() for hold in session.holds
    ]


def test_a_rehearsal_logs_nothing_and_runs_at_its_pace(
    store: Store, clock: ManualClock
) -> None:
    """Ten times as fast: the whole of it in a tenth of the time, no trace left."""
    player = RecordingPlayer()
    runner = SessionRunner(LED, clock=clock, player=player, log=None, pace=10)
    runner.start()
    for _ in range(130):
        clock.advance(0.1)
        runner.tick()

    assert Phase.DONE is runner.state.phase
    assert () == logged(store)
    assert all(cue.at_s <= 1000 + 14 for sheet in player.sheets for cue in sheet)


def test_the_sound_is_told_once_where_nobody_touches_a_key(
    clock: ManualClock,
) -> None:
    """One sheet a set: looking often hands nothing over again."""
    player = RecordingPlayer()
    runner = SessionRunner(LED, clock=clock, player=player, log=None)
    runner.start()
    lead(runner, clock, 10 + 20 + 4 + 59)

    assert 1 == len(player.sheets)
    at_s = {cue.cue: cue.at_s for cue in player.sheets[0]}
    assert (1010, 1030, 1034) == (at_s[Cue.HOLD], at_s[Cue.TARGET], at_s[Cue.REST])


class FullDisk:
    """A log that can't be written for a while: the edge that we don't own."""

    def __init__(self, store: Store) -> None:
        self.store, self.full = store, True

    def __getattr__(self, name: str) -> object:
        def write(*args: object, **kwargs: object) -> object:
            if self.full:
                raise DataWriteError("The disk is full", "Make room")
            return getattr(self.store, name)(*args, **kwargs)

        return write


def test_a_full_disk_loses_no_hold_and_stops_no_session(
    store: Store, clock: ManualClock
) -> None:
    """What can't be written is kept, said once, and written as soon as it can be."""
    disk = FullDisk(store)
    runner = SessionRunner(LED, clock=clock, player=RecordingPlayer(), log=disk)  # type: ignore[arg-type] # by __getattr__
    runner.start()
    lead(runner, clock, 40)
    runner.send(AnswerRpe(rpe=7))
    said = runner.take_notices()
    assert 1 == sum("disk is full" in notice for notice in said)
    assert Phase.LOG_AND_REST is runner.state.phase

    disk.full = False
    lead(runner, clock, 2)

    assert [(20, 7)] == [(hold.held_s, hold.rpe) for hold in logged(store)]
    assert 0 == runner.unsaved
    assert any("all is saved" in notice for notice in runner.take_notices())


def test_what_could_not_be_written_can_be_rescued_and_imported(
    store: Store, clock: ManualClock, tmp_path: Path
) -> None:
    """The disk stays full to the end: the whole session is a document to import."""
    disk = FullDisk(store)
    runner = SessionRunner(LED, clock=clock, player=RecordingPlayer(), log=disk)  # type: ignore[arg-type] # by __getattr__
    runner.start()
    lead(runner, clock, 40)
    runner.send(AnswerRpe(rpe=7))
    runner.send(AnswerPain(pain=Pain(PainKind.NUMB, Site.HAND)))
    with pytest.raises(DataWriteError):
        runner.close()
    assert runner.unsaved

    document = json.loads(json.dumps(runner.document()))
    with new_store(tmp_path / "other.db", clock) as other:
        other.import_document(document)
        other.import_document(document)
        (hold,) = logged(other)

    assert (20, 7, (Pain(PainKind.NUMB, Site.HAND),)) == (
        hold.held_s,
        hold.rpe,
        hold.pain,
    )


def test_what_the_file_does_not_take_is_kept_at_once(
    store: Store, clock: ManualClock, tmp_path: Path
) -> None:
    """Killed at any later moment nothing is lost: the document beside has every hold
    announced, what was said of it, and the one under way to its last second; and it
    goes when the file has it all.
    """
    disk = FullDisk(store)
    runner = SessionRunner(
        LED,
        clock=clock,
        player=RecordingPlayer(),
        log=disk,  # type: ignore[arg-type] # by __getattr__
        unsaved_in=UnsavedFolder(tmp_path),
    )
    runner.start()

    def kept() -> list[tuple[float, float | None]]:
        (path,) = tmp_path.glob("unsaved-*.json")
        with open_store(tmp_path / "other.db", clock=clock) as other:
            other.import_document(json.loads(path.read_text("utf-8")))
            return [(hold.held_s, hold.rpe) for hold in logged(other)]

    lead(runner, clock, 10 + 7)
    assert [(7, None)] == kept()
    lead(runner, clock, 23)
    assert [(20, None)] == kept()
    runner.send(AnswerRpe(rpe=7))
    assert [(20, 7)] == kept()
    assert 1 == sum("is kept in" in notice for notice in runner.take_notices())
    disk.full = False
    lead(runner, clock, 2)

    assert [] == list(tmp_path.glob("unsaved-*.json"))
    assert [(20, 7)] == [(hold.held_s, hold.rpe) for hold in logged(store)]


def test_what_was_taken_out_meanwhile_is_taken_out_by_the_document(
    store: Store, clock: ManualClock, tmp_path: Path
) -> None:
    """Written before the disk was full, gone after: the document says so too."""
    disk = FullDisk(store)
    disk.full = False
    runner = SessionRunner(LED, clock=clock, player=RecordingPlayer(), log=disk)  # type: ignore[arg-type] # by __getattr__
    runner.start()
    lead(runner, clock, 40)
    disk.full = True
    clock.advance(0.1)
    runner.send(DidNotHappen())
    assert 1 == len(logged(store))

    store.import_document(json.loads(json.dumps(runner.document())))

    assert () == logged(store)


def test_with_no_room_anywhere_it_is_said_that_it_is_in_memory_only(
    store: Store, clock: ManualClock, tmp_path: Path
) -> None:
    """What nobody can promise is said: these holds are in this program alone."""
    in_the_way = tmp_path / "file"
    in_the_way.write_text("")
    runner = SessionRunner(
        LED,
        clock=clock,
        player=RecordingPlayer(),
        log=FullDisk(store),  # type: ignore[arg-type] # by __getattr__
        unsaved_in=UnsavedFolder(in_the_way),
    )
    runner.start()
    lead(runner, clock, 40)

    (said,) = (text for text in runner.take_notices() if "disk is full" in text)
    assert "only in this program's memory" in said
    assert runner.kept_in is None


@pytest.mark.parametrize("how", ["moved", "deleted", "replaced", "cut off"])
def test_a_file_that_goes_under_a_session_costs_it_nothing(
    store: Store, clock: ManualClock, tmp_path: Path, how: str
) -> None:
    """Said once; the session goes on; all of it is beside, what had been written among
    it; and what lies on the path now isn't touched, nor spoilt by the log beside it.
    """
    runner = SessionRunner(
        LED,
        clock=clock,
        player=RecordingPlayer(),
        log=store,
        unsaved_in=UnsavedFolder(tmp_path),
    )
    runner.start()
    lead(runner, clock, 40)
    incoming = stranger(tmp_path / "incoming.db", clock)
    match how:
        case "moved":
            store.path.rename(tmp_path / "moved.db")
        case "deleted":
            store.path.unlink()
        case "replaced":
            (tmp_path / "incoming.db").replace(store.path)
        case "cut off":
            os.truncate(store.path, 8192)
    lead(runner, clock, 60 + 10 + 20 + 5)
    with pytest.raises(DataGoneError):
        runner.close()

    said = [text for text in runner.take_notices() if "while it was open" in text]
    assert 1 == len(said)
    (path,) = tmp_path.glob("unsaved-*.json")
    with new_store(tmp_path / "other.db", clock) as other:
        other.import_document(json.loads(path.read_text("utf-8")))
        assert [20, 20] == [hold.held_s for hold in logged(other)]
    if how == "replaced":
        store.close()
        assert incoming == store.path.read_bytes()
        with open_store(store.path, clock=clock) as theirs:
            assert [33.0] == [hold.held_s for hold in logged(theirs)]
            assert [] == theirs.check()


def stranger(path: Path, clock: ManualClock) -> bytes:
    """Make another file of the trainer's, and give its bytes."""
    make = Makers(clock)
    with new_store(path, clock) as other:
        make.logged(other, make.hold(held_s=33.0))
    return path.read_bytes()


def test_an_addition_by_another_copy_is_no_other_file(
    store: Store, clock: ManualClock, tmp_path: Path
) -> None:
    """What another program of ours writes meanwhile trips nothing."""
    runner = started(store, clock)
    make = Makers(clock)
    for _ in range(8):
        lead(runner, clock, 16)
        with open_store(store.path, clock=clock) as another:
            hold = make.hold(note="n" * 900)
            another.add_hold(hold, at=clock.wall(), has_time=True)
    runner.close()

    assert () == runner.take_notices()
    assert 10 == len(logged(store))
    assert [] == store.check()


class Interrupted(BaseException):
    """What a signal's handler may raise between any two instructions."""


@pytest.mark.parametrize("seed", range(2))
def test_an_exception_anywhere_in_a_step_loses_no_hold(
    tmp_path: Path, seed: int
) -> None:
    """Interrupted after any number of lines of a step that ends a hold, and then
    closed: the hold is in the log, or in the journal.
    """
    lines, point = 0, -1
    while True:
        point += 53 + seed
        clock = ManualClock(seconds=1000.0)
        with new_store(tmp_path / f"{seed}-{point}.db", clock) as store:
            runner = started(store, clock)
            lead(runner, clock, 10 + 19.5)
            clock.advance(0.5)
            lines = interrupted_after(point, runner.tick)
            runner.close()
            known = store.unfinished()
            assert logged(store) or known is not None, f"at line {point}"
        if lines < point:
            break


def interrupted_after(point: int, work: Callable[[], None]) -> int:
    """Run WORK and break it off at its POINT-th line of ours; give the lines run."""
    seen = 0

    def trace(frame: FrameType, event: str, _: object) -> Any:
        nonlocal seen
        if "/trainer/" not in frame.f_code.co_filename:
            return None
        if event == "line":
            seen += 1
            if seen == point:
                raise Interrupted
        return trace

    before = sys.gettrace()
    sys.settrace(trace)
    try:
        work()
    except Interrupted:
        pass
    finally:
        sys.settrace(before)
    return seen


def test_a_key_counts_from_when_it_was_pressed(
    store: Store, clock: ManualClock
) -> None:
    """Half a second behind a slow disk costs the hold nothing; never in the future."""
    runner = started(store, clock)
    lead(runner, clock, 10 + 8)
    clock.advance(0.5)

    runner.send(AnyKey(), at_s=clock.seconds - 0.4)

    assert [8.1] == [hold.key_s for hold in logged(store)]


def test_a_false_start_leaves_another_sessions_broken_hold_alone(
    store: Store, clock: ManualClock, tmp_path: Path
) -> None:
    """A crash that nobody has answered for yet is still there to be answered for."""
    crashed = started(store, clock)
    lead(crashed, clock, 10 + 7)
    store.close()
    with open_store(tmp_path / "log.db", clock=clock) as again:
        runner = started(again, clock)
        lead(runner, clock, 10.5)
        runner.send(FalseStart())
        runner.close()
        unfinished = again.unfinished()

    assert unfinished is not None
    assert 7 == unfinished.hold.held_s


def test_a_false_start_and_an_early_end_leave_no_session(
    store: Store, clock: ManualClock
) -> None:
    """A journaled second made the session known; without a hold it is taken out."""
    runner = started(store, clock)
    lead(runner, clock, 13)
    runner.send(FalseStart())
    runner.send(EndSession())

    runner.close()

    assert () == store.history().sessions


def test_pain_is_in_the_file_with_its_site(store: Store, clock: ManualClock) -> None:
    """A warning sign is never lost to a session that it ends."""
    runner = started(store, clock)
    lead(runner, clock, 40)

    runner.send(AnswerPain(pain=Pain(PainKind.NUMB, Site.HAND)))

    assert Phase.DONE is runner.state.phase
    assert [(Pain(PainKind.NUMB, Site.HAND),)] == [h.pain for h in logged(store)]


def test_a_session_without_a_hold_leaves_no_trace(
    store: Store, clock: ManualClock
) -> None:
    """Started and left in the set-up: nothing was done, nothing is logged."""
    runner = started(store, clock)
    lead(runner, clock, 5)

    runner.close()

    assert () == store.history().sessions


def test_a_session_belongs_to_the_local_day_on_which_it_began(
    tmp_path: Path,
) -> None:
    """Over midnight, and stored as UTC with its offset."""
    zone = timezone(timedelta(hours=-7))
    clock = ManualClock(start=datetime(2026, 3, 2, 23, 59, 30, tzinfo=zone))
    with new_store(tmp_path / "log.db", clock) as store:
        runner = started(store, clock)
        lead(runner, clock, 125)
        (session,) = store.history().sessions

    assert "2026-03-02" == session.local_date.isoformat()
    assert (-420, 2) == (session.utc_offset_min, len(session.holds))
    assert timezone.utc == session.holds[1].started_at.tzinfo


def test_a_session_keeps_the_name_of_its_zone(
    store: Store, clock: ManualClock, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The name, not the abbreviation: CET is the time of many places."""
    monkeypatch.setenv("TZ", "Europe/Vienna")
    runner = started(store, clock)

    lead(runner, clock, 30)

    assert ["Europe/Vienna"] == [one.zone for one in store.history().sessions]


def test_what_was_done_anyway_is_in_the_file_with_the_first_hold(
    store: Store, clock: ManualClock
) -> None:
    """The gate's reason travels with the session, whatever ends it."""
    person = Person({HEAD_UP: "yes", SHOULDER: "no"})
    pike = program(program_set("press-pike"))
    asked = ask_gate(pike, person, on=date(2026, 3, 9))
    with pytest.raises(NotClearedError, match="keeps the head up"):
        cleared(asked)
    runner = SessionRunner(
        cleared(asked, anyway=True), clock=clock, player=RecordingPlayer(), log=store
    )
    runner.start()
    lead(runner, clock, 40)

    (session,) = store.history().sessions
    assert [("press-pike", "head-up")] == [
        (each.exercise, each.reason) for each in session.overrides
    ]


def test_sets_put_back_after_pain_are_kept_and_can_be_taken_back(
    store: Store, clock: ManualClock
) -> None:
    """The session says what pain spoke against; undo takes that out again."""
    runner = started(store, clock)
    lead(runner, clock, 40)
    runner.send(AnswerPain(pain=Pain(PainKind.NUMB, Site.HAND, Side.LEFT)))
    runner.send(OverridePain())
    (session,) = store.history().sessions
    said = [each.says for each in session.overrides]
    runner.send(TakeBack())
    (after,) = store.history().sessions

    assert 1 == len(said)
    assert said[0].startswith("Numbness in the left hand since")
    assert () == after.overrides


def test_a_rehearsal_is_never_logged(store: Store, clock: ManualClock) -> None:
    """What nobody was asked about can't be led into the log."""
    with pytest.raises(ValueError, match="not logged"):
        SessionRunner(rehearsed(TWO), clock=clock, player=RecordingPlayer(), log=store)

"""The line-by-line session as a real process, on a real terminal and without one."""

from __future__ import annotations

import contextlib
import json
import os
import select
import signal
import sqlite3
import subprocess
import sys
import time
from dataclasses import replace
from datetime import date, datetime, timezone
from pathlib import Path
from typing import Any

import pytest

from tests.cli.conftest import ReadOnly
from tests.new_files import new_store
from trainer.cli.context import CliContext
from trainer.cli.main import main
from trainer.cli.plain.keys import BACKSPACE, ENTER, ESCAPE
from trainer.cli.plain.terminal import OTHER, named
from trainer.core.clock import SystemClock
from trainer.core.cues.settings import Backend
from trainer.core.exercises import Exercise, Family
from trainer.core.model import EndedBy, Hold, Session, SessionKind
from trainer.core.plan.plan import Plan, PlanExercise
from trainer.errors import ExitCode
from trainer.settings.paths import APP
from trainer.store import open_store

QUICK = Exercise(
    id="quick",
    name="Quick hang",
    family=Family.HANG,
    setup_s=1,
    go_up_lead_s=1,
    allowance_s=0.5,
    come_out_s=1,
)
"""An exercise of one's own with short ways, so that the tests needn't wait long."""

pty = pytest.importorskip("pty", reason="pseudo-terminals are a POSIX thing")


@pytest.fixture
def db(tmp_path: Path) -> Path:
    path = tmp_path / "log.db"
    entry = PlanExercise(exercise="quick", sets=2, start_s=3, floor_s=1, rest_s=0)
    plan = Plan(exercises=(entry,), own=(QUICK,), warm_up_s=0)
    with new_store(path, SystemClock()) as store:
        store.save_plan(plan, valid_from=date(2026, 1, 1))
        store.set_answer("cautions-read", "2026-01-01")
        store.set_answer("sounds-heard", "2026-01-01")
        store.set_answer("shoulder", "no")
    return path


STOPS = (signal.SIGINT, signal.SIGTERM, signal.SIGHUP)


def under_way() -> tuple[Session, Hold]:
    """Give a session with a hold that was cut off after two seconds."""
    at = datetime(2026, 3, 2, 18, tzinfo=timezone.utc)
    session = Session(
        uid="0b9c2d1e-3f40-4a51-8b62-7c83d94ea5f6",
        kind=SessionKind.ONE_OFF,
        started_at=at,
        utc_offset_min=0,
        local_date=at.date(),
    )
    hold = Hold(
        uid="5d1f0c2b-7a69-4e38-9b47-06f5e4d3c2b1",
        exercise="hang",
        set_number=1,
        held_s=2,
        ended_by=EndedBy.CRASH,
        started_at=at,
    )
    return session, hold


def environment(tmp_path: Path, sound: Backend = Backend.BELL) -> dict[str, str]:
    """Give the environment of a session on a machine without a sound device.

    With AUTO it finds that out by trying one player after the other, each in a process
    of its own, which takes longer than all else that a short session does. So that is
    left to the tests in which a sound process may matter.
    """
    names = ("XDG_DATA_HOME", "XDG_CONFIG_HOME", "XDG_STATE_HOME", "HOME")
    config = tmp_path / "xdg_config_home" / APP
    config.mkdir(parents=True, exist_ok=True)
    (config / "settings.toml").write_text(f'[sound]\nbackend = "{sound.value}"\n')
    return {
        **{k: v for k, v in os.environ.items() if k != "TRAINER_DB"},
        **{name: str(tmp_path / name.lower()) for name in names},
        "ALSA_CONFIG_PATH": os.devnull,
    }


class Terminal:
    """A real process on a real pseudo-terminal."""

    def __init__(
        self, tmp_path: Path, *args: str, sound: Backend = Backend.BELL
    ) -> None:
        self.master, slave = pty.openpty()
        self.process = subprocess.Popen(
            [sys.executable, "-m", "trainer", *args],
            stdin=slave,
            stdout=slave,
            stderr=slave,
            env=environment(tmp_path, sound),
            start_new_session=True,
        )
        os.close(slave)
        self.text = ""

    def until(self, words: str, within_s: float = 20.0) -> None:
        give_up = time.monotonic() + within_s
        # However a narrow terminal breaks the lines.
        while words not in " ".join(self.text.split()):
            assert time.monotonic() < give_up, f"no {words!r} in:\n{self.text}"
            ready, _, _ = select.select([self.master], [], [], 0.2)
            if ready:
                try:
                    data = os.read(self.master, 65536)
                except OSError:
                    data = b""
                if not data:
                    ended = " ".join(self.text.split())
                    assert words in ended, f"ended before {words!r}:\n{self.text}"
                self.text += data.decode()

    def type(self, keys: str) -> None:
        os.write(self.master, keys.encode())

    def end(self) -> int:
        try:
            return self.process.wait(20)
        finally:
            self.process.kill()
            os.close(self.master)


@pytest.fixture
def holds(db: Path) -> Any:
    def read() -> list[dict[str, Any]]:
        with open_store(db, clock=SystemClock()) as store:
            document = json.loads(json.dumps(store.export()))
        return [hold for one in document["sessions"] for hold in one["holds"]]

    return read


def test_a_session_by_keys_is_logged_as_it_was(
    tmp_path: Path, db: Path, holds: Any
) -> None:
    """One hold to its end with answers, one come-down: the file says just that."""
    slow = replace(QUICK, id="slow", name="Slow hang")
    entries = (
        PlanExercise(exercise="quick", sets=1, start_s=3, floor_s=1, rest_s=0),
        # So long that the key comes in time, however busy the machine is.
        PlanExercise(exercise="slow", sets=1, start_s=60, rest_s=0),
    )
    with open_store(db, clock=SystemClock()) as store:
        store.save_plan(
            Plan(exercises=entries, own=(QUICK, slow), warm_up_s=0),
            valid_from=date(2026, 1, 2),
        )
    terminal = Terminal(
        tmp_path, "--db", str(db), "session", "--plain", sound=Backend.AUTO
    )
    terminal.until("Rest")
    terminal.type("7.k")
    terminal.until("kept 3 s; RPE 7.5")
    terminal.type("j")
    terminal.text = ""
    terminal.until("Hold.")
    time.sleep(1.5)  # hold for a while, as a person would
    terminal.type(" ")
    terminal.until("Done.")
    terminal.type("g")
    terminal.until("stopped by grip")
    terminal.type("nby the window, slowly")
    time.sleep(0.5)  # longer than a key takes: the log stays open
    terminal.type("\r")
    terminal.until("note: by the window, slowly")
    terminal.type("\r")

    assert 0 == terminal.end()
    first, second = holds()
    assert (3, 3, 7.5, "target") == (
        first["held_s"],
        first["kept_s"],
        first["rpe"],
        first["ended_by"],
    )
    assert ("key", "grip", 0.5, "by the window, slowly") == (
        second["ended_by"],
        second["stopped_by"],
        second["allowance_s"],
        second["note"],
    )
    assert pytest.approx(max(0.0, second["key_s"] - 0.5)) == second["held_s"]


LONG = ("session", "--plain", "--exercise", "quick", "--sets", "1", "--target", "60")
"""A hold that doesn't end before the test is done with it, on any machine."""


def noted_s(db: Path) -> float:
    """Wait until the journal has a second of the hold under way; give what it has."""
    give_up = time.monotonic() + 20
    while time.monotonic() < give_up:
        with contextlib.closing(sqlite3.connect(f"file:{db}?mode=ro", uri=True)) as on:
            ((held_s,),) = on.execute("SELECT max(held_s) FROM journal")
        if held_s is not None and held_s >= 1:
            return float(held_s)
        time.sleep(0.1)
    raise AssertionError("no second of the hold was noted")


def test_a_kill_in_a_hold_costs_a_second_at_most_and_is_offered_again(
    tmp_path: Path, db: Path, holds: Any
) -> None:
    """The next start says so, and keeps what was noted: whole seconds, none made up."""
    begun = time.monotonic()
    terminal = Terminal(tmp_path, "--db", str(db), *LONG)
    terminal.until("Hold.")
    noted = noted_s(db)
    terminal.process.kill()
    terminal.end()
    passed = time.monotonic() - begun

    again = Terminal(tmp_path, "--db", str(db), "session", "--plain")
    again.until("broke off in a hold")
    again.type("\r")
    again.until("Kept.")
    again.process.send_signal(signal.SIGINT)

    assert 130 == again.end()
    (hold,) = holds()
    assert "crash" == hold["ended_by"]
    assert noted <= hold["held_s"] <= passed


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_a_signal_while_the_last_hold_is_settled_breaks_off_no_write(
    tmp_path: Path,
    db: Path,
    holds: Any,
    monkeypatch: pytest.MonkeyPatch,
    number: signal.Signals,
) -> None:
    """Sent from within the write itself: the hold that a crash cut off is kept, and
    only then the program ends."""
    with open_store(db, clock=SystemClock()) as store:
        session, hold = under_way()
        store.begin_session(session)
        store.journal(session.uid, hold)
    sent: list[str] = []

    def strike(sql: str) -> None:
        if sql.startswith("DELETE FROM journal") and not sent:
            sent.append(sql)
            os.kill(os.getpid(), number)

    really_connect = sqlite3.connect

    def connect(*args: Any, **options: Any) -> sqlite3.Connection:
        connection: sqlite3.Connection = really_connect(*args, **options)
        connection.set_trace_callback(strike)
        return connection

    monkeypatch.setattr(sqlite3, "connect", connect)
    before = {each: signal.getsignal(each) for each in STOPS}
    try:
        context = CliContext(environ=environment(tmp_path), db=str(db))
        code = main(["session", "--plain"], context=context)
    finally:
        for each, handler in before.items():
            signal.signal(each, handler)
        monkeypatch.undo()

    assert ExitCode.INTERRUPTED == code
    assert sent
    assert [("crash", 2)] == [(one["ended_by"], one["held_s"]) for one in holds()]


def test_without_a_terminal_nothing_is_asked(
    tmp_path: Path, db: Path, holds: Any
) -> None:
    """The end of input is no key: the holds run to their targets, unconfirmed."""
    done = subprocess.run(
        [
            *(sys.executable, "-m", "trainer", "--db", str(db), "session", "--plain"),
            *("--exercise", "quick", "--sets", "1", "--target", "2"),
        ],
        input="",
        capture_output=True,
        text=True,
        timeout=60,
        env=environment(tmp_path, Backend.AUTO),
        check=False,
    )

    assert (0, "") == (done.returncode, done.stderr)
    assert [("target", 2, False)] == [
        (hold["ended_by"], hold["held_s"], hold["confirmed"]) for hold in holds()
    ]


def test_what_a_session_shows_is_remembered_unless_it_is_a_rehearsal(
    tmp_path: Path, db: Path
) -> None:
    """As on the full screen: the suggestions that were led can be scored later."""
    found = []
    for more in (["--rehearse"], []):
        terminal = Terminal(tmp_path, "--db", str(db), "session", "--plain", *more)
        terminal.until("Set-up")
        terminal.process.send_signal(signal.SIGINT)
        assert 130 == terminal.end()
        with open_store(db, clock=SystemClock()) as store:
            found.append([one.exercise for one in store.history().shown])

    assert [[], ["quick"]] == found


def test_the_first_session_begins_with_the_sounds_of_a_hold(
    tmp_path: Path, db: Path
) -> None:
    """Each is named as it is heard; any key goes on to the session, and they don't come
    by themselves again."""
    with open_store(db, clock=SystemClock()) as store:
        store.set_answer("sounds-heard", "")
    begun: list[str] = []
    for _ in range(2):
        terminal = Terminal(
            tmp_path, "--db", str(db), "session", "--plain", sound=Backend.AUTO
        )
        if not begun:
            terminal.until("go up: climb on, walk up")
            terminal.type(" ")
        terminal.until("Quick hang: ")
        terminal.process.send_signal(signal.SIGINT)
        assert 130 == terminal.end()
        begun.append(terminal.text)

    assert "The sounds of a hold" in begun[0]
    assert "To hear them again: trainer doctor --listen" in begun[0]
    assert "The sounds of a hold" not in begun[1]


def test_nobody_there_has_not_read_the_cautions(tmp_path: Path, db: Path) -> None:
    """Unattended they are shown and stay unread; a key at a terminal reads them."""
    with open_store(db, clock=SystemClock()) as store:
        store.set_answer("cautions-read", "")
    command = [
        *("--db", str(db), "session", "--plain", "--rehearse", "--speed", "20"),
        *("--exercise", "quick", "--sets", "1", "--target", "1"),
    ]
    unattended = subprocess.run(
        [sys.executable, "-m", "trainer", *command],
        input="",
        capture_output=True,
        text=True,
        timeout=60,
        env=environment(tmp_path),
        check=False,
    )
    with open_store(db, clock=SystemClock()) as store:
        unread = store.answers()
    terminal = Terminal(tmp_path, *command)
    terminal.until("Enter: I have read this.")
    terminal.type("\r")
    terminal.until("Rehearsal")
    terminal.process.send_signal(signal.SIGINT)

    assert 130 == terminal.end()
    assert 0 == unattended.returncode
    assert "not medical advice" in unattended.stdout
    with open_store(db, clock=SystemClock()) as store:
        assert ("", True) == (
            unread["cautions-read"],
            bool(store.answers()["cautions-read"]),
        )


def test_a_file_that_can_only_be_read_can_be_rehearsed_from(
    read_only: ReadOnly,
) -> None:
    """A rehearsal logs nothing, so it needs no writing."""
    done = read_only(
        *("session", "--plain", "--rehearse", "--speed", "20"),
        *("--exercise", "hang", "--sets", "1", "--target", "2"),
    )

    assert (0, "Nothing was logged." in done.stdout) == (done.returncode, True)
    assert "open for reading only" in done.stderr


def test_without_a_terminal_a_stopped_process_goes_on_by_itself(
    tmp_path: Path, db: Path, holds: Any
) -> None:
    """A gap in a hold: what was noted stands, confirmed by nobody."""
    command = [sys.executable, "-m", "trainer", "--db", str(db), "session", "--plain"]
    one = ["--exercise", "quick", "--sets", "1", "--target", "60"]
    begun = time.monotonic()
    with subprocess.Popen(
        [*command, *one],
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        text=True,
        env=environment(tmp_path),
    ) as process:
        assert process.stdout is not None
        for line in process.stdout:
            if line.startswith("Hold."):
                break
        noted = noted_s(db)
        process.send_signal(signal.SIGSTOP)
        passed = time.monotonic() - begun
        time.sleep(3)  # longer than two seconds, which is a gap
        process.send_signal(signal.SIGCONT)
        assert 0 == process.wait(20)

    (hold,) = holds()
    assert ("interrupted", False) == (hold["ended_by"], hold["confirmed"])
    assert noted <= hold["held_s"] <= passed


def test_a_terminal_that_goes_away_leaves_no_process(
    tmp_path: Path, db: Path, holds: Any
) -> None:
    """Without a hang-up signal too; the hold under way is offered at the next start."""
    terminal = Terminal(tmp_path, "--db", str(db), *LONG, sound=Backend.AUTO)
    terminal.until("Hold.")
    noted = noted_s(db)

    os.close(terminal.master)

    assert 0 != terminal.process.wait(20)
    assert [] == holds()
    with open_store(db, clock=SystemClock()) as store:
        unfinished = store.unfinished()
    assert unfinished is not None
    assert noted <= unfinished.hold.held_s


def test_a_locked_file_at_the_end_is_waited_for(
    tmp_path: Path, db: Path, holds: Any
) -> None:
    """What could not be written is kept and written before the program leaves."""
    terminal = Terminal(
        tmp_path,
        *("--db", str(db), "session", "--plain"),
        *("--exercise", "quick", "--sets", "1", "--target", "2"),
    )
    terminal.until("Hold.")
    other = sqlite3.connect(db, isolation_level=None)
    other.execute("BEGIN EXCLUSIVE")
    terminal.until("Done.")
    terminal.type("8\r")
    time.sleep(1.0)  # it would have left by now
    assert terminal.process.poll() is None
    other.execute("ROLLBACK")
    other.close()

    assert 0 == terminal.end()
    assert [(2, 8)] == [(hold["held_s"], hold["rpe"]) for hold in holds()]


def test_a_second_session_on_the_file_is_refused_but_may_rehearse(
    tmp_path: Path, db: Path
) -> None:
    """An operating-system lock decides, and goes with its process."""
    first = Terminal(tmp_path, "--db", str(db), "session", "--plain")
    first.until("Set-up")
    command = [sys.executable, "-m", "trainer", "--db", str(db), "session", "--plain"]
    more = {"env": environment(tmp_path), "capture_output": True, "text": True}

    second = subprocess.run(command, check=False, timeout=30, **more)  # type: ignore[call-overload] # one dictionary of options
    speed = ["--rehearse", "--speed", "20"]
    rehearsal = subprocess.run([*command, *speed], check=False, timeout=30, **more)  # type: ignore[call-overload] # as above

    assert 3 == second.returncode
    assert "Another session is under way" in second.stderr
    assert 0 == rehearsal.returncode
    first.process.send_signal(signal.SIGINT)
    assert 130 == first.end()


@pytest.mark.parametrize(
    ("sent", "keys"),
    [
        ("a7", ["a", "7"]),
        ("\x1b[A\x1b[5~\x1bOP", [OTHER, OTHER, OTHER]),
        ("\r\x7f\x1b", [ENTER, BACKSPACE, ESCAPE]),
        ("\x00\x07é", ["é"]),
    ],
)
def test_what_a_terminal_sends_is_named(sent: str, keys: list[str]) -> None:
    """One name for a whole escape sequence; control characters are no keys."""
    assert keys == named(sent)


@pytest.mark.skipif(
    not Path("/dev/full").exists(), reason="no /dev/full here to be out of space"
)
def test_a_session_outlives_its_output(tmp_path: Path, db: Path, holds: Any) -> None:
    """With its log's disk full a session goes on to its end, is logged, and says so."""
    with Path("/dev/full").open("w") as full:
        done = subprocess.run(
            [
                *(sys.executable, "-m", "trainer", "--db", str(db)),
                *("session", "--plain", "--exercise", "quick"),
                *("--sets", "2", "--target", "1"),
            ],
            stdin=subprocess.DEVNULL,
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            timeout=60,
            env=environment(tmp_path),
            check=False,
        )

    assert 0 == done.returncode, done.stderr
    assert "could not be written any more" in done.stderr
    assert [1.0, 1.0] == [hold["held_s"] for hold in holds()]


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGHUP])
def test_told_to_stop_again_and_again_it_stops_in_order(
    tmp_path: Path, db: Path, number: signal.Signals
) -> None:
    """Signals within milliseconds are one: the hold under way is in the journal."""
    terminal = Terminal(tmp_path, "--db", str(db), *LONG)
    terminal.until("Hold.")
    noted = noted_s(db)
    for _ in range(3):
        terminal.process.send_signal(number)
        time.sleep(0.005)

    assert ExitCode.INTERRUPTED == terminal.end()
    with open_store(db, clock=SystemClock()) as store:
        unfinished = store.unfinished()
    assert unfinished is not None
    assert noted <= unfinished.hold.held_s


TOLD_AS_IT_ENDS = """
import os, signal, sys
from trainer.cli.plain.signals import stop_signals

class Last:
    def __del__(self, kill=os.kill, pid=os.getpid(), number=int(sys.argv[1])):
        kill(pid, number)

last = Last()
with stop_signals():
    signal.raise_signal(int(sys.argv[1]))
sys.exit(130)
"""
"""Told to stop once, and again when the interpreter has taken its handlers away and
clears the modules."""


@pytest.mark.parametrize("number", STOPS)
def test_told_again_while_the_interpreter_ends_the_exit_code_stays(
    number: signal.Signals,
) -> None:
    """However late the second signal comes, the first one's exit code is the answer."""
    done = subprocess.run(
        [sys.executable, "-c", TOLD_AS_IT_ENDS, str(int(number))],
        timeout=60,
        check=False,
    )

    assert ExitCode.INTERRUPTED == done.returncode

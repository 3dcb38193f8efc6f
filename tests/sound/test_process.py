"""The sound process: what happens when it dies, hangs, or can't begin.

Real processes throughout. Where there is no sound device, the system's player is a
small program on PATH that takes samples from its stdin, as ``aplay`` does, and keeps
them; so these tests need neither simpleaudio nor a sound server.
"""

from __future__ import annotations

import errno
import json
import os
import pty
import signal
import subprocess
import sys
import threading
import time
from array import array
from collections.abc import Callable, Iterator
from importlib.util import find_spec
from pathlib import Path

import pytest

from trainer.core.clock import ManualClock, SystemClock
from trainer.core.cues.cues import Cue, TimedCue
from trainer.core.cues.settings import Backend, SoundSettings
from trainer.sound.child import Child
from trainer.sound.doctor import until_ready
from trainer.sound.opening import open_player
from trainer.sound.player import SilentPlayer
from trainer.sound.process import ENGINES, IN_WORDS, RESTARTS, ProcessPlayer

pytestmark = [
    pytest.mark.skipif(sys.platform != "linux", reason="needs Linux signals and /proc"),
    pytest.mark.usefixtures("children"),
]
PATIENCE_S = 20
"""How long a test waits before it says that something never happened."""
INSTALLED = [each for each in ENGINES if find_spec(each.value)]
PERFORM = Path(__file__).resolve().parents[2] / "scripts" / "_perform.py"


@pytest.fixture
def heard(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Make a player of the system's, and no device; give the file of what it plays."""
    kept = tmp_path / "heard.raw"
    folder = tmp_path / "bin"
    folder.mkdir()
    player = folder / "aplay"
    player.write_text(
        f"#!/bin/sh\necho $$ > {kept.with_suffix('.pid')}\nexec /bin/cat >> {kept}\n"
    )
    player.chmod(0o755)
    monkeypatch.setenv("PATH", str(folder))
    monkeypatch.setenv("ALSA_CONFIG_PATH", str(tmp_path / "no-such-file"))
    return kept


@pytest.fixture
def deaf(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Take away every device and every player."""
    monkeypatch.setenv("PATH", str(tmp_path))
    monkeypatch.setenv("ALSA_CONFIG_PATH", str(tmp_path / "no-such-file"))


class Kept:
    """A player that is polled, with what it said."""

    def __init__(self, backend: Backend, state_dir: Path) -> None:
        self.rings = 0
        self.clock = SystemClock()
        self.notices: list[str] = []
        player = open_player(
            SoundSettings(backend=backend),
            clock=self.clock,
            state_dir=state_dir,
            ring=self._ring,
        )
        assert isinstance(player, ProcessPlayer)
        self.player = player

    def _ring(self) -> None:
        self.rings += 1

    def until(self, happened: Callable[[], bool]) -> None:
        """Poll until something has HAPPENED."""
        deadline_s = self.clock.now_s() + PATIENCE_S
        while True:
            self.notices += self.player.poll()
            if happened():
                return
            assert self.clock.now_s() < deadline_s, self.notices
            time.sleep(0.02)

    def open(self) -> int:
        """Wait for a device; give the sound process's number."""
        self.until(lambda: self.player.ready)
        assert self.player.pid is not None
        return self.player.pid

    def sheet(self, cues: int = 100) -> list[TimedCue]:
        """Make a tick every quarter of a second from now on."""
        now_s = self.clock.now_s()
        return [TimedCue(now_s + n / 4, Cue.LAST_TICK) for n in range(1, cues)]


@pytest.fixture
def kept(heard: Path, tmp_path: Path) -> Iterator[Kept]:
    """Keep a player over the system's one."""
    player = Kept(Backend.SYSTEM, tmp_path / "state")
    yield player
    player.player.close()


def loud(path: Path) -> bool:
    """Tell whether anything but silence was played."""
    content = path.read_bytes() if path.exists() else b""
    return any(array("h", content[: len(content) // 2 * 2]))


def alive(pid: int) -> bool:
    """Tell whether process PID runs (a zombie doesn't)."""
    try:
        status = Path(f"/proc/{pid}/stat").read_text()
    except OSError:
        return False
    return status.rpartition(")")[2].split()[0] != "Z"


def wait_for(happened: Callable[[], bool]) -> None:
    """Wait until something has HAPPENED."""
    deadline = time.monotonic() + PATIENCE_S
    while not happened():
        assert time.monotonic() < deadline
        time.sleep(0.02)


def test_a_sheet_is_played_and_nothing_is_left_behind(kept: Kept, heard: Path) -> None:
    """Cues reach the player, silence says so, and closing twice ends every process."""
    pid = kept.open()
    kept.player.play(kept.sheet())
    kept.until(lambda: loud(heard))
    kept.player.silence()
    kept.player.close()
    kept.player.close()

    assert [] == kept.notices
    wait_for(lambda: not alive(pid))


@pytest.mark.parametrize("blow", [signal.SIGKILL, signal.SIGSEGV, signal.SIGSTOP])
def test_a_process_that_dies_or_hangs_is_replaced(
    kept: Kept, heard: Path, blow: signal.Signals
) -> None:
    """Killed, crashed or stopped: a new one goes on with the sheet, said once."""
    pid = kept.open()
    kept.player.play(kept.sheet())
    kept.until(lambda: loud(heard))
    os.kill(pid, blow)
    kept.until(lambda: kept.player.pid not in (pid, None) and kept.player.ready)
    heard.write_bytes(b"")
    kept.until(lambda: loud(heard))

    assert ["The sound stopped and was started again."] == kept.notices
    wait_for(lambda: not alive(pid))


def test_one_that_keeps_dying_gives_way_to_the_bell(kept: Kept) -> None:
    """After a few restarts the next fallback has its turn, said once, and rings."""
    for _ in range(RESTARTS + 1):
        os.kill(kept.open(), signal.SIGKILL)
        pid = kept.player.pid
        kept.until(lambda pid=pid: kept.player.pid != pid)  # type: ignore[misc]
    kept.player.play(kept.sheet())
    kept.until(lambda: kept.rings >= 2)

    assert Backend.BELL.value == kept.player.name
    assert 2 == len(kept.notices)
    assert "terminal's bell" in kept.notices[-1]


def test_sound_comes_back_when_the_device_does(
    kept: Kept, heard: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A device that went away and comes back later is used again, and that is said."""
    monkeypatch.setattr("trainer.sound.process.COME_BACK_S", 0.2)
    player = tmp_path / "bin" / "aplay"
    works = player.read_text()
    pid = kept.open()
    player.write_text("#!/bin/sh\nexit 1\n")
    os.kill(pid, signal.SIGKILL)
    kept.until(lambda: kept.player.name == Backend.BELL.value)
    player.write_text(works)
    kept.player.play(kept.sheet())
    kept.until(lambda: kept.player.name == Backend.SYSTEM.value)
    heard.write_bytes(b"")
    kept.until(lambda: loud(heard))

    assert "The sound is back, through the system's own player." == kept.notices[-1]


def test_no_package_no_device_and_no_player_ring_the_bell(
    deaf: None, tmp_path: Path
) -> None:
    """Opening never raises; each thing that can't be is said once, and kept for the
    doctor with what wasn't installed."""
    kept = Kept(Backend.AUTO, tmp_path / "state")
    kept.player.play(kept.sheet())
    kept.until(lambda: kept.rings > 0)
    kept.player.close()
    failed = max(1, len(INSTALLED)) + 1

    assert failed == len(kept.notices) == len(set(kept.notices))
    assert len(ENGINES) + 1 == len(kept.player.reasons)


def test_a_process_that_ended_is_heard_to_its_last_word(
    deaf: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Why it ended may be read a moment after its end was seen: until then it isn't
    taken for one that crashed, which would be started again and complained of."""
    may_read = threading.Event()
    read = Child._read

    def read_late(child: Child) -> None:
        may_read.wait(PATIENCE_S)
        read(child)

    monkeypatch.setattr(Child, "_read", read_late)
    child = Child(Backend.SYSTEM, now_s=0.0, log=subprocess.DEVNULL)
    wait_for(child.gone)
    early = child.ailing(0.1)
    may_read.set()
    wait_for(lambda: child.ailing(0.2))
    child.end()

    assert not early
    assert child.why


def test_a_process_is_ended_while_the_clock_is_set(
    heard: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Waiting for its end is made of sleeps; where the system refuses one, nothing is
    raised and nothing is left behind."""

    def refused(_seconds: float) -> None:
        raise OSError(errno.EINVAL, "Invalid argument")

    child = Child(Backend.SYSTEM, now_s=0.0, log=subprocess.DEVNULL)
    with monkeypatch.context() as patch:
        patch.setattr(time, "sleep", refused)
        child.end()

    wait_for(child.gone)


def test_without_an_engine_the_systems_player_is_used(
    heard: Path, tmp_path: Path
) -> None:
    """The next in order takes over by itself, with the sheet that was given; each that
    was there and failed is said, or once that none was."""
    kept = Kept(Backend.AUTO, tmp_path / "state")
    kept.player.play(kept.sheet())
    kept.until(lambda: loud(heard))
    used = kept.player.name
    kept.player.close()

    assert Backend.SYSTEM.value == used
    assert max(1, len(INSTALLED)) == len(kept.notices)


def test_an_engine_that_is_not_installed_is_no_trouble_where_another_is(
    heard: Path, tmp_path: Path
) -> None:
    """A machine on which simpleaudio can't be built has the whole sound, and no session
    begins with a complaint; one with neither engine is told so, once."""

    def notices(*absent: Backend) -> list[str]:
        player = ProcessPlayer(
            SoundSettings(),
            backends=[Backend.SYSTEM],
            absent=absent,
            clock=SystemClock(),
            state_dir=tmp_path / "state",
            last=SilentPlayer(),
        )
        said = [*player.poll(), *player.poll()]
        player.close()
        assert [f"{each.value} isn't installed" for each in absent] == player.reasons
        return said

    assert [] == notices(Backend.SIMPLEAUDIO)
    said = notices(*ENGINES)
    assert 1 == len(said)
    assert "Neither simpleaudio nor miniaudio is installed" in said[0]


@pytest.mark.parametrize(
    ("asked", "then"),
    [
        (Backend.SIMPLEAUDIO, [Backend.SIMPLEAUDIO, Backend.MINIAUDIO, Backend.SYSTEM]),
        (Backend.MINIAUDIO, [Backend.MINIAUDIO, Backend.SYSTEM]),
        (Backend.SYSTEM, [Backend.SYSTEM]),
    ],
)
def test_what_is_asked_for_by_name_comes_first(
    deaf: None, tmp_path: Path, asked: Backend, then: list[Backend]
) -> None:
    """Each is tried in turn, from the one that the settings name; the bell is last."""
    kept = Kept(asked, tmp_path / "state")
    kept.until(lambda: kept.player.name == Backend.BELL.value)
    kept.player.close()

    given_up = [reason.partition(" failed")[0] for reason in kept.player.reasons]
    assert [IN_WORDS[each] for each in then] == given_up


def test_a_caller_that_stalls_is_not_taken_for_a_hang(kept: Kept) -> None:
    """A screen that stands still for a second finds the same process again."""
    pid = kept.open()
    time.sleep(1.0)
    kept.until(lambda: True)

    assert pid == kept.player.pid
    assert [] == kept.notices


def test_a_stopped_process_never_blocks_the_caller(kept: Kept) -> None:
    """Thousands of sheets to a process that doesn't read come back, and the last one
    is what the next process gets."""
    os.kill(kept.open(), signal.SIGSTOP)
    for _ in range(3000):
        kept.player.play(kept.sheet(20))
    kept.until(lambda: bool(kept.notices) and kept.player.ready)

    assert ["The sound stopped and was started again."] == kept.notices


def test_who_waits_for_the_sound_is_done_waiting_whatever_the_clock(
    heard: Path, tmp_path: Path
) -> None:
    """A process that never gets ready, on a clock that never says so: it is left."""
    player = open_player(
        SoundSettings(backend=Backend.SYSTEM), clock=ManualClock(), state_dir=tmp_path
    )
    try:
        assert isinstance(player, ProcessPlayer)
        assert player.pid is not None
        os.kill(player.pid, signal.SIGSTOP)

        assert [] == list(until_ready(player, patience_s=0.3))
        assert not player.ready
    finally:
        player.close()


def test_a_stopped_process_is_no_zombie_after_closing(kept: Kept) -> None:
    """Closing ends what can't end by itself."""
    pid = kept.open()
    os.kill(pid, signal.SIGSTOP)
    kept.player.close()

    wait_for(lambda: not alive(pid))


def test_no_log_folder_is_no_fault(heard: Path, tmp_path: Path) -> None:
    """A folder that can't be made means no log, and sound all the same."""
    (tmp_path / "file").write_text("")
    kept = Kept(Backend.SYSTEM, tmp_path / "file" / "state")
    kept.open()
    kept.player.close()

    assert [] == kept.notices


@pytest.mark.parametrize("blow", [signal.SIGKILL, signal.SIGTERM])
def test_no_orphan_after_any_end_of_the_program(
    heard: Path, tmp_path: Path, blow: signal.Signals
) -> None:
    """However the program ends, its sound process ends too, and so does its player."""
    program = subprocess.Popen(
        (sys.executable, str(PERFORM)), stdin=subprocess.PIPE, stdout=subprocess.PIPE
    )
    assert program.stdin is not None
    assert program.stdout is not None
    scene = {
        "settings": {"backend": "system"},
        "steps": [],
        "length_s": 60,
        "state_dir": str(tmp_path),
    }
    program.stdin.write(json.dumps(scene).encode())
    program.stdin.close()
    pid = json.loads(program.stdout.readline())["pid"]
    wait_for(heard.exists)
    player = int(heard.with_suffix(".pid").read_text())
    assert alive(pid)
    assert alive(player)
    program.send_signal(blow)
    program.wait()
    program.stdout.close()

    wait_for(lambda: not alive(pid))
    wait_for(lambda: not alive(player))


def test_nothing_is_written_to_the_terminal(deaf: None, tmp_path: Path) -> None:
    """What libraries say about devices that aren't there ends up in the log."""
    screen, terminal = pty.openpty()
    scene = {
        "steps": [],
        "length_s": 3.0,
        "lead_s": 0.2,
        "state_dir": str(tmp_path / "state"),
    }
    program = subprocess.run(
        (sys.executable, str(PERFORM)),
        input=json.dumps(scene).encode(),
        stdout=subprocess.PIPE,
        stderr=terminal,
        check=True,
        timeout=PATIENCE_S,
    )
    os.close(terminal)
    os.set_blocking(screen, False)
    try:
        written = os.read(screen, 1000)
    except OSError:
        written = b""
    os.close(screen)

    assert b"" == written
    report = json.loads(program.stdout.splitlines()[-1])
    assert Backend.BELL.value == report["name"]
    assert 0o600 == (tmp_path / "state" / "sound.log").stat().st_mode & 0o777

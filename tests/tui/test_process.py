"""The program as a process of its own, on a terminal of its own."""

from __future__ import annotations

import os
import signal
import struct
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

posix = pytest.mark.skipif(os.name == "nt", reason="pseudo-terminals are POSIX")

LONGEST_WAIT_S = 60.0
"""Far more than it takes on a busy machine; a failure, not a measurement."""


class Terminal:
    """A program on a pseudo-terminal, and everything that it wrote."""

    def __init__(self, command: list[str], env: dict[str, str]) -> None:
        import fcntl
        import pty
        import termios

        self.master, slave = pty.openpty()
        fcntl.ioctl(slave, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
        self.process = subprocess.Popen(
            command,
            stdin=slave,
            stdout=slave,
            stderr=slave,
            env=env,
            start_new_session=True,
        )
        os.close(slave)
        os.set_blocking(self.master, False)
        self.written = b""

    def read_until(self, enough: Callable[[bytes], bool]) -> None:
        """Read until ENOUGH says so, or fail."""
        deadline = time.monotonic() + LONGEST_WAIT_S
        while not enough(self.written):
            assert time.monotonic() < deadline, self.written[-2000:]
            try:
                self.written += os.read(self.master, 65536)
            except BlockingIOError:
                time.sleep(0.02)
            except OSError:  # Linux: the other end is closed
                return

    def close(self) -> None:
        """Leave no process behind."""
        if self.process.poll() is None:
            self.process.kill()
        self.process.wait()
        os.close(self.master)


def _environment(home: Path) -> dict[str, str]:
    named = {name: str(home / name) for name in ("data", "config", "state")}
    return {
        **os.environ,
        "HOME": str(home),
        "TERM": "xterm-256color",
        "XDG_DATA_HOME": named["data"],
        "XDG_CONFIG_HOME": named["config"],
        "XDG_STATE_HOME": named["state"],
    }


@posix
@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGHUP])
def test_told_to_end_it_gives_the_terminal_back(
    tmp_path: Path, number: signal.Signals
) -> None:
    """It leaves the alternate screen, with the exit code of an interrupted program."""
    command = [sys.executable, "-m", "trainer", "--db", str(tmp_path / "t.db")]
    terminal = Terminal(command, _environment(tmp_path))
    try:
        terminal.read_until(lambda written: b"Cautions" in written)
        terminal.process.send_signal(number)
        terminal.read_until(lambda written: b"\x1b[?1049l" in written)
        code = terminal.process.wait(LONGEST_WAIT_S)
    finally:
        terminal.close()

    assert code == 130
    assert b"Traceback" not in terminal.written


@posix
def test_closing_the_terminal_ends_it(tmp_path: Path) -> None:
    """The hang-up and the "go on" that come with it leave nothing running."""
    command = [sys.executable, "-m", "trainer", "--db", str(tmp_path / "t.db")]
    terminal = Terminal(command, _environment(tmp_path))
    try:
        terminal.read_until(lambda written: b"Cautions" in written)
        os.close(terminal.master)
        terminal.process.send_signal(signal.SIGHUP)
        terminal.process.send_signal(signal.SIGCONT)
        code = terminal.process.wait(LONGEST_WAIT_S)
    finally:
        terminal.master = os.open(os.devnull, os.O_RDONLY)
        terminal.close()

    assert code == 130


@posix
def test_a_file_that_is_none_of_ours_is_said_after_the_screen(tmp_path: Path) -> None:
    """One sentence and the exit code of a data file; nothing is left on the screen."""
    wrong = tmp_path / "t.db"
    wrong.write_bytes(b"no database at all" * 100)
    command = [sys.executable, "-m", "trainer", "--db", str(wrong)]
    terminal = Terminal(command, _environment(tmp_path))
    try:
        terminal.read_until(lambda written: b"trainer: error:" in written)
        code = terminal.process.wait(LONGEST_WAIT_S)
    finally:
        terminal.close()

    assert code == 3
    _, after = terminal.written.split(b"\x1b[?1049l")
    assert str(wrong).encode() in after
    assert b"Traceback" not in terminal.written

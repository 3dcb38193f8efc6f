"""A terminal with graphics, of our own: it answers what terminals answer, takes the
pictures that it is sent, and keeps everything that was written."""

from __future__ import annotations

import base64
import contextlib
import fcntl
import os
import pty
import re
import struct
import subprocess
import termios
import time
from collections.abc import Callable
from pathlib import Path

COLUMNS, ROWS = 80, 24
CELL_PX = (9, 18)
LONGEST_WAIT_S = 60.0
"""Far more than it takes on a busy machine; a failure, not a measurement."""
ANSWERS: tuple[tuple[bytes, bytes], ...] = (
    (rb"\x1b\[c", b"\x1b[?62;4;22c"),
    (rb"\x1b\[16t", b"\x1b[6;18;9t"),
    (rb"\x1b\[14t", b"\x1b[4;432;720t"),
    (rb"\x1b_G[^;\x1b]*a=q[^\x1b]*\x1b\\", b"\x1b_Gi=31;OK\x1b\\"),
)
"""What would be asked about graphics, and what a terminal that has them says: primary
device attributes (DEC), sizes (xterm's control sequences), kitty's query."""
_KITTY = re.compile(rb"\x1b_G([^;\x1b]*)(?:;([^\x1b]*))?\x1b\\")
_INLINE = re.compile(rb"\x1b\]1337;File=([^:]*):([^\x07]*)\x07")


class FakeTerminal:
    """A program on a pseudo-terminal that says how large its cells are."""

    def __init__(self, command: list[str], environ: dict[str, str]) -> None:
        self.master, slave = pty.openpty()
        pixels = (COLUMNS * CELL_PX[0], ROWS * CELL_PX[1])
        size = struct.pack("HHHH", ROWS, COLUMNS, *pixels)
        fcntl.ioctl(slave, termios.TIOCSWINSZ, size)
        self.process = subprocess.Popen(
            command,
            stdin=slave,
            stdout=slave,
            stderr=slave,
            env=environ,
            start_new_session=True,
        )
        os.close(slave)
        os.set_blocking(self.master, False)
        self.written = b""
        self.asked: list[bytes] = []
        self._answered = 0

    def type(self, keys: bytes) -> None:
        """Press keys."""
        os.write(self.master, keys)

    def read_until(self, enough: Callable[[], bool]) -> None:
        """Read, and answer what is asked, until ENOUGH says so; or fail."""
        deadline = time.monotonic() + LONGEST_WAIT_S
        while not enough():
            assert time.monotonic() < deadline, self.written[-3000:]
            try:
                self.written += os.read(self.master, 65536)
            except BlockingIOError:
                time.sleep(0.02)
            except OSError:  # Linux: the other end is closed
                return
            self._answer()

    def _answer(self) -> None:
        for question, answer in ANSWERS:
            for found in re.compile(question).finditer(self.written, self._answered):
                self.asked.append(found.group())
                self.type(answer)
        # A sequence may be cut off at the end of what was read.
        self._answered = max(self._answered, len(self.written) - 64)

    def pictures(self) -> list[bytes]:
        """Return the PNG files that were sent whole, by either protocol, in order."""
        found: list[tuple[int, bytes]] = []
        parts: list[bytes] = []
        for sent in _KITTY.finditer(self.written):
            keys = dict(
                pair.split(b"=", 1) for pair in sent[1].split(b",") if b"=" in pair
            )
            if keys.get(b"a", b"T") != b"T":
                continue
            parts.append(sent[2] or b"")
            if keys.get(b"m", b"0") == b"0":
                found.append((sent.start(), base64.b64decode(b"".join(parts))))
                parts = []
        found += [
            (sent.start(), base64.b64decode(sent[2]))
            for sent in _INLINE.finditer(self.written)
        ]
        return [png for _, png in sorted(found)]

    def close(self) -> None:
        """Leave no process behind."""
        if self.process.poll() is None:
            self.process.kill()
        self.process.wait()
        with contextlib.suppress(OSError):
            os.close(self.master)


def environment(home: Path, **terminal: str) -> dict[str, str]:
    """Return the environment of a program on a terminal that says so much of itself."""
    named = {
        f"XDG_{name.upper()}_HOME": str(home / name)
        for name in ("data", "config", "state")
    }
    passed = {
        name: value
        for name, value in os.environ.items()
        if name in ("PATH", "PYTHONPATH", "LANG", "LC_ALL")
    }
    return {**passed, "HOME": str(home), "LC_ALL": "C.UTF-8", **named, **terminal}

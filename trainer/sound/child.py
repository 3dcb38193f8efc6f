"""One sound process, as long as it lives: started, talked to, listened to, ended.

Nothing here waits for a device or for the process: writes don't block, what isn't taken
is written later, and everything that came back is read in one go.
"""

from __future__ import annotations

import contextlib
import os
import subprocess
import sys
import threading
from collections import deque

from trainer.core.cues.settings import Backend
from trainer.sound import protocol
from trainer.sound.clips import PACKAGE_DIR

BEAT_LIMIT_S = 0.6
"""Without a heartbeat for this long the process is replaced."""
BUSY_LIMIT_S = 5.0
"""The same while it starts, opens a device or makes a breath."""
CLOSE_LIMIT_S = 0.5

BOOT = (
    "import runpy, sys; sys.path.append(sys.argv.pop(1));"
    " runpy.run_module('trainer.sound.worker', run_name='__main__', alter_sys=True)"
)
"""``-m trainer.sound.worker`` that also finds the package in a checkout that was never
installed: isolated mode leaves out the folder that one stands in, as it should."""


class Child:
    """One sound process, as long as it lives."""

    def __init__(self, backend: Backend, *, now_s: float, log: int) -> None:
        self.backend = backend
        self.opened = False
        self.why = ""
        self._heard_s = now_s
        self._limit_s = BUSY_LIMIT_S
        self._lines: deque[bytes] = deque(maxlen=1000)
        self._unsent = bytearray()
        self._sheet = b""
        self._process = subprocess.Popen(
            (sys.executable, "-I", "-c", BOOT, str(PACKAGE_DIR.parent), backend.value),
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=log,
            bufsize=0,
            # A ctrl+c at the terminal is for the program; the sound has its own end.
            start_new_session=True,
            creationflags=getattr(subprocess, "CREATE_NEW_PROCESS_GROUP", 0),
        )
        if os.name == "posix" and self._process.stdin is not None:
            os.set_blocking(self._process.stdin.fileno(), False)
        self._reader = threading.Thread(target=self._read, daemon=True)
        self._reader.start()

    @property
    def pid(self) -> int:
        """The process's number, for tests and for people who look."""
        return self._process.pid

    def _read(self) -> None:
        stdout = self._process.stdout
        if stdout is None:
            return
        with contextlib.suppress(OSError, ValueError), stdout:
            for text in stdout:
                self._lines.append(text)

    def send(self, line: bytes) -> None:
        """Send LINE, the rest of an earlier one first."""
        self._unsent += line
        self.flush()

    def send_sheet(self, line: bytes) -> None:
        """Send a sheet's LINE in place of any that hasn't gone yet."""
        self._sheet = line
        self.flush()

    def flush(self) -> None:
        """Write what the pipe takes."""
        if self._process.stdin is None:
            return
        with contextlib.suppress(OSError, ValueError):
            while self._unsent or self._sheet:
                if not self._unsent:
                    self._unsent += self._sheet
                    self._sheet = b""
                sent = os.write(self._process.stdin.fileno(), self._unsent[:4096])
                del self._unsent[:sent]

    def forgive(self, now_s: float) -> None:
        """Start the watch anew."""
        self._heard_s = now_s

    def ailing(self, now_s: float) -> bool:
        """Read what came back; tell whether the process is dead or hangs."""
        # Asked for before the lines are read: then they are all that will come.
        told_all = not self._reader.is_alive()
        while self._lines:
            message = protocol.read(self._lines.popleft())
            if message is None:
                continue
            self._heard_s = now_s
            said = message.get("say")
            self._limit_s = BUSY_LIMIT_S if said == protocol.BUSY else BEAT_LIMIT_S
            self.opened = self.opened or said == protocol.OPEN
            if said == protocol.FAILED:
                self.why = str(message.get("why", ""))
        # One that has ended may have said why, in words that nobody has read yet.
        if self.why or (told_all and self._process.poll() is not None):
            return True
        return now_s - self._heard_s > self._limit_s

    def kill(self) -> None:
        """End it at once; it is reaped as soon as it is gone."""
        with contextlib.suppress(OSError):
            self._process.kill()
        self._hang_up()

    def gone(self) -> bool:
        """Reap it, if it has ended."""
        return self._process.poll() is not None

    def end(self) -> None:
        """Let it go on its own, then make it."""
        self._hang_up()
        # OSError: a wait is made of sleeps, which a clock that is set may refuse.
        with contextlib.suppress(subprocess.TimeoutExpired, OSError):
            self._process.wait(CLOSE_LIMIT_S)
        if not self.gone():
            with contextlib.suppress(subprocess.TimeoutExpired, OSError):
                self._process.kill()
                self._process.wait(2 * CLOSE_LIMIT_S)
        # A player that it started may hold its stdout a moment longer; the thread is a
        # daemon and ends with the pipe.
        self._reader.join(CLOSE_LIMIT_S)

    def _hang_up(self) -> None:
        if self._process.stdin is not None:
            with contextlib.suppress(OSError):
                self._process.stdin.close()

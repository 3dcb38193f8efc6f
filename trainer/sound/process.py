"""The player that keeps a sound process: starts it, watches it, replaces it, gives up.

Nothing here waits for a device or for the process: writes don't block, what isn't taken
is written on the next poll, and everything that came back is read in one go.
"""

from __future__ import annotations

import contextlib
import os
import subprocess
import sys
import threading
from collections import deque
from collections.abc import Sequence
from pathlib import Path

from trainer.core.clock import Clock
from trainer.core.cues import TimedCue
from trainer.core.sound_settings import Backend, SoundSettings
from trainer.sound import protocol
from trainer.sound.clips import PACKAGE_DIR
from trainer.sound.player import Player

BEAT_LIMIT_S = 0.6
"""Without a heartbeat for this long the process is replaced."""
BUSY_LIMIT_S = 5.0
"""The same while it starts, opens a device or makes a breath."""
STALL_S = 0.3
"""If nobody polled for this long, it is we who were away; the watch starts anew."""
RESTARTS = 3
"""Restarts within ``RESTARTS_WITHIN_S``; then the next backend has its turn."""
RESTARTS_WITHIN_S = 30.0
RETRY_AFTER_S = 0.25
"""A device that was there and went away is asked for again after this."""
CLOSE_LIMIT_S = 0.5
LOG_NAME = "sound.log"
LOG_LIMIT_BYTES = 256_000

IN_WORDS = {
    Backend.SIMPLEAUDIO: "simpleaudio",
    Backend.SYSTEM: "the system's own player",
}

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
            start_new_session=True,
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
        with contextlib.suppress(OSError, ValueError):
            for text in self._process.stdout or ():
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
        if self._process.poll() is not None or self.why:
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
        with contextlib.suppress(subprocess.TimeoutExpired):
            self._process.wait(CLOSE_LIMIT_S)
        if not self.gone():
            self._process.kill()
            with contextlib.suppress(subprocess.TimeoutExpired):
                self._process.wait(2 * CLOSE_LIMIT_S)
        # A player that it started may hold its stdout a moment longer; the thread is a
        # daemon and ends with the pipe.
        self._reader.join(CLOSE_LIMIT_S)

    def _hang_up(self) -> None:
        if self._process.stdin is not None:
            with contextlib.suppress(OSError):
                self._process.stdin.close()


class ProcessPlayer:
    """Plays through a sound process, and through what is left when that can't be.

    Args:
        settings: voice, volume, muted cues.
        backends: those to try, in order; simpleaudio and system need a process.
        clock: the system's monotonic clock.
        state_dir: where the process's log goes.
        last: who plays when no process can.
    """

    def __init__(
        self,
        settings: SoundSettings,
        *,
        backends: Sequence[Backend],
        clock: Clock,
        state_dir: Path,
        last: Player,
    ) -> None:
        self._settings = settings
        self._backends = list(backends)
        self._clock = clock
        self._log = open_log(state_dir)
        self._last = last
        self._sheet: tuple[TimedCue, ...] = ()
        self._child: Child | None = None
        self._dying: list[Child] = []
        self._failures_s: list[float] = []
        self._retry_at_s: float | None = None
        self._polled_s = clock.now_s()
        self._notices: list[str] = []
        self._closed = False
        self.reasons: list[str] = []
        """Why each backend that was given up was given up, for the doctor."""
        self._start()

    @property
    def name(self) -> str:
        """The backend in use just now."""
        return self._backends[0].value if self._backends else self._last.name

    @property
    def pid(self) -> int | None:
        """The sound process's number, while there is one."""
        return None if self._child is None else self._child.pid

    @property
    def ready(self) -> bool:
        """Whether a device is open, or none is needed."""
        return not self._backends or (self._child is not None and self._child.opened)

    def play(self, sheet: Sequence[TimedCue]) -> None:
        """Send the sheet on."""
        self._sheet = tuple(sheet)
        if not self._backends:
            self._last.play(sheet)
        elif self._child is not None:
            self._child.send_sheet(protocol.sheet_line(self._sheet))

    def silence(self) -> None:
        """Send an empty sheet."""
        self.play(())

    def change(self, settings: SoundSettings) -> None:
        """Send the settings on."""
        self._settings = settings
        self._last.change(settings)
        if self._child is not None:
            self._child.send(protocol.settings_line(settings))

    def poll(self) -> tuple[str, ...]:
        """Watch over the process."""
        now_s = self._clock.now_s()
        if not self._closed and self._backends:
            self._watch(now_s)
        self._dying = [child for child in self._dying if not child.gone()]
        self._polled_s = now_s
        notices, self._notices = self._notices, []
        return (*notices, *self._last.poll())

    def close(self) -> None:
        """End every process, and wait until each is gone."""
        if self._closed:
            return
        self._closed = True
        for child in (*self._dying, *([self._child] if self._child else [])):
            child.end()
        self._child, self._dying, self._backends = None, [], []
        self._last.close()
        if self._log != subprocess.DEVNULL:
            os.close(self._log)

    def _watch(self, now_s: float) -> None:
        if self._child is None:
            if self._retry_at_s is not None and now_s >= self._retry_at_s:
                self._start()
            return
        if now_s - self._polled_s > STALL_S:
            self._child.forgive(now_s)
        self._child.flush()
        if not self._child.ailing(now_s):
            return
        child, self._child = self._child, None
        child.kill()
        self._dying.append(child)
        self._failed(child, now_s)

    def _failed(self, child: Child, now_s: float) -> None:
        recent = [at_s for at_s in self._failures_s if now_s - at_s < RESTARTS_WITHIN_S]
        self._failures_s = [*recent, now_s]
        never = bool(child.why) and not child.opened and len(recent) == 0
        if never or len(self._failures_s) > RESTARTS:
            self._fall_back(child.why)
        elif child.why:
            # The device went away: asking again at once would only fail again.
            self._retry_at_s = now_s + RETRY_AFTER_S
        else:
            if not recent:
                self._notices.append("The sound stopped and was started again.")
            self._start()

    def _fall_back(self, why: str) -> None:
        failed = self._backends.pop(0)
        self._failures_s = []
        self.reasons.append(why or f"{failed.value} stopped again and again")
        self._notices.append(
            f"No sound through {IN_WORDS[failed]}; from here on {self._now_in_words()}."
            f" `trainer doctor` says what to do."
        )
        if self._backends:
            self._start()
        else:
            self._last.play(self._sheet)

    def _now_in_words(self) -> str:
        if self._backends:
            return f"through {IN_WORDS[self._backends[0]]}"
        return "the terminal's bell" if self._last.name == Backend.BELL else "silence"

    def _start(self) -> None:
        self._retry_at_s = None
        now_s = self._clock.now_s()
        try:
            self._child = Child(self._backends[0], now_s=now_s, log=self._log)
        except OSError as error:
            self._fall_back(str(error))
            return
        self._child.send(protocol.settings_line(self._settings))
        if self._sheet:
            self._child.send_sheet(protocol.sheet_line(self._sheet))


def open_log(state_dir: Path) -> int:
    """Open the log for the process's stderr; anything that fails means no log."""
    with contextlib.suppress(OSError):
        state_dir.mkdir(mode=0o700, parents=True, exist_ok=True)
        path = state_dir / LOG_NAME
        flags = os.O_WRONLY | os.O_CREAT | os.O_APPEND
        if path.exists() and path.stat().st_size > LOG_LIMIT_BYTES:
            flags |= os.O_TRUNC
        return os.open(path, flags, 0o600)
    return subprocess.DEVNULL


def process_player(
    settings: SoundSettings,
    *,
    clock: Clock,
    state_dir: Path,
    last: Player,
) -> ProcessPlayer:
    """Make the player for SETTINGS: what was asked for first, then what is left."""
    backends = [Backend.SIMPLEAUDIO, Backend.SYSTEM]
    if settings.backend is Backend.SYSTEM:
        backends = [Backend.SYSTEM]
    return ProcessPlayer(
        settings, backends=backends, clock=clock, state_dir=state_dir, last=last
    )

"""The system's own player as an output: fed in step with the clock through a pipe."""

from __future__ import annotations

import contextlib
import os
import shutil
import subprocess
import sys
from collections.abc import Sequence

from trainer.sound.live import DeviceError
from trainer.sound.synth import samples_of
from trainer.sound.tones import RATE_HZ

PLAYERS: Sequence[tuple[str, ...]] = (
    (
        "pw-play",
        "--format=s16",
        f"--rate={RATE_HZ}",
        "--channels=1",
        "--latency=60ms",
        "-",
    ),
    (
        "paplay",
        "--raw",
        "--format=s16le",
        f"--rate={RATE_HZ}",
        "--channels=1",
        "--latency-msec=60",
    ),
    ("aplay", "-q", "-t", "raw", "-f", "S16_LE", "-r", str(RATE_HZ), "-c", "1", "-"),
)
"""Commands that play raw samples from their stdin, in the order of preference."""
LEAD_S = 0.1
"""How far ahead of the clock samples are handed over."""
PIPE_BYTES = 8192
"""Where it can be set (Linux): a player that is slow to start then lags by 0.2 s at
most, instead of by all that a pipe usually takes."""
HELP_LIMIT_S = 2
SETTLE_S = 0.1
"""A player that finds no device is gone within this (measured: 30 ms)."""


def find_player() -> tuple[str, ...] | None:
    """Find the first player that is installed."""
    for command in PLAYERS:
        path = shutil.which(command[0])
        if path is None:
            continue
        raw = ("--raw",) if command[0] == "pw-play" and _needs_raw(path) else ()
        return (path, *raw, *command[1:])
    return None


def _needs_raw(path: str) -> bool:
    """Newer versions of pw-play take stdin for a file unless told; older have no way
    to be told and need none (pw-cat manual, 0.3.58 to 1.4.9)."""
    try:
        shown = subprocess.run(
            (path, "--help"), capture_output=True, timeout=HELP_LIMIT_S, check=False
        )
    except (OSError, subprocess.SubprocessError):
        return False
    return b"--raw" in shown.stdout + shown.stderr


def _make_short(pipe: int) -> None:
    os.set_blocking(pipe, False)
    if sys.platform == "linux":
        import fcntl

        with contextlib.suppress(OSError):
            fcntl.fcntl(pipe, fcntl.F_SETPIPE_SZ, PIPE_BYTES)


class SystemOutput:
    """Pipes the buffer into a player, never far ahead, so that it can be changed."""

    edit_ahead_s = 0.13

    def __init__(self) -> None:
        command = find_player()
        if command is None:
            raise DeviceError("no player is installed")
        self._command = command
        self._process: subprocess.Popen[bytes] | None = None
        self._buffer = bytearray()
        self._sent = 0

    def open(self, buffer: bytearray) -> None:
        """Start the player and hand it the first tenth of a second."""
        self.stop()
        try:
            self._process = subprocess.Popen(
                self._command, stdin=subprocess.PIPE, stdout=subprocess.DEVNULL
            )
        except OSError as error:
            raise DeviceError(str(error)) from error
        if self._process.stdin is not None:
            _make_short(self._process.stdin.fileno())
        with contextlib.suppress(subprocess.TimeoutExpired):
            status = self._process.wait(SETTLE_S)
            raise DeviceError(f"{self._command[0]} ended with status {status}")
        self._buffer = buffer
        self._sent = 0
        self.pump(0)

    def pump(self, position: int) -> None:
        """Hand over what is due."""
        if self._process is None or self._process.stdin is None:
            return
        due = min(2 * (position + samples_of(LEAD_S)), len(self._buffer))
        if due <= self._sent:
            return
        with contextlib.suppress(OSError):
            piece = memoryview(self._buffer)[self._sent : due]
            # A pipe that is full loses a piece rather than shift all that follows;
            # whole samples only.
            os.write(self._process.stdin.fileno(), piece)
        self._sent = due

    def playing(self) -> bool:
        """Tell whether the player still runs and has something to play."""
        return (
            self._process is not None
            and self._process.poll() is None
            and self._sent < len(self._buffer)
        )

    def slipped(self) -> bool:
        """Never known of a player at the end of a pipe."""
        return False

    def stop(self) -> None:
        """End the player at once."""
        if self._process is None:
            return
        if self._process.stdin is not None:
            with contextlib.suppress(OSError):
                self._process.stdin.close()
        self._process.kill()
        self._process.wait()
        self._process = None

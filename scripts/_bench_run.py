"""How ``bench.py`` and its like run a program and take its time."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

SIZE = (100, 30)
"""Columns and rows of the terminal that full-screen programs get."""


@dataclass(frozen=True)
class Run:
    """What one run of a program took."""

    wall_s: float
    peak_kb: int


def run(code: str, arguments: Sequence[str], *, terminal: bool, home: Path) -> Run:
    """Run CODE in a process of its own, on a terminal of its own if wanted."""
    environ = {**os.environ, "HOME": str(home), "TERM": "xterm-256color"}
    environ.pop("TRAINER_DB", None)
    # A program that is installed has its bytecode, whatever is set where it is built.
    environ.pop("PYTHONDONTWRITEBYTECODE", None)
    # -P: the package that is installed, not one that lies about.
    command = [sys.executable, "-P", "-c", code, *arguments]
    begun = time.perf_counter()
    if terminal:
        status, usage = _on_a_terminal(command, environ)
    else:
        with subprocess.Popen(
            command, env=environ, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL
        ) as child:
            _, status, usage = os.wait4(child.pid, 0)
            child.returncode = os.waitstatus_to_exitcode(status)
    wall_s = time.perf_counter() - begun
    if status != 0:
        sys.exit(f"bench: a program ended with {os.waitstatus_to_exitcode(status)}")
    per_kb = 1024 if sys.platform == "darwin" else 1
    return Run(wall_s, usage.ru_maxrss // per_kb)


def _on_a_terminal(
    command: Sequence[str], environ: dict[str, str]
) -> tuple[int, object]:
    """Run COMMAND on a new terminal, reading what it draws as a terminal would."""
    import fcntl
    import pty
    import struct
    import termios

    pid, terminal = pty.fork()
    if pid == 0:
        os.execve(command[0], list(command), environ)
    size = struct.pack("HHHH", SIZE[1], SIZE[0], 0, 0)
    fcntl.ioctl(terminal, termios.TIOCSWINSZ, size)
    while True:
        try:
            if not os.read(terminal, 65536):
                break
        except OSError:  # Linux says so when the last writer is gone
            break
    _, status, usage = os.wait4(pid, 0)
    os.close(terminal)
    return status, usage

"""What happens to sound when something breaks in mid-hold: a table for people.

    bench_sound_faults.py [WORD ...]     only faults with one of these in their names

Each fault strikes a hang that is played through a loopback, once with each engine that
is installed (asked for by name: behind it stands what it falls back to). The table says
how long nothing was heard, what was said, what played in the end, how many bytes
reached the terminal, and which sound processes were left behind.
"""

from __future__ import annotations

import contextlib
import json
import os
import pty
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT), str(ROOT / "scripts")]

from _loopback import RATE_HZ, Loopback, load, loopback, missing  # noqa: E402
from bench_sound import (  # noqa: E402
    PERFORM,
    Sheet,
    engines,
    hold_sheet,
    onsets,
    scene,
)

with contextlib.suppress(ImportError):  # ``missing`` says so before they are needed
    import numpy as np
    from scipy.signal import fftconvolve

from trainer.core.cues.settings import SoundSettings, Voice  # noqa: E402
from trainer.sound import clips  # noqa: E402
from trainer.sound.mix import Voicing, place, render  # noqa: E402

STRIKE_S = 8.0
LENGTH_S = 24.0
SHEET = hold_sheet(press=False, hold_s=14, setup_s=4)
LOUD = 0.004
BLOCK = RATE_HZ // 100


@dataclass
class Outcome:
    """What one fault came to."""

    heard_after: str = ""
    gap_s: float | None = None
    notices: list[str] = field(default_factory=list)
    used: str = ""
    terminal_bytes: int = 0
    left: int = 0


class Stage:
    """A performer under way, with its terminal."""

    def __init__(
        self, loop: Loopback, engine: str, env: dict[str, str], lead_s: float = 1.5
    ) -> None:
        self.loop = loop
        self._state = tempfile.mkdtemp(prefix="faults-", dir=loop.home)
        self._screen, terminal = pty.openpty()
        self._program = subprocess.Popen(
            PERFORM,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=terminal,
            env=env,
        )
        os.close(terminal)
        played = scene(
            [(-1.0, SHEET)],
            LENGTH_S,
            state_dir=self._state,
            lead_s=lead_s,
            settings={"backend": engine, "voice": "tones"},
        )
        stdin, self._stdout = self._program.stdin, self._program.stdout
        if stdin is None or self._stdout is None:
            raise RuntimeError("no pipes")
        stdin.write(json.dumps(played).encode())
        stdin.close()
        begun = json.loads(self._stdout.readline())
        self.zero_s: float = begun["zero_s"]
        self.pid: int = begun["pid"]

    def wait_until(self, at_s: float) -> None:
        """Sleep until AT_S of the scene."""
        time.sleep(max(0.0, self.zero_s + at_s - time.monotonic()))

    def end(self) -> Outcome:
        """Wait for the end; tell what it came to."""
        report: dict[str, Any] = json.loads(self._stdout.read().splitlines()[-1])
        self._program.wait()
        os.set_blocking(self._screen, False)
        try:
            written = len(os.read(self._screen, 10_000))
        except OSError:
            written = 0
        os.close(self._screen)
        time.sleep(0.5)
        left = [pid for pid in report["pids"] if Path(f"/proc/{pid}").exists()]
        return Outcome(
            notices=[text for _, text in report["notices"]],
            used=report["name"],
            terminal_bytes=written,
            left=len(left),
        )


def longest_silence_s(samples: Any, start_s: float, stop_s: float) -> float:
    """Give the longest stretch of silence between two times, to 10 ms."""
    piece = np.abs(samples[round(start_s * RATE_HZ) : round(stop_s * RATE_HZ)])
    blocks = piece[: len(piece) // BLOCK * BLOCK].reshape(-1, BLOCK).max(axis=1) > LOUD
    longest = run = 0
    for loud in blocks:
        run = 0 if loud else run + 1
        longest = max(longest, run)
    return longest * BLOCK / RATE_HZ


def strike(engine: str, blow: Callable[[Stage], None]) -> Outcome:
    """Let BLOW fall in mid-hold, while a breath sounds."""
    with loopback() as loop:
        loop.record()
        stage = Stage(loop, engine, loop.env)
        stage.wait_until(STRIKE_S)
        blow(stage)
        outcome = stage.end()
        samples, first_s = loop.heard()
    zero_s = stage.zero_s - first_s
    outcome.gap_s = longest_silence_s(
        samples, zero_s + STRIKE_S - 0.5, zero_s + STRIKE_S + 4
    )
    outcome.heard_after = heard_after(samples, zero_s, STRIKE_S + 2)
    return outcome


def base_s(samples: Any, zero_s: float) -> float:
    """Find how far the whole recording lies from where it should, within 3 s.

    A recorder that begins while something plays starts from a base of its own; only
    the comparison with a control that was recorded in the same way says something.
    """
    voicing = Voicing(clips.load(), SoundSettings(voice=Voice.TONES))
    placed = place(SHEET, before=(), voicing=voicing, zero_s=0, edit=-RATE_HZ)
    whole = render(placed, 0, round(LENGTH_S * RATE_HZ))
    expected = np.frombuffer(whole, dtype="<i2") / 32768
    match = fftconvolve(samples, expected[::-1])
    at = round(zero_s * RATE_HZ) + len(expected) - 1
    first = max(0, at - 3 * RATE_HZ)
    return float(first + np.argmax(match[first : at + 3 * RATE_HZ]) - at) / RATE_HZ


def heard_after(samples: Any, zero_s: float, at_s: float, *, based: bool = True) -> str:
    """Count the cues that were heard in place after AT_S."""
    later: Sheet = tuple(c for c in SHEET if at_s < c.at_s < LENGTH_S - 1.5)
    base = base_s(samples, zero_s)
    found = onsets(samples, zero_s + base, later)
    late_ms = [(late + base) * 1000 for _, late in found]
    if not late_ms:
        return f"0 of {len(later)} cues"
    heard = f"{len(late_ms)} of {len(later)} cues"
    heard += f", within {max(late_ms) - min(late_ms):.1f} ms of each other"
    return f"{heard}, {np.median(late_ms):+.0f} ms" if based else heard


def signalled(number: signal.Signals) -> Callable[[Stage], None]:
    """Make the blow that sends a signal to the sound process."""
    return lambda stage: os.kill(stage.pid, number)


def freeze_server(stage: Stage) -> None:
    """The blow that stops the sound server for two seconds."""
    stage.loop.server.send_signal(signal.SIGSTOP)
    time.sleep(2.0)
    stage.loop.server.send_signal(signal.SIGCONT)


def server_gone_for(engine: str, away_s: float) -> Outcome:
    """Kill the sound server in mid-hold; bring it back after a while."""
    with loopback() as loop:
        stage = Stage(loop, engine, loop.env)
        stage.wait_until(STRIKE_S)
        loop.server.kill()
        loop.server.wait()
        time.sleep(away_s)
        if away_s > LENGTH_S:
            return stage.end()
        loop.restart()
        loop.record()
        outcome = stage.end()
        samples, first_s = loop.heard()
    zero_s = stage.zero_s - first_s
    since_s = first_s - stage.zero_s + 0.5
    outcome.heard_after = heard_after(samples, zero_s, since_s, based=False)
    return outcome


def server_while_opening(engine: str, *, frozen: bool) -> Outcome:
    """Stop the sound server for two seconds as the device is being opened, or not.

    The recorder began before: a null sink that goes on renders what it has missed, so
    the recording keeps its base.
    """
    with loopback() as loop:
        loop.record()
        if frozen:
            loop.server.send_signal(signal.SIGSTOP)
        stage = Stage(loop, engine, loop.env, lead_s=1.0)
        time.sleep(2.0)
        loop.server.send_signal(signal.SIGCONT)
        outcome = stage.end()
        samples, first_s = loop.heard()
    outcome.heard_after = heard_after(samples, stage.zero_s - first_s, 2.0)
    return outcome


def device_refused(engine: str, *, server: bool) -> Outcome:
    """Let ALSA's default refuse, as a device does that another program holds; without
    a SERVER that could be reached in another way, or with one."""
    with loopback() as loop:
        loop.record()
        refused = loop.home / "refused.conf"
        refused.write_text("pcm.!default { type hw card 31 }\n")
        env = {**loop.env, "ALSA_CONFIG_PATH": str(refused)}
        if not server:
            env["PULSE_SERVER"] = f"unix:{loop.home}/nobody"
        stage = Stage(loop, engine, env)
        outcome = stage.end()
        samples, first_s = loop.heard()
    outcome.heard_after = heard_after(samples, stage.zero_s - first_s, 0.0)
    return outcome


FAULTS: dict[str, Callable[[str], Outcome]] = {
    "sound process: SIGKILL": lambda e: strike(e, signalled(signal.SIGKILL)),
    "sound process: SIGSEGV": lambda e: strike(e, signalled(signal.SIGSEGV)),
    "sound process: SIGSTOP": lambda e: strike(e, signalled(signal.SIGSTOP)),
    "server frozen 2 s in mid-hold": lambda e: strike(e, freeze_server),
    "server killed, back after 0.5 s": lambda e: server_gone_for(e, 0.5),
    "server killed for good": lambda e: server_gone_for(e, LENGTH_S + 1),
    "server frozen 2 s while opening": lambda e: server_while_opening(e, frozen=True),
    "the same, not frozen (control)": lambda e: server_while_opening(e, frozen=False),
    "ALSA's default refuses": lambda e: device_refused(e, server=True),
    "every device refuses": lambda e: device_refused(e, server=False),
}


def main() -> int:
    """Print the table; 1 if there is no loopback here."""
    if why := missing():
        print(f"bench_sound_faults: {why}", file=sys.stderr)
        return 1
    print(load())
    for name, happen in FAULTS.items():
        if sys.argv[1:] and not any(word in name for word in sys.argv[1:]):
            continue
        with ThreadPoolExecutor(len(engines()) or 1) as at_once:
            outcomes = list(at_once.map(happen, engines()))
        print(name)
        for engine, outcome in zip(engines(), outcomes, strict=True):
            show(engine, outcome)
    return 0


def show(engine: str, outcome: Outcome) -> None:
    """Print what one fault came to with one engine."""
    gap = "-" if outcome.gap_s is None else f"{outcome.gap_s:.2f} s"
    print(
        f"  {engine}: silent for {gap}; heard after it: {outcome.heard_after or '-'};"
        f" at the end: {outcome.used}; bytes on the terminal:"
        f" {outcome.terminal_bytes}; processes left: {outcome.left}"
    )
    for notice in outcome.notices:
        print(f"    said: {notice}")
    sys.stdout.flush()


if __name__ == "__main__":
    sys.exit(main())

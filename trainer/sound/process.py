"""The player that keeps a sound process: starts it, watches it, replaces it, gives up.

Whatever happens to sound, nothing is raised and the caller is never kept waiting.
"""

from __future__ import annotations

import contextlib
import os
import subprocess
from collections.abc import Sequence
from importlib.util import find_spec
from pathlib import Path

from trainer.core.clock import Clock
from trainer.core.cues.cues import TimedCue
from trainer.core.cues.settings import Backend, SoundSettings
from trainer.sound import protocol
from trainer.sound.child import Child
from trainer.sound.player import Player

STALL_S = 0.3
"""If nobody polled for this long, it is we who were away; the watch starts anew."""
RESTARTS = 3
"""Restarts within ``RESTARTS_WITHIN_S``; then the next backend has its turn."""
RESTARTS_WITHIN_S = 30.0
RETRY_AFTER_S = 0.25
"""A device that was there and went away is asked for again after this, then after twice
as long, and so on: a sound server that is started anew takes a second or two."""
COME_BACK_S = 10.0
"""Once nothing is left but the bell, a backend that did work is tried this often."""
LOG_NAME = "sound.log"
LOG_LIMIT_BYTES = 256_000

ENGINES = (Backend.SIMPLEAUDIO, Backend.MINIAUDIO)
"""The libraries that play; either plays everything."""
ORDER = (*ENGINES, Backend.SYSTEM)
"""All that need a process, each followed by what it falls back to."""

IN_WORDS = {
    Backend.SIMPLEAUDIO: "simpleaudio",
    Backend.MINIAUDIO: "miniaudio",
    Backend.SYSTEM: "the system's own player",
}


class ProcessPlayer:
    """Plays through a sound process, and through what is left when that can't be.

    Args:
        settings: voice, volume, muted cues.
        backends: those to try, in order; each needs a process.
        absent: engines left out because they aren't installed. One alone is no loss
            that a session would have to speak of: the other plays all of it too.
        clock: the system's monotonic clock.
        state_dir: where the process's log goes.
        last: who plays when no process can.
    """

    def __init__(
        self,
        settings: SoundSettings,
        *,
        backends: Sequence[Backend],
        absent: Sequence[Backend] = (),
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
        self._worked: Backend | None = None
        self._come_back_at_s = 0.0
        self.reasons = [f"{each.value} isn't installed" for each in absent]
        """Why each backend that isn't in use isn't, for the doctor."""
        if len(absent) == len(ENGINES):
            self._notices.append(
                f"Neither {' nor '.join(IN_WORDS[each] for each in absent)} is"
                f" installed; sound comes {self._now_in_words()}."
                " `trainer doctor` says what to do."
            )
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
        if self._backends:
            self._watch(now_s)
        elif not self._closed and self._worked is not None:
            self._try_again(self._worked, now_s)
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
        if self._child.ailing(now_s):
            self._failed(self._put_away(self._child), now_s)
        elif self._child.opened:
            self._worked = self._child.backend

    def _put_away(self, child: Child) -> Child:
        self._child = None
        child.kill()
        self._dying.append(child)
        return child

    def _try_again(self, backend: Backend, now_s: float) -> None:
        """A server that was restarted must not cost the rest of a session its sound."""
        if self._child is None:
            if now_s >= self._come_back_at_s:
                self._come_back_at_s = now_s + COME_BACK_S
                self._child = self._new(backend)
        elif self._child.ailing(now_s):
            self._put_away(self._child)
        elif self._child.opened:
            self._backends = [backend]
            self._last.silence()
            self._child.send_sheet(protocol.sheet_line(self._sheet))
            self._notices.append(f"The sound is back, through {IN_WORDS[backend]}.")

    def _failed(self, child: Child, now_s: float) -> None:
        recent = [at_s for at_s in self._failures_s if now_s - at_s < RESTARTS_WITHIN_S]
        self._failures_s = [*recent, now_s]
        never = bool(child.why) and not child.opened and len(recent) == 0
        if never or len(self._failures_s) > RESTARTS:
            self._fall_back(child.why)
        elif child.why:
            # The device went away: asking again at once would only fail again.
            self._retry_at_s = now_s + RETRY_AFTER_S * 2 ** len(recent)
        else:
            if not recent:
                self._notices.append("The sound stopped and was started again.")
            self._start()

    def _fall_back(self, why: str) -> None:
        failed = self._backends.pop(0)
        self._failures_s = []
        how = f"failed ({why})" if why else "stopped again and again"
        self.reasons.append(f"{IN_WORDS[failed]} {how}")
        self._notices.append(
            f"No sound through {IN_WORDS[failed]}; from here on {self._now_in_words()}."
            f" `trainer doctor` says what to do."
        )
        if self._backends:
            self._start()
        else:
            self._come_back_at_s = self._clock.now_s() + COME_BACK_S
            self._last.play(self._sheet)

    def _now_in_words(self) -> str:
        if self._backends:
            return f"through {IN_WORDS[self._backends[0]]}"
        return "the terminal's bell" if self._last.name == Backend.BELL else "silence"

    def _start(self) -> None:
        self._retry_at_s = None
        self._child = self._new(self._backends[0])
        if self._child is None:
            self._fall_back("the sound process can't be started")
        elif self._sheet:
            self._child.send_sheet(protocol.sheet_line(self._sheet))

    def _new(self, backend: Backend) -> Child | None:
        try:
            child = Child(backend, now_s=self._clock.now_s(), log=self._log)
        except OSError:
            return None
        child.send(protocol.settings_line(self._settings))
        return child


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
    absent: tuple[Backend, ...] = ()
    if settings.backend in ORDER:
        backends = ORDER[ORDER.index(settings.backend) :]
    else:
        absent = tuple(each for each in ENGINES if find_spec(each.value) is None)
        backends = tuple(each for each in ORDER if each not in absent)
    return ProcessPlayer(
        settings,
        backends=backends,
        absent=absent,
        clock=clock,
        state_dir=state_dir,
        last=last,
    )

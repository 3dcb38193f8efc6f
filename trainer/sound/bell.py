"""The terminal's bell as a player: the last that can still be heard.

A bell has one pitch and no length, so it says little: how often it rings is all.
"""

from __future__ import annotations

import contextlib
import os
import sys
from collections.abc import Callable, Mapping, Sequence

from trainer.core.clock import Clock
from trainer.core.cues.cues import Cue, TimedCue
from trainer.core.cues.settings import Backend, SoundSettings

RINGS: Mapping[Cue, int] = {
    Cue.GO_UP: 1,
    Cue.HOLD: 2,
    Cue.HALFWAY: 1,
    Cue.LAST_TICK: 1,
    Cue.TEN_MORE: 1,
    Cue.TARGET: 3,
    Cue.REST_NEARLY_OVER: 1,
    Cue.NEXT_MOVE: 1,
    Cue.DONE: 3,
}
"""How often the bell rings; cues that aren't here have none (our choice)."""
RING_EVERY_S = 0.2
LATE_S = 0.5
"""A ring later than this is dropped: bells in a burst say nothing."""


def ring_terminal() -> None:
    """Send a bell to the terminal that the program runs in, if there is one.

    Past the standard streams, which may be piped or taken by the screen. Terminals
    obey a bell in the middle of their other sequences (ECMA-48, C0 in a control
    sequence), so it can't garble what the screen is writing.
    """
    if sys.platform == "win32":
        import winsound

        with contextlib.suppress(RuntimeError):
            winsound.MessageBeep()
        return
    with contextlib.suppress(OSError):
        terminal = os.open("/dev/tty", os.O_WRONLY | os.O_NOCTTY | os.O_NONBLOCK)
        try:
            os.write(terminal, b"\a")
        finally:
            os.close(terminal)


class BellPlayer:
    """Rings the bell when it is polled."""

    name = Backend.BELL.value

    def __init__(
        self, settings: SoundSettings, *, clock: Clock, ring: Callable[[], None]
    ) -> None:
        self._settings = settings
        self._clock = clock
        self._ring = ring
        self._due_s: list[float] = []
        self._rung_s: set[float] = set()

    def play(self, sheet: Sequence[TimedCue]) -> None:
        """Take the rings of SHEET that are still to come."""
        now_s = self._clock.now_s()
        due_s = sorted(
            cue.at_s + number * RING_EVERY_S
            for cue in sheet
            if self._settings.audible(cue.cue)
            for number in range(RINGS.get(cue.cue, 0))
        )
        # A sheet that is sent again must not ring again what has just been rung.
        self._rung_s = {at_s for at_s in self._rung_s if at_s > now_s - LATE_S}
        self._due_s = [at_s for at_s in due_s if at_s not in self._rung_s]

    def silence(self) -> None:
        """Forget the sheet."""
        self._due_s = []

    def change(self, settings: SoundSettings) -> None:
        """Take the muted cues of SETTINGS."""
        self._settings = settings

    def poll(self) -> tuple[str, ...]:
        """Ring what is due, once a poll at most."""
        now_s = self._clock.now_s()
        due = [at_s for at_s in self._due_s if at_s <= now_s]
        self._due_s = self._due_s[len(due) :]
        self._rung_s.update(due)
        if self._settings.volume > 0 and any(at_s > now_s - LATE_S for at_s in due):
            self._ring()
        return ()

    def close(self) -> None:
        """Forget the sheet."""
        self.silence()

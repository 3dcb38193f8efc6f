"""When the session's screen looks: steadily, and at the moment a phase ends."""

from __future__ import annotations

import contextlib
import gc
import time
from collections.abc import Callable

from textual.message_pump import MessagePump
from textual.timer import Timer

from trainer.core.session.state import Phase

TICKS_PER_S = 10.0
"""Looks in a second; deadlines never depend on it (our choice)."""
BREATHING_TICKS_PER_S = 20.0
"""The same while the breathing line glides (our choice)."""
STILL_TICKS_PER_S = 2.0
"""The same while nothing runs (our choice)."""
NEAR_S = 0.04
"""A steady look this short before a deadline is left out: what it changed could still
be drawn when the deadline comes (our choice; drawing follows within a sixtieth of a
second and takes a few milliseconds)."""
EARLY_S = 0.015
"""The timer of a deadline is set so much before it, and the rest is waited out: waking,
and whatever else waits its turn, takes up to that long (measured: with two programs a
core a timer of the loop's comes nine milliseconds late in one case of forty). No key
waits longer for that than it takes to draw it."""
AWAKE_S = 0.005
"""The last of it is waited out awake: whoever sleeps is woken late too, by four
milliseconds in one case of forty (measured, as above)."""
CLEARED_EVERY_S = 5.0
"""What the framework threw away is cleared so often (our choice): where a phase takes a
second that is six thousand objects, in eight milliseconds and more (measured)."""
CALM_S = 0.25
"""So near to a deadline nothing is cleared any more (our choice)."""
SOONEST_S = 0.001
"""A timer is never set to less: by an interval of nothing the framework divides
(textual 8.2, ``Timer._run``)."""
STILL = frozenset({Phase.READY, Phase.PAUSED, Phase.INTERRUPTED, Phase.DONE})
"""Nothing runs."""


class Looks:
    """Two timers: a steady one, and one that is set for the next deadline.

    A phase ends at its deadline however late anybody looks; the second timer lets it
    be seen then, and not up to a tenth of a second later. It costs nothing between.

    The garbage collector stops the program for ten to twenty milliseconds whenever it
    has counted enough, which may be at a deadline. Between ``begin`` and ``end`` it
    waits for a look after which nothing is due soon.

    Args:
        owner: whose timers they are.
        look: what they do.
        now_s: the clock of the deadlines.
    """

    def __init__(
        self,
        owner: MessagePump,
        look: Callable[[], None],
        *,
        now_s: Callable[[], float],
    ) -> None:
        self._owner = owner
        self._now_s = now_s
        self._look = look
        self._steady: Timer | None = None
        self._once: Timer | None = None
        self._awaited_s: float | None = None
        self._collects_itself = False
        self._cleared_s = now_s()

    def start(self) -> None:
        """Clear up at calm moments from now on."""
        self._collects_itself = gc.isenabled()
        gc.disable()

    def end(self) -> None:
        """Leave the clearing up to the garbage collector again."""
        if self._collects_itself:
            gc.enable()

    def pace(self, phase: Phase, *, glides: bool) -> None:
        """Look as often as PHASE needs; GLIDES: the breathing line does."""
        rate = TICKS_PER_S
        if phase in STILL:
            rate = STILL_TICKS_PER_S
        elif phase is Phase.HOLD and glides:
            rate = BREATHING_TICKS_PER_S
        if self._steady is not None:
            self._steady.stop()
        self._steady = self._owner.set_interval(1 / rate, self._look_steadily)

    def look_at(self, deadline_s: float | None) -> None:
        """Look once more at a deadline; None: at none."""
        if deadline_s == self._awaited_s:
            return
        if self._once is not None:
            self._once.stop()
            self._once = None
        self._awaited_s = deadline_s
        if deadline_s is not None:
            in_s = max(SOONEST_S, deadline_s - self._now_s() - EARLY_S)
            self._once = self._owner.set_timer(in_s, self._due)

    def _look_steadily(self) -> None:
        near_s = 0.0 if self._once is None else self._left_s()
        if not 0 < near_s < NEAR_S:
            self._look()
            self._clear_up()

    def _clear_up(self) -> None:
        """Throw away what is to be thrown away, if it is time to and nothing is due."""
        now_s = self._now_s()
        calm = self._awaited_s is None or self._left_s() > CALM_S
        if calm and now_s - self._cleared_s >= CLEARED_EVERY_S:
            self._cleared_s = now_s
            gc.collect()

    def _left_s(self) -> float:
        return 0.0 if self._awaited_s is None else self._awaited_s - self._now_s()

    def _due(self) -> None:
        asleep_s = min(self._left_s(), EARLY_S) - AWAKE_S
        if asleep_s > 0:
            # A clock that is set just then may refuse; nobody's hold ends for that.
            with contextlib.suppress(OSError):
                time.sleep(asleep_s)
        before_s = AWAKE_S
        # Not for ever by a clock that stands still, as a test's does.
        while 0 < (left_s := self._left_s()) < before_s:
            before_s = left_s
        # Where it is still early, the look sets it again.
        self._once = self._awaited_s = None
        self._look()

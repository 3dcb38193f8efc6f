"""The sound process: the only one in which an engine is loaded.

simpleaudio can take its process down and holds the interpreter while it opens a
device, miniaudio calls us from threads of its own, and the C libraries of both write
to the terminal; so they run here, in a session of their own, with stderr in a file.
Started by ``trainer.sound.process`` with the backend's name; told what to do on stdin,
and gone when stdin ends, whatever else is under way.
"""

from __future__ import annotations

import contextlib
import os
import queue
import signal
import sys
import threading
from typing import Any

from trainer.core.clock import Clock, SystemClock
from trainer.core.cues.settings import Backend, SoundSettings
from trainer.sound import clips, protocol
from trainer.sound.engines import MiniaudioOutput, SimpleaudioOutput
from trainer.sound.live import DeviceError, Live, Output
from trainer.sound.mix import Voicing
from trainer.sound.system import SystemOutput

TICK_S = 0.04
"""A message wakes the loop at once; this is for what nobody sends."""
BEAT_S = 0.2
SWITCH_S = 0.001


def _say(message: str, why: str = "") -> None:
    """Tell the program, or drop it: a program that is stopped doesn't read."""
    try:
        os.write(1, protocol.line({"say": message, "why": why}))
    except BlockingIOError:
        pass
    except OSError:
        os._exit(0)


def _listen(inbox: queue.SimpleQueue[dict[str, Any]]) -> None:
    """Read stdin; its end is the end of this process, at once and without clean-up."""
    for text in sys.stdin.buffer:
        message = protocol.read(text)
        if message is not None:
            inbox.put(message)
    os._exit(0)


class Worker:
    """Does what it is told, and says that it is alive."""

    def __init__(self, output: Output, clock: Clock) -> None:
        self._clock = clock
        self._clips = clips.load()
        self._live = Live(
            output,
            clock=clock,
            voicing=self._voicing(SoundSettings()),
            say=_say,
        )
        self._beat_s = 0.0

    def _voicing(self, settings: SoundSettings) -> Voicing:
        return Voicing(self._clips, settings, lambda: _say(protocol.BUSY))

    def run(self, inbox: queue.SimpleQueue[dict[str, Any]]) -> None:
        """Run until the device fails for good."""
        self._live.wake()
        voicing: Voicing | None = None
        while True:
            sheet = None
            try:
                message = inbox.get(timeout=TICK_S)
                while True:
                    if message["op"] == "settings":
                        voicing = self._voicing(protocol.settings_of(message))
                    else:
                        sheet = protocol.sheet_of(message)
                    message = inbox.get_nowait()
            except queue.Empty:
                pass
            if sheet is not None:
                self._live.take(sheet, voicing)
                voicing = None
            self._live.tick()
            now_s = self._clock.now_s()
            if now_s - self._beat_s >= BEAT_S:
                self._beat_s = now_s
                _say(protocol.BEAT)


def _output(backend: Backend, clock: Clock) -> Output:
    match backend:
        case Backend.SIMPLEAUDIO:
            return SimpleaudioOutput(clock)
        case Backend.MINIAUDIO:
            return MiniaudioOutput(clock)
        case _:
            return SystemOutput()


def main(backend: str) -> None:
    """Play with BACKEND until told to end; leaves without running any clean-up, for
    native threads may still be playing."""
    if os.name == "posix":
        os.set_blocking(1, False)
        # The alarm has to end the process even if somebody up the line ignored it.
        signal.signal(signal.SIGALRM, signal.SIG_DFL)
        with contextlib.suppress(OSError):
            os.nice(-10)  # where one may: an underrun would shift all that follows
    # An engine that asks for samples waits for this interpreter: a millisecond, not 5.
    sys.setswitchinterval(SWITCH_S)
    inbox: queue.SimpleQueue[dict[str, Any]] = queue.SimpleQueue()
    threading.Thread(target=_listen, args=(inbox,), daemon=True).start()
    clock = SystemClock()
    try:
        _say(protocol.BUSY)
        Worker(_output(Backend(backend), clock), clock).run(inbox)
    except DeviceError as error:
        _say(protocol.FAILED, str(error))
        os._exit(3)


if __name__ == "__main__":
    main(sys.argv[1])

"""The sound process: the only place that imports simpleaudio.

simpleaudio can take its process down, holds the interpreter while it opens a device,
and its C library writes to the terminal; so it runs here, in a session of its own,
with stderr in a file. Started by ``trainer.sound.process`` with the backend's name;
told what to do on stdin, and gone when stdin ends, whatever else is under way.
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
from trainer.sound.live import DeviceError, Live, Output
from trainer.sound.mix import Voicing
from trainer.sound.system import SystemOutput
from trainer.sound.tones import RATE_HZ

TICK_S = 0.04
"""A message wakes the loop at once; this is for what nobody sends."""
BEAT_S = 0.2
OPEN_LIMIT_S = 6
"""A device that takes longer to open takes this process with it: the interpreter is
held meanwhile, so only the operating system can see to it that no orphan stays."""
STOP_LIMIT_S = 0.8
UNDERRUN = b"underrun occurred"
"""What ``snd_pcm_recover`` writes to stderr (seen in ALSA 1.2.8)."""


class SimpleaudioOutput:
    """Plays through simpleaudio, which reads the buffer as it goes (measured)."""

    edit_ahead_s = 0.12

    def __init__(self, clock: Clock, underrun: threading.Event) -> None:
        try:
            import simpleaudio
        except Exception as error:
            # A compiled module may fail in any way; each means: try the next player.
            raise DeviceError(f"simpleaudio can't be loaded: {error}") from error
        self._module: Any = simpleaudio
        self._clock = clock
        self._underrun = underrun
        self._handle: Any = None

    def open(self, buffer: bytearray) -> None:
        """Start to play BUFFER; beside what is open, or after it on bare hardware."""
        old = self._handle
        try:
            self._handle = self._play(buffer)
        except DeviceError:
            if old is None:
                raise
            self.stop()
            self._handle = self._play(buffer)
        else:
            if old is not None:
                old.stop()
        self._underrun.clear()

    def _play(self, buffer: bytearray) -> Any:
        _alarm(OPEN_LIMIT_S)
        try:
            return self._module.play_buffer(buffer, 1, 2, RATE_HZ)
        except Exception as error:
            # Its C code raises several kinds; each means that the device didn't open.
            raise DeviceError(str(error)) from error
        finally:
            _alarm(0)

    def pump(self, position: int) -> None:
        """Do nothing: a thread of the library's own reads the buffer."""

    def playing(self) -> bool:
        """Ask the library."""
        return self._handle is not None and bool(self._handle.is_playing())

    def slipped(self) -> bool:
        """Tell whether ALSA complained of an underrun: the library doesn't say."""
        slipped = self._underrun.is_set()
        self._underrun.clear()
        return slipped

    def stop(self) -> None:
        """Stop; the library plays out what it has handed over already."""
        if self._handle is None:
            return
        self._handle.stop()
        pause = threading.Event()
        until_s = self._clock.now_s() + STOP_LIMIT_S
        while self._handle.is_playing() and self._clock.now_s() < until_s:
            pause.wait(TICK_S)
        self._handle = None


def _alarm(seconds: int) -> None:
    if hasattr(signal, "setitimer"):
        signal.setitimer(signal.ITIMER_REAL, seconds)


def _overhear(underrun: threading.Event) -> None:
    """Pass on to the log what is written to stderr, and note what ALSA says there.

    After an underrun the C library goes on, late for good, and tells only stderr.
    """
    log = os.dup(2)
    ear, mouth = os.pipe()
    os.dup2(mouth, 2)
    os.close(mouth)

    def listen() -> None:
        while said := os.read(ear, 4096):
            if UNDERRUN in said:
                underrun.set()
            os.write(log, said)

    threading.Thread(target=listen, daemon=True).start()


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


def main(backend: str) -> None:
    """Play with BACKEND until told to end; leaves without running any clean-up, for
    native threads may still be playing."""
    if os.name == "posix":
        os.set_blocking(1, False)
        # The alarm has to end the process even if somebody up the line ignored it.
        signal.signal(signal.SIGALRM, signal.SIG_DFL)
        with contextlib.suppress(OSError):
            os.nice(-10)  # where one may: an underrun would shift all that follows
    inbox: queue.SimpleQueue[dict[str, Any]] = queue.SimpleQueue()
    threading.Thread(target=_listen, args=(inbox,), daemon=True).start()
    clock = SystemClock()
    try:
        _say(protocol.BUSY)
        output: Output
        if backend == Backend.SIMPLEAUDIO.value:
            underrun = threading.Event()
            _overhear(underrun)
            output = SimpleaudioOutput(clock, underrun)
        else:
            output = SystemOutput()
        Worker(output, clock).run(inbox)
    except DeviceError as error:
        _say(protocol.FAILED, str(error))
        os._exit(3)


if __name__ == "__main__":
    main(sys.argv[1])

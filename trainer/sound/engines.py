"""The two libraries that play: each an output, loaded in the sound process alone.

simpleaudio is handed a buffer and reads it as it goes. miniaudio asks for the next few
samples as it needs them, so far less is out of our hands and a change is heard sooner.
Both keep the promise of ``live.Output``: sample 0 is the instant at which ``open``
returns, and what has not been taken yet can still be changed.
"""

from __future__ import annotations

import os
import signal
import threading
from collections import deque
from collections.abc import Generator
from typing import Any

from trainer.core.clock import Clock
from trainer.sound.live import DeviceError
from trainer.sound.tones import RATE_HZ

OPEN_LIMIT_S = 6
"""A device that takes longer to open takes this process with it: simpleaudio holds the
interpreter meanwhile, so only the operating system can see to it that no orphan
stays."""
STOP_LIMIT_S = 0.8
PAUSE_S = 0.04
UNDERRUN = b"underrun occurred"
"""What ``snd_pcm_recover`` writes to stderr (seen in ALSA 1.2.8)."""


class SimpleaudioOutput:
    """Plays through simpleaudio, which reads the buffer as it goes (measured)."""

    edit_ahead_s = 0.12

    def __init__(self, clock: Clock) -> None:
        try:
            import simpleaudio
        except Exception as error:
            # A compiled module may fail in any way; each means: try the next player.
            raise DeviceError(f"it can't be loaded: {error}") from error
        self._module: Any = simpleaudio
        self._clock = clock
        self._underrun = threading.Event()
        self._handle: Any = None
        _overhear(self._underrun)

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
            pause.wait(PAUSE_S)
        self._handle = None


PERIOD_S = 0.02
PERIODS = 2
"""How much a device is asked to take at a time, and how often ahead: short enough for a
change to be heard within 60 ms, long enough to bear a busy machine (measured)."""
WRITE_S = 0.008
"""How long a change takes to be written, at most; what a device takes meanwhile is
gone."""
SILENT_LIMIT_S = 0.4
"""A device that asks for nothing this long is lost, or so late that it has to be opened
anew: nothing else tells of a server that was killed (measured)."""
STEP_S = 0.0052
"""A device that takes less ahead than it did, by more than this, has run dry.
PulseAudio asks in steps of 5 ms, and what it takes ahead falls by one now and then with
nothing to be heard (measured)."""
WATCHED = 50
"""So many requests, one second, have to come late before it isn't the machine that is
busy."""
REMEMBERED = 20
"""So many times ``WATCHED`` what was taken ahead is held against: losses that are small
add up in twenty seconds, and a device's clock, some ten-thousandths fast or slow, makes
less than a step in it (measured)."""


class Feed:
    """What a device takes its samples from, and how it keeps time.

    A device that ran dry goes on where it was, late for good; but here it can be seen
    by how much, so what was missed is skipped and the rest is in its place again.
    """

    def __init__(self, buffer: bytearray, clock: Clock, usual_lead_s: float) -> None:
        self._buffer = buffer
        self._clock = clock
        self._taken = 0
        self._leads_s: list[float] = []
        self._recent_s: deque[float] = deque(maxlen=REMEMBERED)
        self.zero_s = clock.now_s()
        """When sample 0 was on its way, as the stream's owner counts."""
        self.asked_s = self.zero_s
        """When the device last asked."""
        self.lead_s = usual_lead_s
        """How far ahead of the clock it takes, at most."""

    def samples(self) -> Generator[bytes, int, None]:
        """Hand over what is asked for; silence once the buffer is at its end.

        Runs in a thread of the library's own: it touches nothing but this object.
        """
        count = yield b""
        while True:
            start = 2 * self._taken
            self._taken += count
            self.asked_s = self._clock.now_s()
            self._keep_time()
            count = yield bytes(self._buffer[start : start + 2 * count]).ljust(
                2 * count, b"\0"
            )

    def _keep_time(self) -> None:
        """Skip what was missed: by so much less does the device take ahead for good."""
        lead_s = self._taken / RATE_HZ - (self.asked_s - self.zero_s)
        self.lead_s = max(self.lead_s, lead_s)
        self._leads_s.append(lead_s)
        if len(self._leads_s) < WATCHED:
            return
        lately_s = max(self._leads_s)
        self._leads_s.clear()
        missed_s = max(self._recent_s, default=lately_s) - lately_s
        if missed_s > STEP_S:
            self._taken += round(missed_s * RATE_HZ)
            self._recent_s.clear()
            lately_s += missed_s
        self._recent_s.append(lately_s)

    @property
    def at_its_end(self) -> bool:
        """Whether all of the buffer was handed over."""
        return 2 * self._taken >= len(self._buffer)


class MiniaudioOutput:
    """Plays through miniaudio, which asks for samples as it needs them."""

    def __init__(self, clock: Clock) -> None:
        try:
            import miniaudio
        except Exception as error:
            # As above: whatever is wrong with it, the next player has its turn.
            raise DeviceError(f"it can't be loaded: {error}") from error
        self._module: Any = miniaudio
        self._clock = clock
        self._device: Any = None
        self._left: Any = None
        self._feed: Feed | None = None
        self._lead_s = PERIOD_S * PERIODS

    @property
    def edit_ahead_s(self) -> float:
        """How far ahead a change is clean: what the device has been seen to take."""
        lead_s = self._lead_s if self._feed is None else self._feed.lead_s
        return lead_s + WRITE_S

    def open(self, buffer: bytearray) -> None:
        """Start to play BUFFER; beside what is open, or after it on bare hardware."""
        if self._feed is not None:
            self._lead_s = self._feed.lead_s
        self.pump(0)
        feed = Feed(buffer, self._clock, self._lead_s)
        _alarm(OPEN_LIMIT_S)
        try:
            try:
                device = self._start(feed)
            except DeviceError:
                if self._device is None:
                    raise
                self.stop()
                device = self._start(feed)
        finally:
            _alarm(0)
        self._device, self._left = device, self._device
        self._feed = feed
        feed.zero_s = self._clock.now_s()

    def _start(self, feed: Feed) -> Any:
        backends = self._module.Backend
        try:
            device = self._module.PlaybackDevice(
                self._module.SampleFormat.SIGNED16,
                nchannels=1,
                sample_rate=RATE_HZ,
                buffersize_msec=round(1000 * PERIOD_S),
                callback_periods=PERIODS,
                # All but the one that plays to nobody, which never fails.
                backends=[each for each in backends if each is not backends.NULL],
                app_name="trainer",
            )
            samples = feed.samples()
            next(samples)
            device.start(samples)
        except Exception as error:
            # Its own error, which comes in parts, and what its C bindings raise: the
            # device didn't open.
            raise DeviceError(", ".join(map(str, error.args))) from error
        return device

    def pump(self, position: int) -> None:
        """Let go of the device that was left for another one."""
        if self._left is not None:
            self._left.close()
            self._left = None

    def playing(self) -> bool:
        """Tell whether the device still asks for samples, and there are some."""
        if self._feed is None:
            return False
        away_s = self._clock.now_s() - self._feed.asked_s
        return away_s < SILENT_LIMIT_S and not self._feed.at_its_end

    def slipped(self) -> bool:
        """Never: what the device missed is skipped as it goes."""
        return False

    def stop(self) -> None:
        """Stop, and let the device go."""
        self.pump(0)
        if self._device is not None:
            self._device.close()
        self._device, self._feed = None, None


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

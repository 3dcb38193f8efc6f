"""The live buffer: one stream of silence into which cues are mixed ahead of time.

Runs in the sound process, over an ``Output`` that plays a buffer while it is still
being written. The instant at which the output's ``open`` returns is sample 0; from then
on a cue's place depends on no one's punctuality.

Measured on PulseAudio. With simpleaudio a change written 120 ms ahead is clean, at
90 ms it is late at times; ``stop`` leaves a tail of 190 to 280 ms: no way to cut.
miniaudio takes two periods of 20 ms ahead, so that 48 ms are enough.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Protocol

from trainer.core.clock import Clock
from trainer.core.cues.cues import TimedCue
from trainer.sound.mix import FADE_S, Placed, Voicing, place, render
from trainer.sound.synth import samples_of
from trainer.sound.tones import RATE_HZ

SPARE_S = 120.0
"""Silence behind the sheet's end: *not yet* then fits without a new stream."""
LONGEST_GAP_S = 60.0
"""A stream ends at a longer silence and the next one begins before its first cue."""
LONGEST_STREAM_S = 1500.0
OPEN_BEFORE_S = 3.0
"""A stream is open this long before its first cue: a device may sleep, or be slow."""
IDLE_S = 20.0
"""With nothing to come for this long the device is let go."""
TAIL_S = 0.5
"""Every buffer ends with at least this much silence: its last 0.2 s are written in one
piece, which nothing can change any more."""
NEAR_S = 0.25
"""Rendered first after a change, so that it is in place in time."""
PIECE_S = 1.0
AHEAD_S = 20.0
"""How far ahead is rendered: longer than any stall that the watch lets pass."""
SETTLED_S = 0.5
"""A complaint sooner than this after opening may be the old stream's, as it ends."""
QUIET_S = 1.2
"""A silence long enough to change streams in."""
LOSSES = 3
"""Losing the device this often, without playing for ``STEADY_S`` between, is final."""
STEADY_S = 10.0


class DeviceError(Exception):
    """The output can't be opened, or keeps going away."""


class Output(Protocol):
    """Plays a buffer from its start while it is being written."""

    @property
    def edit_ahead_s(self) -> float:
        """How far ahead of what is heard a change is still clean."""
        ...

    def open(self, buffer: bytearray) -> None:
        """Start to play BUFFER; back as soon as its first sample is on its way.

        What was open before is let go, without a wait where the device allows it.

        Raises:
            DeviceError: it can't be.
        """
        ...

    def pump(self, position: int) -> None:
        """Do what is due with the clock at POSITION (samples since the start)."""
        ...

    def playing(self) -> bool:
        """Tell whether it still plays."""
        ...

    def slipped(self) -> bool:
        """Tell whether it ran dry since it was last asked: all that follows is late."""
        ...

    def stop(self) -> None:
        """Stop, and wait until the device is free (under a second)."""
        ...


class Live:
    """Keeps the stream in step with the sheet."""

    def __init__(
        self,
        output: Output,
        *,
        clock: Clock,
        voicing: Voicing,
        say: Callable[[str], None],
    ) -> None:
        self._output = output
        self._clock = clock
        self._voicing = voicing
        self._say = say
        self._sheet: tuple[TimedCue, ...] = ()
        self._placed: tuple[Placed, ...] = ()
        self._buffer: bytearray | None = None
        self._zero_s = 0.0
        self._rendered = 0
        self._busy_s = clock.now_s()
        self._losses = 0

    @property
    def open(self) -> bool:
        """Whether a stream is open."""
        return self._buffer is not None

    def take(self, sheet: Sequence[TimedCue], voicing: Voicing | None = None) -> None:
        """Take a new sheet, and a new voicing if there is one."""
        self._voicing = voicing or self._voicing
        self._sheet = tuple(sheet)
        self._busy_s = self._clock.now_s()
        if self._buffer is not None:
            self._lay()

    def wake(self) -> None:
        """Open a stream of silence: wakes the device, and shows whether there is one.

        Raises:
            DeviceError: there is none.
        """
        if self._buffer is None:
            self._open()

    def tick(self) -> None:
        """Do what is due; to be called every few hundredths of a second.

        Raises:
            DeviceError: the device can't be opened, or is lost for good.
        """
        now_s = self._clock.now_s()
        coming = [cue for cue in self._sheet if _ends_s(cue) > now_s]
        if coming and coming[0].at_s <= now_s:
            self._busy_s = now_s
        if self._buffer is None:
            if coming and coming[0].at_s - now_s < OPEN_BEFORE_S:
                self._open()
            return
        position = self._position(now_s)
        self._output.pump(position)
        length = len(self._buffer) // 2
        if not self._output.playing():
            self._lost(early=position < length - samples_of(TAIL_S))
            return
        if self._output.slipped() and now_s - self._zero_s > SETTLED_S:
            self._catch_up()
            return
        self._render_to(min(length, position + samples_of(AHEAD_S)))
        quiet = not coming or coming[0].at_s - now_s > QUIET_S
        if not quiet:
            return
        left_s = (length - position) / RATE_HZ
        if left_s < LONGEST_STREAM_S / 2 and self._needs_s(now_s) > now_s + left_s:
            self._close()
            self._open()
        elif self._idle(coming, now_s):
            self._close()

    def _idle(self, coming: list[TimedCue], now_s: float) -> bool:
        if coming and coming[0].at_s - now_s < LONGEST_GAP_S:
            return False
        return now_s - self._busy_s > IDLE_S

    def _needs_s(self, now_s: float) -> float:
        """When the stream that is needed now may end: at the first long silence."""
        end_s = now_s
        for cue in self._sheet:
            if cue.at_s - end_s > LONGEST_GAP_S:
                break
            end_s = max(end_s, _ends_s(cue))
        return end_s + TAIL_S

    def _open(self, going_on: tuple[Placed, ...] = ()) -> None:
        now_s, old_zero_s = self._clock.now_s(), self._zero_s
        needed_s = self._needs_s(now_s) - now_s + SPARE_S
        self._buffer = bytearray(2 * samples_of(min(needed_s, LONGEST_STREAM_S)))
        self._say("busy")
        try:
            self._output.open(self._buffer)
        except DeviceError:
            self._buffer = None
            raise
        self._zero_s = self._clock.now_s()
        self._busy_s = self._zero_s
        self._say("open")
        edit = self._position(self._zero_s + self._output.edit_ahead_s)
        by = samples_of(old_zero_s - self._zero_s)
        self._placed = tuple(_carried(one, by=by, edit=edit) for one in going_on)
        self._lay()

    def _catch_up(self) -> None:
        """Go over to a new stream in the middle of things.

        A stream that ran dry is late for good, by as much as it missed, and nobody can
        ask it by how much. A new one has an anchor of its own; it goes on with what
        was under way, and the old one falls silent as it begins.
        """
        old, old_zero_s, placed = self._buffer, self._zero_s, self._placed
        edit = self._position(self._clock.now_s() + self._output.edit_ahead_s)
        if old is not None:
            gone = place(
                (), before=placed, voicing=self._voicing, zero_s=old_zero_s, edit=edit
            )
            end = min(edit + samples_of(FADE_S), len(old) // 2)
            if edit < end:
                old[2 * edit : 2 * end] = render(gone, edit, end)
                old[2 * end :] = bytes(len(old) - 2 * end)
        self._open(going_on=placed)

    def _close(self) -> None:
        self._say("busy")
        self._output.stop()
        self._buffer = None
        self._placed = ()

    def _lost(self, *, early: bool) -> None:
        if early:
            steady = self._clock.now_s() - self._zero_s > STEADY_S
            self._losses = 1 if steady else self._losses + 1
            if self._losses >= LOSSES:
                raise DeviceError("the device went away")
        self._close()
        if early or any(_ends_s(cue) > self._clock.now_s() for cue in self._sheet):
            self._open()

    def _position(self, now_s: float) -> int:
        return samples_of(now_s - self._zero_s)

    def _lay(self) -> None:
        placed, edit = self._placed_from_now()
        if _make(placed, edit, edit + samples_of(NEAR_S)):
            # Making a breath takes longer than some outputs leave us: the edit that was
            # meant has gone by, but now everything near is there to be copied.
            placed, edit = self._placed_from_now()
        self._placed = placed
        self._rendered = edit
        self._render_to(edit + samples_of(NEAR_S))

    def _placed_from_now(self) -> tuple[tuple[Placed, ...], int]:
        """Lay the sheet anew from the first position that can still be changed."""
        edit = self._position(self._clock.now_s() + self._output.edit_ahead_s)
        placed = place(
            self._sheet,
            before=self._placed,
            voicing=self._voicing,
            zero_s=self._zero_s,
            edit=edit,
        )
        return placed, edit

    def _render_to(self, stop: int) -> None:
        """Write what is placed into the buffer up to STOP, piece by piece.

        Each piece goes in by one copy, so that no half-mixed sound is ever played.
        """
        if self._buffer is None:
            return
        stop = min(stop, len(self._buffer) // 2 - samples_of(TAIL_S))
        while self._rendered < stop:
            start = self._rendered
            end = min(stop, start + samples_of(PIECE_S))
            self._buffer[2 * start : 2 * end] = render(self._placed, start, end)
            self._rendered = end


def _make(placed: Sequence[Placed], start: int, stop: int) -> bool:
    """Make what sounds between two positions; tell whether anything was yet to make."""
    unmade = [
        sound.clip
        for one in placed
        for sound in one.sounds
        if not sound.clip.made and sound.start < stop and sound.end > start
    ]
    for clip in unmade:
        clip.make()
    return bool(unmade)


def _carried(placed: Placed, *, by: int, edit: int) -> Placed:
    """Take what was placed over to another stream, faded in where it is under way."""
    sounds = []
    for sound in placed.sounds:
        start = sound.start + by
        sounds.append(
            replace(
                sound,
                start=start,
                skip=max(sound.skip, edit - start),
                until=None if sound.until is None else sound.until + by,
            )
        )
    return Placed(placed.cue, placed.start + by, tuple(sounds))


def _ends_s(cue: TimedCue) -> float:
    return cue.at_s + max(cue.length_s, QUIET_S)

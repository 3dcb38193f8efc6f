"""The live buffer, on a clock that a test holds and an output that is only a buffer."""

from __future__ import annotations

from array import array

import pytest

from trainer.core.clock import ManualClock
from trainer.core.cues.cues import Cue, TimedCue
from trainer.core.cues.settings import SoundSettings, Voice
from trainer.sound import clips
from trainer.sound.live import (
    AHEAD_S,
    IDLE_S,
    LONGEST_STREAM_S,
    OPEN_BEFORE_S,
    TAIL_S,
    DeviceError,
    Live,
)
from trainer.sound.mix import Voicing
from trainer.sound.synth import made_to_length, samples_of
from trainer.sound.tones import RATE_HZ, tone_file

CLIPS = clips.load()


class Tape:
    """An output without a device: what would be heard is what is in its buffer."""

    edit_ahead_s = 0.12

    def __init__(self, clock: ManualClock, *, opening_s: float = 0.0) -> None:
        self.clock = clock
        self.opening_s = opening_s
        self.buffer: bytearray | None = None
        self.opened: list[float] = []
        self.refuses = False
        self.ended = False
        self.dry = False

    def open(self, buffer: bytearray) -> None:
        if self.refuses:
            raise DeviceError("busy")
        self.clock.advance(self.opening_s)
        self.opened.append(self.clock.now_s())
        self.buffer = buffer
        self.ended = False

    def pump(self, position: int) -> None:
        pass

    def playing(self) -> bool:
        return self.buffer is not None and not self.ended

    def slipped(self) -> bool:
        slipped, self.dry = self.dry, False
        return slipped

    def stop(self) -> None:
        self.buffer = None

    def at(self, time_s: float, length: int) -> array[int]:
        """Give LENGTH samples from TIME_S of the clock on."""
        assert self.buffer is not None
        start = 2 * round((time_s - self.opened[-1]) * RATE_HZ)
        return array("h", bytes(self.buffer[start : start + 2 * length]))


def live_on(tape: Tape) -> Live:
    """Make the live buffer over TAPE."""
    voicing = Voicing(CLIPS, SoundSettings(voice=Voice.TONES))
    return Live(tape, clock=tape.clock, voicing=voicing, say=lambda said: None)


def run(live: Live, clock: ManualClock, seconds: float, step_s: float = 0.5) -> None:
    """Let time pass in steps, with a tick after each."""
    for _ in range(round(seconds / step_s)):
        clock.advance(step_s)
        live.tick()


def test_a_slow_device_shifts_no_cue() -> None:
    """Two seconds of opening lose what was due meanwhile; the rest is in its place."""
    tape = Tape(ManualClock(100.0), opening_s=2.0)
    live = live_on(tape)
    ticks = [TimedCue(at_s, Cue.LAST_TICK) for at_s in (101.0, 103.0, 104.0)]
    live.take(ticks)
    live.tick()
    live.tick()
    clip = CLIPS[tone_file(Cue.LAST_TICK)]

    assert [102.0] == tape.opened
    assert clip == tape.at(103.0, len(clip))
    assert clip == tape.at(104.0, len(clip))
    assert not any(tape.at(102.0, RATE_HZ))


def test_a_stall_of_the_sound_process_delays_nothing() -> None:
    """Cues are mixed in long before they are due, so ten seconds without a tick of the
    loop are heard by nobody."""
    tape = Tape(ManualClock())
    live = live_on(tape)
    late = TimedCue(AHEAD_S - 1, Cue.TARGET)
    live.take([TimedCue(0.5, Cue.HOLD), late])
    live.tick()
    live.tick()
    clip = CLIPS[tone_file(Cue.TARGET)]

    assert clip == tape.at(late.at_s, len(clip))


def test_a_stream_is_opened_ahead_of_its_first_cue() -> None:
    """The device is awake before the first cue, and isn't held long before."""
    tape = Tape(ManualClock())
    live = live_on(tape)
    live.take([TimedCue(100.0, Cue.REST_NEARLY_OVER)])
    run(live, tape.clock, 90)
    assert [] == tape.opened
    run(live, tape.clock, 8)
    assert 100 - OPEN_BEFORE_S <= tape.opened[0] < 100


def test_a_device_that_is_not_needed_is_let_go() -> None:
    """With nothing to come the device is free for others after a while."""
    tape = Tape(ManualClock())
    live = live_on(tape)
    live.wake()
    run(live, tape.clock, IDLE_S - 2)
    assert live.open
    run(live, tape.clock, 4)
    assert not live.open


def test_a_long_rest_lets_the_device_go_and_a_pause_does_not() -> None:
    """Nobody holds a device through two minutes of rest; nor is one that is paused
    for a moment closed and opened again."""
    tape = Tape(ManualClock())
    live = live_on(tape)
    rest = [TimedCue(2.0, Cue.REST), TimedCue(112.0, Cue.REST_NEARLY_OVER)]
    live.take(rest)
    run(live, tape.clock, 15)
    live.take(())
    run(live, tape.clock, 15)
    assert live.open
    live.take(rest)
    run(live, tape.clock, 22)
    assert not live.open
    run(live, tape.clock, 59)

    assert 2 == len(tape.opened)
    clip = CLIPS[tone_file(Cue.REST_NEARLY_OVER)]
    assert clip == tape.at(112.0, len(clip))


def test_a_plan_longer_than_the_longest_stream_is_no_endless_reopening() -> None:
    """A stream is changed when it is needed, not at every silence."""
    tape = Tape(ManualClock())
    live = live_on(tape)
    live.take([TimedCue(2.0 + 50 * n, Cue.TEN_MORE) for n in range(60)])
    run(live, tape.clock, 600)

    assert 1 == len(tape.opened)
    run(live, tape.clock, 2300)
    assert len(tape.opened) <= 5


def test_a_set_longer_than_the_stream_gets_a_new_one_in_a_silence() -> None:
    """What no longer fits is played by a second stream, and no cue is cut or lost."""
    tape = Tape(ManualClock())
    live = live_on(tape)
    live.take([TimedCue(2.0, Cue.HOLD)])
    live.tick()
    far = [TimedCue(10.0 + 10 * n, Cue.TEN_MORE) for n in range(20)]
    run(live, tape.clock, 4)
    live.take(far)
    run(live, tape.clock, 196)
    clip = CLIPS[tone_file(Cue.TEN_MORE)]

    assert len(tape.opened) == 2
    assert clip == tape.at(200.0, len(clip))


def test_a_lost_device_is_opened_again_and_given_up_in_the_end() -> None:
    """Lost once it is opened again at the right place; lost again and again it is a
    fault for others to handle."""
    tape = Tape(ManualClock())
    live = live_on(tape)
    live.take([TimedCue(2.0, Cue.HOLD), TimedCue(20.0, Cue.TARGET)])
    live.tick()
    tape.ended = True
    run(live, tape.clock, 1)
    assert len(tape.opened) == 2

    def lose_it_twice() -> None:
        for _ in range(2):
            tape.ended = True
            live.tick()

    with pytest.raises(DeviceError):
        lose_it_twice()


def test_a_stream_that_ran_dry_is_left_for_a_new_one() -> None:
    """What is late for good is not kept: the breath under way goes on in a new stream
    where it should be by now, the old one falls silent, and no cue comes twice."""
    tape = Tape(ManualClock())
    live = live_on(tape)
    breath, tick = TimedCue(2.0, Cue.OUT, 6.0), TimedCue(4.9, Cue.LAST_TICK)
    live.take([breath, tick])
    run(live, tape.clock, 5)
    old = tape.buffer
    assert old is not None
    tape.dry = True
    live.tick()
    live.tick()
    clip = made_to_length(Cue.OUT, samples_of(6.0))

    assert [0.5, 5.0] == tape.opened
    assert clip[samples_of(4.0) : samples_of(5.0)] == tape.at(6.0, RATE_HZ)
    assert not any(old[2 * samples_of(4.5 + 0.13) :])
    alone = tape.at(5.2, samples_of(0.3))
    assert clip[samples_of(3.2) : samples_of(3.2) + len(alone)] == alone


def test_a_breath_that_takes_long_to_make_is_joined_where_it_is_by_then() -> None:
    """Nothing is written where it may have been played already, however long a sound
    took to make; the breath sounds from the first moment that can still be changed."""
    tape = Tape(ManualClock())
    voicing = Voicing(
        CLIPS, SoundSettings(voice=Voice.TONES), lambda: tape.clock.advance(0.2)
    )
    live = Live(tape, clock=tape.clock, voicing=voicing, say=lambda said: None)
    live.wake()
    run(live, tape.clock, 2)
    live.take([TimedCue(2.0, Cue.OUT, 3.7)])
    edit_s = 2.0 + 0.2 + tape.edit_ahead_s
    clip = made_to_length(Cue.OUT, samples_of(3.7))

    assert edit_s - tape.edit_ahead_s == tape.clock.now_s()
    assert not any(tape.at(0.0, samples_of(edit_s)))
    near = samples_of(0.2)
    faded_in = 2.34
    first = samples_of(faded_in) - samples_of(2.0)
    assert clip[first : first + near] == tape.at(faded_in, near)


def test_a_device_that_refuses_is_a_fault() -> None:
    """Busy or absent: said at once, before any session depends on it."""
    tape = Tape(ManualClock())
    tape.refuses = True

    with pytest.raises(DeviceError):
        live_on(tape).wake()


def test_a_buffer_ends_with_silence_and_has_a_limit() -> None:
    """The last half second is never written to, and no plan makes a buffer that a
    small machine could not hold."""
    tape = Tape(ManualClock())
    live = live_on(tape)
    live.take([TimedCue(2.0 + 50 * n, Cue.TEN_MORE) for n in range(100)])
    live.tick()
    assert tape.buffer is not None

    assert samples_of(LONGEST_STREAM_S) == len(tape.buffer) // 2
    tape.clock.advance(LONGEST_STREAM_S - 3)
    live.take([TimedCue(LONGEST_STREAM_S - 0.3, Cue.DONE)])
    assert not any(tape.buffer[-2 * samples_of(TAIL_S) :])

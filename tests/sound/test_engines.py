"""What miniaudio is fed from, on a clock that a test holds: no device, no library."""

from __future__ import annotations

from array import array

from trainer.core.clock import ManualClock
from trainer.sound.engines import PERIOD_S, REMEMBERED, WATCHED, Feed
from trainer.sound.synth import samples_of
from trainer.sound.tones import RATE_HZ

PERIOD = samples_of(PERIOD_S)
START_S = 50.0
TURN = 30_000
"""Places are told apart up to this many."""


class Device:
    """Asks for a period at a time, as a sound device does."""

    def __init__(self, length_s: float) -> None:
        self.clock = ManualClock(START_S)
        count = samples_of(length_s)
        # Each sample says its own place, so that what is heard says where it is from.
        self.buffer = bytearray(
            array("h", [n % 30_000 for n in range(count)]).tobytes()
        )
        self.feed = Feed(self.buffer, self.clock, usual_lead_s=0.0)
        self._samples = self.feed.samples()
        next(self._samples)

    def ask(self, count: int = PERIOD) -> array[int]:
        """Ask for samples now."""
        return array("h", self._samples.send(count))

    def play(self, periods: int, *, every_s: float = PERIOD_S) -> array[int]:
        """Ask for PERIODS in step with the clock; give the last."""
        taken = array("h")
        for _ in range(periods):
            self.clock.advance(every_s)
            taken = self.ask()
        return taken

    def late(self, taken: array[int]) -> int:
        """Say by how many samples TAKEN, just asked for, is behind the clock."""
        place = round((self.clock.now_s() - START_S) * RATE_HZ)
        return (place - taken[0]) % TURN


def test_what_is_asked_for_comes_in_order_and_then_silence() -> None:
    """Every sample once, whatever the sizes; zeros behind the end, which is known."""
    device = Device(0.1)
    sizes = (1, 500, 441, 1, 900)
    taken = [sample for size in sizes for sample in device.ask(size)]
    assert list(range(sum(sizes))) == taken
    assert not device.feed.at_its_end

    rest = device.ask(800)
    assert [*range(sum(sizes), samples_of(0.1))] == list(rest[: samples_of(0.1) - 1843])
    assert not any(rest[samples_of(0.1) - 1843 :])
    assert device.feed.at_its_end


def test_what_was_written_meanwhile_is_what_comes() -> None:
    """The buffer is read when it is asked for, not before."""
    device = Device(1.0)
    device.play(3)
    first = 2 * 3 * PERIOD
    device.buffer[first : first + 2 * PERIOD] = array("h", [-7] * PERIOD).tobytes()

    assert [-7] * PERIOD == list(device.play(1))


def test_how_far_ahead_a_device_takes_is_seen() -> None:
    """Two periods at once: a change is safe beyond them, and no sooner."""
    device = Device(1.0)
    device.ask()
    device.ask()
    device.play(5)

    assert 2 * PERIOD_S - 1e-3 <= device.feed.lead_s <= 2 * PERIOD_S + 1e-3


def test_a_device_that_ran_dry_is_brought_back_into_step() -> None:
    """Thirty milliseconds were missed: two seconds later they have been skipped, and
    what is heard from then on is in its place again, to the sample."""
    device = Device(6.0)
    device.ask()
    device.play(2 * WATCHED + 10)
    device.clock.advance(0.03)
    late = device.play(1)
    assert samples_of(0.03) == device.late(late)

    back = device.play(2 * WATCHED)
    assert 0 == device.late(back)


def test_a_device_that_takes_ever_more_ahead_is_brought_back_too() -> None:
    """By 150 millionths, as a sound server was seen to: after a minute that is 9 ms,
    which hides nothing of the 8 ms that it misses then."""
    device = Device(90.0)
    fast_s = PERIOD_S / (1 + 150e-6)
    device.ask()
    before = device.late(device.play(3000, every_s=fast_s))
    device.clock.advance(0.008)
    device.play(2 * WATCHED, every_s=fast_s)
    after = device.late(device.play(1, every_s=fast_s))

    moved = (after - before + TURN // 2) % TURN - TURN // 2
    drifted = samples_of(REMEMBERED * WATCHED * PERIOD_S * 150e-6)
    assert abs(moved) <= drifted


def test_losses_that_are_small_add_up() -> None:
    """Each alone is less than a step; every two together are made good like one."""
    device = Device(20.0)
    device.ask()
    device.play(2 * WATCHED)
    for _ in range(5):
        device.clock.advance(90 / RATE_HZ)
        device.play(3 * WATCHED)

    assert 90 == device.late(device.play(1))


def test_another_rhythm_of_the_device_skips_nothing() -> None:
    """It asks a step of 5 ms later from now on, and that is all: it plays on."""
    device = Device(6.0)
    device.ask()
    device.play(2 * WATCHED + 10)
    device.clock.advance(110 / RATE_HZ)
    device.play(3 * WATCHED)

    assert 110 == device.late(device.play(1))


def test_a_machine_that_is_busy_for_a_while_shifts_nothing() -> None:
    """Requests that come late for half a second, then in step: no loss."""
    device = Device(6.0)
    device.ask()
    device.play(2 * WATCHED + 10)
    device.clock.advance(0.018)
    device.play(WATCHED // 2)
    device.clock.advance(-0.018)
    after = device.play(2 * WATCHED)

    assert 0 == device.late(after)

"""Time that nobody watched, seen from two monotonic clocks."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.core.clock import (
    LONGEST_UNWATCHED_S,
    ManualClock,
    PacedClock,
    SystemClock,
    Unwatched,
    Watch,
    look,
)


def test_a_stopped_process_is_a_jump_of_the_clock() -> None:
    """From the last look on nothing was watched."""
    _, gap = look(Watch(10, 110), now_s=15, counted_s=115)

    assert Unwatched(since_s=10, lost_s=5, slept_s=0) == gap


def test_sleep_is_what_only_the_other_clock_counts() -> None:
    """The monotonic clock stood still for it."""
    fresh, gap = look(Watch(10, 110), now_s=10.1, counted_s=3710.1)

    assert gap is not None
    assert 10 == gap.since_s
    assert pytest.approx(3600) == gap.slept_s
    assert Watch(10.1, 3710.1) == fresh


def test_without_a_clock_that_counts_sleep_stalls_are_still_seen() -> None:
    """macOS and Windows have none: sleep isn't seen, a stopped process is."""
    stall = look(Watch(10, None), now_s=13, counted_s=None)[1]
    asleep = look(Watch(10, None), now_s=10.1, counted_s=None)[1]

    assert stall is not None
    assert (3, 0) == (stall.lost_s, stall.slept_s)
    assert asleep is None


@given(st.floats(0, LONGEST_UNWATCHED_S), st.floats(0, 1e6))
def test_short_waits_are_no_gap(wait_s: float, start_s: float) -> None:
    """Up to two seconds a busy machine may take."""
    now_s = start_s + wait_s
    if now_s - start_s <= LONGEST_UNWATCHED_S:
        watch = Watch(start_s, start_s)
        assert look(watch, now_s=now_s, counted_s=now_s)[1] is None


def test_a_paced_clock_runs_from_its_origin() -> None:
    """Ten times as fast, and back again to the real clock; sleep isn't its matter."""
    base = ManualClock(seconds=100)
    paced = PacedClock(base, pace=10, origin_s=100)
    base.advance(2)

    assert (120, 102) == (paced.now_s(), paced.real_s(120))
    assert paced.awake_and_asleep_s() is None
    assert base.wall() == paced.wall()


def test_the_system_clock_knows_where_it_is() -> None:
    """The wall clock comes with its offset; monotonic time goes forward."""
    clock = SystemClock()
    first_s = clock.now_s()

    assert clock.wall().utcoffset() is not None
    assert clock.now_s() >= first_s
    counted_s = clock.awake_and_asleep_s()
    assert counted_s is None or counted_s >= 0

"""Time as something that is handed in, so that a test can hold it still.

``SystemClock`` is the only place in the program that reads a clock.
"""

from __future__ import annotations

import sys
import time
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta, timezone, tzinfo
from datetime import time as time_of_day
from typing import Protocol


class Clock(Protocol):
    """What the shells need to know of time."""

    def now_s(self) -> float:
        """Seconds on a monotonic clock that stands still while the machine sleeps."""
        ...

    def awake_and_asleep_s(self) -> float | None:
        """Seconds on a monotonic clock that counts sleep too, where there is one."""
        ...

    def wall(self) -> datetime:
        """The date and time here, with its offset. For dates only, never durations."""
        ...


class SystemClock:
    """The machine's own clocks."""

    def now_s(self) -> float:
        """Read a monotonic clock that all processes of the machine share.

        On Windows ``time.monotonic`` moves in steps of 15.6 ms before Python 3.13, too
        coarse for a cue; the performance counter is as shared there and fine (manuals
        of both, not run).
        """
        return time.perf_counter() if sys.platform == "win32" else time.monotonic()

    def awake_and_asleep_s(self) -> float | None:
        """Read the clock that counts sleep: Linux and macOS have one.

        On macOS that is ``CLOCK_MONOTONIC``, while ``time.monotonic`` stands still in
        sleep there (both from memory of their manuals, not run).
        """
        counts_sleep = getattr(time, "CLOCK_BOOTTIME", None)
        if counts_sleep is None and sys.platform == "darwin":
            counts_sleep = getattr(time, "CLOCK_MONOTONIC", None)
        return None if counts_sleep is None else time.clock_gettime(counts_sleep)

    def wall(self) -> datetime:
        """Read the wall clock in the local zone."""
        return datetime.now(timezone.utc).astimezone()


@dataclass
class ManualClock:
    """A clock that moves when it is told to: for tests and for worked examples."""

    seconds: float = 0.0
    slept_s: float = 0.0
    start: datetime = field(
        default=datetime(2026, 3, 2, 18, 0, tzinfo=timezone(timedelta(hours=1)))
    )
    """What the wall clock said at second 0 (a Monday evening)."""

    def now_s(self) -> float:
        """Give the seconds that were set."""
        return self.seconds

    def awake_and_asleep_s(self) -> float | None:
        """Give the seconds that were set, with the time slept."""
        return self.seconds + self.slept_s

    def wall(self) -> datetime:
        """Give the start plus all that has passed."""
        return self.start + timedelta(seconds=self.seconds + self.slept_s)

    def advance(self, seconds: float) -> None:
        """Let that many seconds pass."""
        self.seconds += seconds

    def sleep(self, seconds: float) -> None:
        """Let the machine sleep: only the clock that counts sleep moves."""
        self.slept_s += seconds


@dataclass(frozen=True, slots=True)
class PacedClock:
    """A rehearsal's clock: BASE's time from ORIGIN_S on, PACE times as fast."""

    base: Clock
    pace: float
    origin_s: float

    def now_s(self) -> float:
        """Give the sped-up monotonic time."""
        return self.origin_s + (self.base.now_s() - self.origin_s) * self.pace

    def awake_and_asleep_s(self) -> float | None:
        """Give None: a rehearsal doesn't watch for sleep."""
        return None

    def wall(self) -> datetime:
        """Give the real date and time."""
        return self.base.wall()

    def real_s(self, paced_s: float) -> float:
        """Turn a time of this clock into one of BASE's."""
        return self.origin_s + (paced_s - self.origin_s) / self.pace


# A person's date and time, whatever the clock of their zone did then.

_NOON = time_of_day(12)
"""No zone has left out a noon without the whole date."""


def local_moment(day: date, at: time_of_day, *, zone: tzinfo | None = None) -> datetime:
    """Return the moment of a person's date and time, always on that date.

    The clock of a zone leaves times out, at midnight too, and some zones have left out
    a whole date. Read as it stands, such a time comes to lie on the day before or
    after. The other reading that Python knows of it (``fold``) is taken then; where
    that is on another date too, the date stays, with the offset of the noon before it.

    Args:
        day: the date, as the person gave it.
        at: the time on that date's clock.
        zone: the zone; None: this machine's.
    """
    for fold in (0, 1):
        moment = datetime.combine(day, at, tzinfo=zone).replace(fold=fold)
        moment = _as_the_clock_says(moment, zone)
        if moment.date() == day:
            return moment
    noon_before = datetime.combine(day - timedelta(days=1), _NOON, tzinfo=zone)
    offset = _as_the_clock_says(noon_before, zone).utcoffset()
    return datetime.combine(day, at, tzinfo=timezone(offset or timedelta()))


def is_date(day: date, *, zone: tzinfo | None = None) -> bool:
    """Tell whether the zone had that date: one in which it skipped noon, it hadn't."""
    noon = datetime.combine(day, _NOON, tzinfo=zone)
    return _as_the_clock_says(noon, zone).date() == day


def dates_left_out(
    first: date, last: date, *, zone: tzinfo | None = None
) -> frozenset[date]:
    """Return the dates from FIRST to LAST that the zone hadn't: for most zones none.

    Looked for only in weeks that were shorter by most of a day.
    """
    found: set[date] = set()
    for start in range(0, (last - first).days + 1, 7):
        days = [first + timedelta(days=start + n) for n in range(8)]
        begin, end = (
            datetime.combine(day, _NOON, tzinfo=zone).timestamp()
            for day in (days[0], days[-1])
        )
        if end - begin < 6.5 * 86400:
            found.update(day for day in days[:-1] if not is_date(day, zone=zone))
    return frozenset(day for day in found if day <= last)


def _as_the_clock_says(moment: datetime, zone: tzinfo | None) -> datetime:
    """Return the moment as the zone's clock shows it, by way of UTC."""
    return moment.astimezone(timezone.utc).astimezone(zone)


# Time that nobody watched: the machine slept, or the process was stopped.
#
# Seen from two monotonic clocks, never from the wall clock, which people set: one that
# stands still during sleep (its jump between two looks is a stopped process) and one
# that counts sleep (its lead over the other is the sleep).

LONGEST_UNWATCHED_S = 2.0
"""A gap longer than this is not a hold that was watched (our choice)."""


@dataclass(frozen=True, slots=True)
class Watch:
    """The last look at both clocks."""

    seen_s: float
    counted_s: float | None
    """The clock that counts sleep, or None where there is none."""


@dataclass(frozen=True, slots=True)
class Unwatched:
    """A stretch of time that nobody watched."""

    since_s: float
    """The last monotonic moment that was watched."""
    lost_s: float
    """How long it was, sleep included."""
    slept_s: float
    """The part of it that the monotonic clock did not count."""


def look(
    watch: Watch, *, now_s: float, counted_s: float | None
) -> tuple[Watch, Unwatched | None]:
    """Look again; tell whether too long a time went by since the last look."""
    slept_s = 0.0
    if counted_s is not None and watch.counted_s is not None:
        slept_s = max(0.0, (counted_s - watch.counted_s) - (now_s - watch.seen_s))
    lost_s = now_s - watch.seen_s + slept_s
    fresh = Watch(now_s, counted_s)
    if lost_s <= LONGEST_UNWATCHED_S:
        return fresh, None
    return fresh, Unwatched(watch.seen_s, lost_s, slept_s)

"""Ask for every midnight since 1990, in every zone of the IANA database, on its date.

    python scripts/check_zones.py

A person gives a date and a time; some zones' clocks left that time out, at midnight
above all, and a few left out a whole date. Prints how many there are, and how many of
them come to lie on another date: read as Python's ``astimezone`` reads them, and as the
program does. The database is the one that ``zoneinfo`` finds on this machine.
"""

from __future__ import annotations

import os
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta, timezone
from datetime import time as day_time
from zoneinfo import ZoneInfo, available_timezones

from trainer.core.clock import is_date, local_moment

FIRST, LAST = date(1990, 1, 1), date(2026, 12, 31)
MIDNIGHT = day_time(0)


@dataclass
class Found:
    """What all zones come to."""

    zones: int = 0
    midnights: int = 0
    left_out: int = 0
    """Midnights that a zone's clock left out."""
    dates_left_out: list[str] = field(default_factory=list)
    naively_wrong: int = 0
    """Of those, how many ``astimezone`` puts on another date."""
    wrong: list[str] = field(default_factory=list)
    """Those that the program puts on another date, or at another moment."""


def days() -> Iterator[date]:
    """Give every date of the years that are looked at."""
    return (FIRST + timedelta(days=n) for n in range((LAST - FIRST).days + 1))


def is_left_out(day: date, zone: ZoneInfo) -> bool:
    """Tell whether the zone's clock never showed that date's midnight."""
    there = datetime.combine(day, MIDNIGHT, tzinfo=zone)
    again = there.astimezone(timezone.utc).astimezone(zone)
    return again.replace(tzinfo=None) != there.replace(tzinfo=None)


def look_at(name: str, found: Found) -> None:
    """Look at one zone, with this process's own clock set to it."""
    os.environ["TZ"] = name
    time.tzset()
    zone = ZoneInfo(name)
    found.zones += 1
    before = None
    for day in days():
        found.midnights += 1
        offset = datetime.combine(day, MIDNIGHT, tzinfo=zone).utcoffset()
        # Only a change of the offset can leave a time out or bring it twice.
        if offset == before and not is_left_out(day, zone):
            continue
        before = offset
        judge(name, day, zone, found)


def judge(name: str, day: date, zone: ZoneInfo, found: Found) -> None:
    """Compare one midnight with what the database says of it."""
    mine = local_moment(day, MIDNIGHT)
    if is_left_out(day, zone):
        found.left_out += 1
        naive = datetime.combine(day, MIDNIGHT).astimezone()
        found.naively_wrong += naive.date() != day
    elif mine.timestamp() != datetime.combine(day, MIDNIGHT, tzinfo=zone).timestamp():
        # Not ==: a time that came twice equals none of another zone (PEP 495).
        found.wrong.append(f"{name} {day} at {mine}")
    if mine.date() != day:
        found.wrong.append(f"{name} {day} on {mine.date()}")
    if not is_date(day):
        found.dates_left_out.append(f"{name} {day}")


def main() -> None:
    """Look at every zone and print what came of it."""
    found = Found()
    for name in sorted(available_timezones() - {"localtime"}):
        look_at(name, found)
    print(f"zones                             {found.zones:>10}")
    print(f"midnights, {FIRST.year} to {LAST.year}           {found.midnights:>10}")
    print(f"left out by the zone's clock      {found.left_out:>10}")
    print(f"  on another date by astimezone   {found.naively_wrong:>10}")
    print(f"on another date or moment here    {len(found.wrong):>10}")
    for text in found.wrong[:20]:
        print(f"  {text}")
    print(f"dates that a zone left out        {len(found.dates_left_out):>10}")
    for text in found.dates_left_out:
        print(f"  {text}")


if __name__ == "__main__":
    main()

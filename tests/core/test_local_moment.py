"""A person's date stays their date, whatever the clocks of their zone did on it.

The zones' clocks are those of the IANA time zone database, read through ``zoneinfo``.
``scripts/check_zones.py`` looks at every midnight since 1990 in every zone.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from datetime import date, datetime, timedelta, timezone
from datetime import time as day_time
from zoneinfo import ZoneInfo, available_timezones

import pytest

from trainer.core.clock import dates_left_out, is_date, local_moment

SetZone = Callable[[str], ZoneInfo]
LEFT_OUT = (
    ("America/Asuncion", date(2024, 10, 6)),
    ("America/Santiago", date(2024, 9, 8)),
    ("Asia/Beirut", date(2024, 3, 31)),
    ("Africa/Cairo", date(2024, 4, 26)),
    ("America/Sao_Paulo", date(2018, 11, 4)),
)
"""Dates whose midnight the zone's clock left out: it went from 23:59 to 01:00."""


@pytest.fixture
def here(monkeypatch: pytest.MonkeyPatch) -> Iterator[SetZone]:
    """Give a way to put this process into a zone; afterwards it is where it was."""

    def put(name: str) -> ZoneInfo:
        monkeypatch.setenv("TZ", name)
        time.tzset()
        return ZoneInfo(name)

    yield put
    monkeypatch.undo()
    time.tzset()


@pytest.mark.parametrize(("name", "day"), LEFT_OUT)
def test_a_midnight_that_was_left_out_stays_on_its_date(
    here: SetZone, name: str, day: date
) -> None:
    """It is the first moment of that date, by the database's clock."""
    zone = here(name)
    first = datetime.combine(day, day_time(1), tzinfo=zone)

    assert first == local_moment(day, day_time(0))
    assert day == local_moment(day, day_time(0)).date()
    assert is_date(day)


@pytest.mark.parametrize("hour", [0, 12, 23])
def test_a_date_that_was_left_out_is_kept_as_the_persons(
    here: SetZone, hour: int
) -> None:
    """30 December 2011 in Apia: no clock showed it; somebody may still say it."""
    here("Pacific/Apia")
    day = date(2011, 12, 30)

    assert not is_date(day)
    assert (day, hour) == (
        (moment := local_moment(day, day_time(hour))).date(),
        moment.hour,
    )


@pytest.mark.parametrize(
    ("name", "left_out"),
    [
        ("Pacific/Apia", {date(2011, 12, 30)}),
        ("Pacific/Fakaofo", {date(2011, 12, 30)}),
        ("Pacific/Kwajalein", {date(1993, 8, 21)}),
        ("Pacific/Kiritimati", {date(1994, 12, 31)}),
        ("Europe/Vienna", set()),
        ("Antarctica/Troll", set()),
    ],
)
def test_the_dates_that_a_zone_left_out(name: str, left_out: set[date]) -> None:
    """From 1990 to 2026, wherever the looking begins, they are the database's."""
    zone = ZoneInfo(name)
    last = date(2026, 12, 31)

    assert {frozenset(left_out)} == {
        dates_left_out(date(1990, 1, 1) + timedelta(days=later), last, zone=zone)
        for later in range(8)
    }
    for day in left_out:
        assert {day} == dates_left_out(day, day, zone=zone)
        assert not dates_left_out(day - timedelta(days=9), day - timedelta(days=1))


def test_a_time_that_came_twice_is_the_first_of_the_two(here: SetZone) -> None:
    """In Vienna 02:30 came twice on 25 October 2026; the first was summer time."""
    here("Europe/Vienna")

    assert (
        timedelta(hours=2)
        == local_moment(date(2026, 10, 25), day_time(2, 30)).utcoffset()
    )


ONE_IN = 5
"""The share of the zones that is looked at here."""


def _changed(zone: ZoneInfo) -> Iterator[date]:
    """Give the dates about which a zone's offset changed, from 1990 on."""
    before = None
    for fortnight in range(0, 37 * 366, 14):
        day = date(1990, 1, 1) + timedelta(days=fortnight)
        offset = datetime.combine(day, day_time(12), tzinfo=zone).utcoffset()
        if before is not None and offset != before:
            yield from (day - timedelta(days=back) for back in range(15))
        before = offset


@pytest.mark.parametrize("first", range(0, 5 * ONE_IN, ONE_IN))
def test_every_midnight_about_a_change_in_zones_of_all_parts(
    here: SetZone, first: int
) -> None:
    """On its date in all of them, and at the database's moment where there was one.

    One zone in five; ``scripts/check_zones.py`` asks for every midnight in every zone.
    """
    names = sorted(available_timezones() - {"localtime"})
    for name in names[first :: 5 * ONE_IN]:
        zone = here(name)
        for day in _changed(zone):
            moment = local_moment(day, day_time(0))
            said = datetime.combine(day, day_time(0), tzinfo=zone)
            shown = said.astimezone(timezone.utc).astimezone(zone)
            assert day == moment.date(), name
            if shown.replace(tzinfo=None) == said.replace(tzinfo=None):
                assert said.astimezone(timezone.utc) == moment.astimezone(
                    timezone.utc
                ), (name, day)

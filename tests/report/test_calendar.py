"""The training days as a calendar file, read by another library than writes it.

Source: RFC 5545 (iCalendar), through ``vobject`` and the recurrences of ``dateutil``.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta, timezone

import vobject

from trainer.core.plan.plan import default_plan
from trainer.core.weeks import IsoWeek
from trainer.report.calendar import calendar_text

NOW = datetime(2026, 3, 3, 18, 0, tzinfo=timezone(timedelta(hours=1)))
"""A Tuesday."""
PLAN = replace(default_plan(), days=(1, 4), note="Ribs first; then reach, " * 5)


def days_of(text: str, *, until: date) -> set[date]:
    """Return the days that another reader finds in a calendar."""
    found = set()
    for event in vobject.readOne(text).vevent_list:
        for day in event.getrruleset(addRDate=True):
            if day.date() > until:
                break
            found.add(day.date())
    return found


def test_another_reader_finds_the_plans_days_but_those_of_rest_weeks() -> None:
    """Each planned weekday from today on, none before, none in a week off."""
    text = calendar_text(PLAN, rest_weeks=[IsoWeek(2026, 12)], now=NOW)

    assert {
        date(2026, 3, 5),
        date(2026, 3, 9),
        date(2026, 3, 12),
        date(2026, 3, 23),
    } == days_of(text, until=date(2026, 3, 23))


def test_the_file_keeps_to_the_standards_lines() -> None:
    """CRLF after each line, 75 octets at most (3.1); an id, a stamp each (3.6.1)."""
    raw = calendar_text(PLAN, rest_weeks=(), now=NOW).encode()

    lines = raw.split(b"\r\n")
    assert b"" == lines.pop()
    assert all(b"\n" not in line and len(line) <= 75 for line in lines)
    events = vobject.readOne(raw.decode()).vevent_list
    assert 2 == len({event.uid.value for event in events})
    assert {datetime(2026, 3, 3, 17, 0, tzinfo=timezone.utc)} == {
        event.dtstamp.value for event in events
    }
    assert PLAN.note.strip() in events[0].description.value


def test_written_again_the_days_are_the_same_events() -> None:
    """A calendar program replaces them in place of adding more."""
    ids = [
        {event.uid.value for event in vobject.readOne(text).vevent_list}
        for text in (
            calendar_text(PLAN, rest_weeks=(), now=NOW + timedelta(days=days))
            for days in (0, 9)
        )
    ]

    assert ids[0] == ids[1]

"""The training days as a calendar file, read by another library than writes it.

Source: RFC 5545 (iCalendar), through ``vobject`` and the recurrences of ``dateutil``.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta, timezone
from typing import Any

import pytest
import vobject

from trainer.core.plan.plan import default_plan
from trainer.core.weeks import IsoWeek
from trainer.report.calendar import Days, calendar_text

NOW = datetime(2026, 3, 3, 18, 0, tzinfo=timezone(timedelta(hours=1)))
"""A Tuesday."""
PLAN = replace(default_plan(), days=(1, 4), note="Ribs first; then reach, " * 5)
CHANGED = datetime(2026, 3, 1, 9, 0, tzinfo=timezone.utc)
OURS = Days(plan=PLAN, rest_weeks=(), of="ours", changed_at=CHANGED, name="Mirel")
UNTIL = date(2026, 3, 23)
THREE_WEEKS = [NOW.date() + timedelta(days=n) for n in range(21)]


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
    days = replace(OURS, rest_weeks=[IsoWeek(2026, 12)])
    text = calendar_text(days, now=NOW)

    assert {
        date(2026, 3, 5),
        date(2026, 3, 9),
        date(2026, 3, 12),
        date(2026, 3, 23),
    } == days_of(text, until=date(2026, 3, 23))


@pytest.mark.parametrize("days", [(1,), (2, 3), (1, 3, 5), (6, 7), tuple(range(1, 8))])
def test_the_first_day_is_one_of_those_that_come_back(days: tuple[int, ...]) -> None:
    """The start of a rule has to be one of its own days (3.8.5.3)."""
    plan = replace(PLAN, days=days)
    found = days_of(calendar_text(replace(OURS, plan=plan), now=NOW), until=UNTIL)

    assert {day for day in THREE_WEEKS if day.isoweekday() in days} == found


def test_the_file_keeps_to_the_standards_lines() -> None:
    """CRLF after each line, 75 octets at most (3.1); an id and a stamp (3.6.1)."""
    raw = calendar_text(OURS, now=NOW).encode()

    lines = raw.split(b"\r\n")
    assert b"" == lines.pop()
    assert all(b"\n" not in line and len(line) <= 75 for line in lines)
    event = only_event(raw.decode())
    assert event.uid.value
    assert datetime(2026, 3, 3, 17, 0, tzinfo=timezone.utc) == event.dtstamp.value
    assert PLAN.note.strip() in event.description.value


def only_event(text: str) -> Any:
    """Return the one event of a calendar."""
    (event,) = vobject.readOne(text).vevent_list
    return event


def test_a_changed_plan_takes_the_place_of_the_former_one() -> None:
    """The same id under a higher sequence (3.8.7.4): other days, none left over."""
    later = CHANGED + timedelta(days=9)
    other = replace(OURS, plan=replace(PLAN, days=(2, 6)), changed_at=later)
    before, after = (only_event(calendar_text(days, now=NOW)) for days in (OURS, other))
    again = only_event(calendar_text(OURS, now=NOW + timedelta(days=30)))

    assert before.uid.value == after.uid.value == again.uid.value
    assert int(before.sequence.value) < int(after.sequence.value) < 2**31
    assert before.sequence.value == again.sequence.value


def test_two_peoples_plans_stand_beside_each_other() -> None:
    """Two data files have two ids, so that neither takes the other's place."""
    ours = only_event(calendar_text(OURS, now=NOW))
    theirs = only_event(calendar_text(replace(OURS, of="another"), now=NOW))

    assert ours.uid.value != theirs.uid.value
    assert "Holds overhead (Mirel)" == ours.summary.value

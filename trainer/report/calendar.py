"""The training days as a calendar file: iCalendar, RFC 5545.

Whole days by the person's own date, so that no zone shifts them.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime, timedelta, timezone
from typing import TYPE_CHECKING
from uuid import UUID, uuid5

from trainer.core.plan.plan import Plan
from trainer.core.weeks import IsoWeek

if TYPE_CHECKING:
    from icalendar import Event

_DAYS = UUID("a3b4f3a8-40f5-4a53-8d83-0c5f0f0f8c3e")
"""The family of the ids of training days (made once)."""
_WEEKDAYS = ("MO", "TU", "WE", "TH", "FR", "SA", "SU")


def calendar_text(plan: Plan, *, rest_weeks: Iterable[IsoWeek], now: datetime) -> str:
    """Return one event for each weekday of PLAN, coming back weekly from today on.

    Args:
        plan: whose days they are.
        rest_weeks: weeks without training, which are left out.
        now: the local time.
    """
    from icalendar import Calendar

    found = Calendar()
    found.add("prodid", "-//overhead-hold-trainer//plan//EN")
    found.add("version", "2.0")
    off = sorted(rest_weeks)
    for day in plan.days:
        found.add_component(_event(plan, day, off, now))
    raw: bytes = found.to_ical()
    return raw.decode("utf-8")


def _event(plan: Plan, day: int, off: Iterable[IsoWeek], now: datetime) -> Event:
    from icalendar import Event, vDate

    first = now.date() + timedelta((day - now.isoweekday()) % 7)
    event = Event()
    event.add("uid", str(uuid5(_DAYS, _WEEKDAYS[day - 1])))
    event.add("dtstamp", now.astimezone(timezone.utc))
    event.add("dtstart", first)
    event.add("dtend", first + timedelta(1))
    event.add("rrule", {"freq": "weekly", "byday": _WEEKDAYS[day - 1]})
    event.add("summary", "Holds overhead")
    event.add("description", "\n".join(_lines(plan)))
    # The day isn't taken up: whoever looks for a free hour finds it free.
    event.add("transp", "TRANSPARENT")
    for left_out in _days_of(off, day, since=first):
        event.add("exdate", vDate(left_out), parameters={"VALUE": "DATE"})
    return event


def _lines(plan: Plan) -> Iterable[str]:
    for entry in plan.entries_in_order():
        name = plan.exercise(entry.exercise).name
        yield f"{name}: {entry.sets} sets, rest {entry.rest_s:g} s"
    if plan.note:
        yield plan.note


def _days_of(weeks: Iterable[IsoWeek], day: int, *, since: date) -> Iterable[date]:
    for week in weeks:
        found = week.monday + timedelta(day - 1)
        if found >= since:
            yield found

"""The training days as a calendar file: iCalendar, RFC 5545.

Whole days by the person's own date, so that no zone shifts them. All days are one
event that comes back: the id of an event says which one a calendar program puts it in
the place of (3.8.4.7), and its sequence that this one is the later (3.8.7.4). So a plan
with other days takes the place of the former one, and a day that is no longer planned
is gone; the plans of two people stand beside each other.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta, timezone
from uuid import UUID, uuid5

from trainer.core.plan.plan import Plan
from trainer.core.weeks import IsoWeek

_DAYS = UUID("a3b4f3a8-40f5-4a53-8d83-0c5f0f0f8c3e")
"""The family of the ids of training days (made once)."""
_WEEKDAYS = ("MO", "TU", "WE", "TH", "FR", "SA", "SU")
_SEQUENCE_FROM = datetime(2020, 1, 1, tzinfo=timezone.utc)
"""A sequence is the whole seconds from here to the change (our choice): it rises with
every change, and stays in 31 bits until 2088."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Days:
    """The training days of one data file, as a calendar knows them."""

    plan: Plan
    """With one day at least."""
    rest_weeks: Iterable[IsoWeek]
    """Weeks without training, which are left out."""
    of: str = ""
    """What the data file is known by: the id of its first record; empty without any."""
    changed_at: datetime | None = None
    """When plan or rest weeks were last changed."""
    name: str | None = None
    """The trainee's, where one is set."""


def calendar_text(days: Days, *, now: datetime) -> str:
    """Return the days as one event that comes back weekly, from today on.

    Args:
        days: which, and whose.
        now: the local time.
    """
    from icalendar import Calendar, Event, vDate

    plan = days.plan
    planned = [
        day
        for day in (now.date() + timedelta(n) for n in range(7))
        if day.isoweekday() in plan.days
    ]
    changed_at = days.changed_at or _SEQUENCE_FROM
    event = Event()
    event.add("uid", str(uuid5(_DAYS, days.of)))
    event.add("sequence", int((changed_at - _SEQUENCE_FROM).total_seconds()))
    event.add("dtstamp", now.astimezone(timezone.utc))
    event.add("dtstart", planned[0])
    event.add("dtend", planned[0] + timedelta(1))
    weekdays = [_WEEKDAYS[day - 1] for day in plan.days]
    event.add("rrule", {"freq": "weekly", "byday": weekdays})
    event.add("summary", f"Holds overhead{f' ({days.name})' if days.name else ''}")
    event.add("description", "\n".join(_lines(plan)))
    # The day isn't taken up: whoever looks for a free hour finds it free.
    event.add("transp", "TRANSPARENT")
    for left_out in _days_of(days.rest_weeks, plan, since=planned[0]):
        event.add("exdate", vDate(left_out), parameters={"VALUE": "DATE"})
    found = Calendar()
    found.add("prodid", "-//overhead-hold-trainer//plan//EN")
    found.add("version", "2.0")
    found.add_component(event)
    raw: bytes = found.to_ical()
    return raw.decode("utf-8")


def _lines(plan: Plan) -> Iterable[str]:
    for entry in plan.entries_in_order():
        name = plan.exercise(entry.exercise).name
        yield f"{name}: {entry.sets} sets, rest {entry.rest_s:g} s"
    if plan.note:
        yield plan.note


def _days_of(weeks: Iterable[IsoWeek], plan: Plan, *, since: date) -> Iterable[date]:
    for week in sorted(weeks):
        for day in week.days():
            if day.isoweekday() in plan.days and day >= since:
                yield day

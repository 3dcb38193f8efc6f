"""Weeks done against the plan, and how many of them stand in a row.

A week is an ISO 8601 week of local dates. It is done when the plan's *number* of days
was trained, on whichever days; a day that was stopped for pain counts. Rest weeks and
weeks in which the rule ``pain`` said rest are neutral: they neither lengthen a streak
nor break it. The running week never breaks one. A date that the zone left out (Apia had
no 30 December 2011) was no day to train on.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Container, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from trainer.core.model import History, ShownSuggestion
from trainer.core.next_week.suggestion import Change, Rule
from trainer.core.weeks import IsoWeek


class WeekState(StrEnum):
    """What became of a week."""

    DONE = "done"
    MISSED = "missed"
    RUNNING = "running"
    """Not done yet, and not over."""
    REST = "rest week"
    PAIN = "rest for pain"
    FIRST = "first week"
    """Began after its Monday and wasn't done: there was no whole week to do it in."""


@dataclass(frozen=True, slots=True)
class PlannedDays:
    """How many days a week the plan asked for, from a date on."""

    valid_from: date
    days: int
    weekdays: tuple[int, ...] = ()
    """Which ones, 1 to 7; empty where it was left open."""

    def dates(self, week: IsoWeek, *, left_out: Container[date]) -> list[date]:
        """Return the planned dates of WEEK, without those that the zone LEFT_OUT.

        Where the weekdays were left open, they are the last ones on which that many
        days can still be done.
        """
        there = [day for day in week.days() if day not in left_out]
        if self.weekdays:
            return [day for day in there if day.isoweekday() in self.weekdays]
        return there[-max(1, self.days) :]


@dataclass(frozen=True, slots=True)
class Week:
    """One week: what was planned, what was done."""

    week: IsoWeek
    planned_days: int
    days_done: int
    state: WeekState
    due_days: int = 0
    """Planned days that were due so far: none that is still to come, none before the
    first session of all. Today is due once it is done."""

    @property
    def done_of_due(self) -> int:
        """Days done, of those due: a day more than planned makes up for no other."""
        return min(self.days_done, self.due_days)


@dataclass(frozen=True, slots=True)
class Streaks:
    """All weeks since the first session, and the runs of done ones among them."""

    weeks: tuple[Week, ...]
    """Oldest first, none left out, the last one is the running week."""
    current: int
    """Weeks done in a row up to now."""
    longest: int

    def adherence(self, since: IsoWeek) -> tuple[int, int]:
        """Return the days done and the days due, from the week SINCE on.

        Weeks off that were meant, and those in which pain said rest, don't count.
        """
        weeks = [
            week
            for week in self.weeks
            if week.week >= since and week.state not in (WeekState.REST, WeekState.PAIN)
        ]
        done = sum(week.done_of_due for week in weeks)
        return done, sum(week.due_days for week in weeks)


def days_trained(history: History) -> Mapping[IsoWeek, frozenset[date]]:
    """Return the local dates with at least one hold, by week."""
    found: dict[IsoWeek, set[date]] = defaultdict(set)
    for session in history.sessions:
        if session.holds:
            found[IsoWeek.of(session.local_date)].add(session.local_date)
    return {week: frozenset(days) for week, days in found.items()}


def pain_rest_weeks(history: History) -> frozenset[IsoWeek]:
    """Return the weeks for which the rule ``pain`` said ``rest``, and still stands.

    The last suggestion that was shown for an exercise and a week says whether the pain
    still stands: after one that was taken back it is another rule's. A rest that is
    over later in the week was a rest all the same.
    """
    last: dict[tuple[str, IsoWeek], ShownSuggestion] = {}
    rested: set[tuple[str, IsoWeek]] = set()
    for shown in sorted(history.shown, key=lambda one: one.shown_at):
        key = (shown.exercise, shown.week)
        last[key] = shown
        if shown.rule == Rule.PAIN and shown.change == Change.REST:
            rested.add(key)
    return frozenset(key[1] for key in rested if last[key].rule == Rule.PAIN)


def streaks(
    history: History,
    *,
    planned: Sequence[PlannedDays],
    today: date,
    left_out: Container[date] = frozenset(),
) -> Streaks:
    """Judge every week from the first session's to the running one.

    Args:
        history: the log; sessions dated after today are left out.
        planned: the plan's number of days over time, in order of ``valid_from``.
        today: the local date now.
        left_out: the dates that the zone's clock left out.
    """
    now = IsoWeek.of(today)
    trained = {
        week: days for week, days in days_trained(history).items() if week <= now
    }
    if not trained:
        return Streaks(weeks=(), current=0, longest=0)
    first = min(trained)
    begun = min(trained[first])
    pain_rest = pain_rest_weeks(history)
    weeks = []
    for n in range(now.since(first) + 1):
        week = first.plus(n)
        days = trained.get(week, frozenset())
        asked = _plan_of(planned, week).dates(week, left_out=left_out)
        wanted = len(asked)
        if len(days) >= wanted:
            state = WeekState.DONE
        elif week in history.rest_weeks:
            state = WeekState.REST
        elif week in pain_rest:
            state = WeekState.PAIN
        elif week == now:
            state = WeekState.RUNNING
        elif week == first and begun > week.monday:
            state = WeekState.FIRST
        else:
            state = WeekState.MISSED
        due = sum(begun <= day < today for day in asked)
        due = max(due, min(len(days), wanted))
        weeks.append(Week(week, wanted, len(days), state, due))
    runs = _runs(week.state for week in weeks)
    return Streaks(weeks=tuple(weeks), current=runs[-1], longest=max(runs))


def _plan_of(planned: Sequence[PlannedDays], week: IsoWeek) -> PlannedDays:
    """Return what was in force on the week's Monday, else the first one after it."""
    in_force = [entry for entry in planned if entry.valid_from <= week.monday]
    if in_force:
        return in_force[-1]
    return planned[0] if planned else PlannedDays(date.min, 1)


def _runs(states: Iterable[WeekState]) -> list[int]:
    """Return the length of the run of done weeks as it stands after each week."""
    run = 0
    lengths = []
    for state in states:
        if state is WeekState.DONE:
            run += 1
        elif state is WeekState.MISSED:
            run = 0
        lengths.append(run)
    return lengths


def run_of_weeks(current: int) -> str:
    """Say how many weeks stand in a row up to now."""
    if current == 0:
        return "No week in a row at the moment"
    if current == 1:
        return "1 week done"
    return f"{current} weeks in a row"

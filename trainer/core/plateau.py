"""Four weeks at one target: what it looks like, and the ways on that are offered."""

from __future__ import annotations

from trainer.core import words
from trainer.core.case import Case, half_step_s
from trainer.core.day import Day
from trainer.core.weeks import IsoWeek

PLATEAU_WEEKS = 4
"""The same target in so many weeks, with a session in each (our choice)."""


def plateau_notes(case: Case) -> tuple[str, ...] | None:
    """Give the sentences of a plateau, or None where there is none."""
    days = _plateau_days(case)
    if days is None or case.current_s >= case.entry.cap_s:
        return None
    half_s = half_step_s(case.entry.step_s)
    options = ["a longer rest between sets"]
    if case.entry.sets > 1:
        options.append("one set fewer")
    options.append(f"a step of {words.seconds(half_s)}")
    notes = [
        f"The target has been {words.seconds(case.current_s)} for"
        f" {PLATEAU_WEEKS} weeks with a session in each.",
        f"Ways on, to choose from: {', '.join(options[:-1])}, or {options[-1]}.",
    ]
    missed = _always_missed(days)
    if missed is not None:
        fewer = missed - 1
        notes.append(
            f"Set {missed} was missed each time and those before it never:"
            f" {words.count(fewer, 'set')} as the plan would fit what is kept."
        )
    return tuple(notes)


def _plateau_days(case: Case) -> list[Day] | None:
    """Give the run's days of the last four weeks, rest weeks not counted as weeks."""
    if not case.run:
        return None
    week = IsoWeek.of(case.run[-1].date)
    days: list[Day] = []
    seen = 0
    while seen < PLATEAU_WEEKS:
        if week not in case.history.rest_weeks:
            mine = [day for day in case.run if day.date in week]
            if not mine:
                return None
            days.extend(mine)
            seen += 1
        elif week < IsoWeek.of(case.run[0].date):
            return None
        week = week.plus(-1)
    return days


def _always_missed(days: list[Day]) -> int | None:
    """Give the one set that was the first missed every time, from the second set on."""
    firsts = {min(day.missed_sets(), default=0) for day in days}
    if len(firsts) != 1:
        return None
    first = firsts.pop()
    return first if first >= 2 else None

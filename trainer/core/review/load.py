"""How much a session and a week asked for: a column of a table, without alarms.

Load is RPE times minutes (Foster 1998, MSSE 30(7):1164–8); ours is far smaller than
theirs: a session is a few minutes of holds. No index is drawn from it: limits for
monotony or strain are not confirmed in a primary source.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from trainer.core import words
from trainer.core.model import History, Session
from trainer.core.plan.plan import Plan
from trainer.core.weeks import IsoWeek


@dataclass(frozen=True, slots=True)
class WeekLoad:
    """One week's load in RPE × minutes; None where it is undefined."""

    load: float | None
    """None: no session of the week has an RPE."""
    sessions: int
    """Sessions with an RPE, which it rests on."""


def session_load(session: Session) -> float | None:
    """Return the top RPE times the minutes kept; None if no RPE was noted."""
    top = top_rpe(session)
    if top is None:
        return None
    return top * sum(hold.kept_or_held_s for hold in session.holds) / 60


def top_rpe(session: Session) -> float | None:
    """Return the highest RPE noted in a session; None if there is none."""
    return max(
        (hold.rpe for hold in session.holds if hold.rpe is not None), default=None
    )


def week_load(sessions: Iterable[Session]) -> WeekLoad:
    """Sum the sessions of one week; those without an RPE are left out."""
    loads = [load for one in sessions if (load := session_load(one)) is not None]
    return WeekLoad(math.fsum(loads) if loads else None, len(loads))


def loads_of(sessions: Iterable[Session]) -> Mapping[IsoWeek, WeekLoad]:
    """Sum each week's load, oldest first."""
    by_week: dict[IsoWeek, list[Session]] = defaultdict(list)
    for session in sessions:
        by_week[IsoWeek.of(session.local_date)].append(session)
    return {week: week_load(found) for week, found in sorted(by_week.items())}


# Seconds and days a week against the published figures: information, no judgement.
#
# The figures are for static stretching of a muscle; a hang is near to that, a press is
# not quite. They are shown with their source, and nothing is decided by them. Ratios of
# acute to chronic load and injury predictions are left out on purpose: dividing by the
# chronic load says no more than dividing by a constant (Impellizzeri et al. 2020).

GUIDELINE = "Garber et al. 2011, Med Sci Sports Exerc 43:1334–59"
GUIDELINE_DAYS = 2
GUIDELINE_SESSION_S = 60.0
VOLUME = "Thomas et al. 2018, Int J Sports Med 39:243–54"
VOLUME_WEEK_S = 300.0
CONSENSUS = "Warneke et al. 2025, J Sport Health Sci 14:101067"
CONSENSUS_WEEK_S = (420.0, 2520.0)
"""2 × 30 s to 3 × 120 s, daily, worked out for a week."""
CEILING = "Ingram et al. 2025, Sports Med"
CEILING_WEEK_S = 600.0


@dataclass(frozen=True, slots=True)
class DoseLine:
    """One published figure, and whether the week meets it."""

    sentence: str
    source: str
    met: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Dose:
    """What one exercise came to in one week."""

    exercise: str
    week: IsoWeek
    kept_s: float
    days: int
    lines: tuple[DoseLine, ...]


def meets_guideline(holds_s: Iterable[float], days: int) -> bool:
    """Tell whether a session's holds on so many days a week meet the guideline.

    60 s per exercise and session, on two days a week or more (Garber et al. 2011).
    """
    return sum(holds_s) >= GUIDELINE_SESSION_S and days >= GUIDELINE_DAYS


def dose(exercise: str, week: IsoWeek, sessions_s: Iterable[float]) -> Dose:
    """Set one exercise's week beside the figures, given the seconds kept each day."""
    per_day = [kept_s for kept_s in sessions_s if kept_s > 0]
    total_s, days = sum(per_day), len(per_day)
    full_days = sum(kept_s >= GUIDELINE_SESSION_S for kept_s in per_day)
    low_s, high_s = CONSENSUS_WEEK_S
    total = words.seconds(total_s)
    lines = (
        DoseLine(
            f"{words.count(full_days, 'day')} with 60 s or more; the guideline is 60 s"
            " per exercise on 2 days a week or more.",
            GUIDELINE,
            full_days >= GUIDELINE_DAYS,
        ),
        DoseLine(
            f"{total} in the week; 300 s a week or more went with larger gains.",
            VOLUME,
            total_s >= VOLUME_WEEK_S,
        ),
        DoseLine(
            f"{total} in the week; experts name 2 to 3 sets of 30 to 120 s, daily if"
            f" possible: {low_s:g} to {high_s:g} s.",
            CONSENSUS,
            low_s <= total_s <= high_s,
        ),
        DoseLine(
            f"{total} in the week; beyond 600 s a week no further gain was seen.",
            CEILING,
            total_s <= CEILING_WEEK_S,
        ),
    )
    return Dose(exercise=exercise, week=week, kept_s=total_s, days=days, lines=lines)


def dose_of(history: History, plan: Plan, week: IsoWeek) -> tuple[Dose, ...]:
    """Return the dose of each exercise of the plan in WEEK: all holds that count."""
    kept: dict[str, dict[date, float]] = defaultdict(lambda: defaultdict(float))
    for session in history.sessions:
        if session.local_date not in week:
            continue
        for hold in session.holds:
            if hold.counts:
                kept[hold.exercise][session.local_date] += hold.kept_or_held_s
    return tuple(
        dose(entry.exercise, week, kept[entry.exercise].values())
        for entry in plan.exercises
    )


def planned_dose(
    plan: Plan, week: IsoWeek, targets_s: dict[str, float]
) -> tuple[Dose, ...]:
    """Return the dose that the plan's days come to at these targets."""
    return tuple(
        dose(
            entry.exercise,
            week,
            [entry.sets * targets_s.get(entry.exercise, entry.start_s)]
            * len(plan.days),
        )
        for entry in plan.exercises
    )

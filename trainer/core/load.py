"""How much a session and a week asked for: a description, without alarms.

Load is RPE times minutes, monotony is the mean of the week's seven days over their
spread, a day of rest being 0, and strain is load times monotony (Foster 1998, MSSE
30(7):1164–8). The spread is the population standard deviation: that
is the one that agrees with the printed monotony in Foster 2001, JSCR 15(1):109–115,
Table 5. Limits for either are not confirmed in a primary source, so none are used.
Ours are far smaller than theirs: a session is a few minutes of holds.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from trainer.core.model import Session

DAYS = 7
"""Days of a week."""


@dataclass(frozen=True, slots=True)
class WeekLoad:
    """One week's load in RPE × minutes; None where it is undefined."""

    load: float | None
    """None: no session of the week has an RPE."""
    sessions: int
    """Sessions with an RPE, which the figures rest on."""
    monotony: float | None
    """None: a session without an RPE, no spread, or a week that isn't over."""
    strain: float | None


def session_load(session: Session) -> float | None:
    """Give the top RPE times the minutes kept; None if no RPE was noted."""
    top = top_rpe(session)
    if top is None:
        return None
    return top * sum(hold.kept_or_held_s for hold in session.holds) / 60


def top_rpe(session: Session) -> float | None:
    """Give the highest RPE noted in a session; None if there is none."""
    return max(
        (hold.rpe for hold in session.holds if hold.rpe is not None), default=None
    )


def monotony(loads: Sequence[float]) -> float | None:
    """Give the mean over the population standard deviation; None without spread."""
    if len(loads) < 2 or min(loads) == max(loads):
        return None
    mean = math.fsum(loads) / len(loads)
    spread = math.sqrt(math.fsum((load - mean) ** 2 for load in loads) / len(loads))
    return mean / spread


def strain(load: float, monotony: float) -> float:
    """Give the load times the monotony."""
    return load * monotony


def week_load(sessions: Iterable[Session], *, over: bool = True) -> WeekLoad:
    """Describe the sessions of one week, which is OVER or still running.

    Days are local dates. Where a session has no RPE its day's load isn't known, so
    the week has a load of the others and no monotony.
    """
    by_day: dict[date, float] = defaultdict(float)
    noted, unknown = 0, False
    for session in sessions:
        load = session_load(session)
        if load is None:
            unknown = True
            continue
        noted += 1
        by_day[session.local_date] += load
    if not noted:
        return WeekLoad(load=None, sessions=0, monotony=None, strain=None)
    total = math.fsum(by_day.values())
    rest_days = [0.0] * (DAYS - len(by_day))
    known = over and not unknown
    even = monotony([*by_day.values(), *rest_days]) if known else None
    return WeekLoad(
        load=total,
        sessions=noted,
        monotony=even,
        strain=None if even is None else strain(total, even),
    )

"""When an angle check is due, and when there is none.

Only the standing reach is ever due: hanging and pressing are photographed within a set
that is planned anyway. A check is never a condition of training.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date

from trainer.core.angle.check import AngleCheck, Pose
from trainer.core.exercises import HANG_LOADS, PRESS_LOADS
from trainer.core.model import PainKind, Session, Site
from trainer.core.weeks import IsoWeek

EVERY_WEEKS = 4
"""Weeks from one check to the next (our choice: sooner rarely shows anything)."""
SHOULDER_SITES = (HANG_LOADS & PRESS_LOADS) - {Site.ELBOW, Site.HAND, Site.FOREARM}
"""What every hang and every press loads about the shoulder."""
DECLINED_KEY = "angle-declined"
"""The answer that keeps the day on which the check was declined."""


def is_due(
    checks: Iterable[AngleCheck], *, today: date, declined_on: date | None = None
) -> bool:
    """Tell whether a reach is due: on day one and every fourth week.

    Args:
        checks: all that there are.
        today: the local date.
        declined_on: when it was last declined; it isn't offered again in that week.
    """
    week = IsoWeek.of(today)
    if declined_on is not None and week.since(IsoWeek.of(declined_on)) <= 0:
        return False
    reached = [
        check.local_date for check in checks if check.position.pose is Pose.REACH
    ]
    if not reached:
        return True
    return week.since(IsoWeek.of(max(reached))) >= EVERY_WEEKS


def declined_on(answers: Mapping[str, str]) -> date | None:
    """Return the day on which the check was last declined, if it ever was."""
    said = answers.get(DECLINED_KEY, "")
    try:
        return date.fromisoformat(said) if said else None
    except ValueError:
        return None


def open_sites(sessions: Iterable[Session]) -> tuple[Site | None, ...]:
    """Return where something hurts or is numb that nobody has said is gone.

    None stands for a pain whose site wasn't noted.
    """
    return tuple(
        sign.site
        for session in sessions
        for hold in session.holds
        for sign in hold.pain
        if sign.gone_on is None and sign.kind is not PainKind.DIZZY
    )


def held_back(sites: Iterable[Site | None]) -> str:
    """Return why there is no check today, or an empty text.

    Args:
        sites: where open pain is; None where nobody said where.
    """
    hurting = list(sites)
    named = sorted(
        {
            site.value.replace("-", " ")
            for site in hurting
            if site is not None and site in SHOULDER_SITES
        }
    )
    if named:
        return f"No angle check with open pain at a shoulder: {', '.join(named)}"
    if None in hurting:
        return "No angle check while it is open where the pain is"
    return ""


def check_due(
    checks: Iterable[AngleCheck],
    sessions: Iterable[Session],
    answers: Mapping[str, str],
    *,
    today: date,
) -> bool:
    """Tell whether a check is to be offered today: due, and nothing at a shoulder."""
    due = is_due(checks, today=today, declined_on=declined_on(answers))
    return due and not held_back(open_sites(sessions))

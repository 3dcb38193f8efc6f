"""When an angle check is due, and when there is none.

Only the standing reach is due by itself: hanging and pressing are photographed within a
set that is planned anyway (``in_a_set``). A check is never a condition of training.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date

from trainer.core.angle.check import AngleCheck, Pose
from trainer.core.exercises import SHOULDER_SITES
from trainer.core.model import PainKind
from trainer.core.safety import OpenPain, pain_words
from trainer.core.weeks import IsoWeek
from trainer.core.words import listed

EVERY_WEEKS = 4
"""Weeks from one check to the next (our choice: sooner rarely shows anything)."""
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
    reached = [
        check.local_date for check in checks if check.position.pose is Pose.REACH
    ]
    return four_weeks_since(reached, today=today, declined_on=declined_on)


def four_weeks_since(
    days: Sequence[date], *, today: date, declined_on: date | None
) -> bool:
    """Tell whether the last of DAYS, if any, lies four weeks back.

    In the week in which it was declined it doesn't count as doing so.
    """
    week = IsoWeek.of(today)
    if declined_on is not None and week.since(IsoWeek.of(declined_on)) <= 0:
        return False
    return not days or week.since(IsoWeek.of(max(days))) >= EVERY_WEEKS


def declined_on(answers: Mapping[str, str], key: str = DECLINED_KEY) -> date | None:
    """Return the day on which what KEY stands for was last declined, if it ever was."""
    said = answers.get(key, "")
    try:
        return date.fromisoformat(said) if said else None
    except ValueError:
        return None


def held_back(pains: Iterable[OpenPain]) -> str:
    """Return why there is no check today, or an empty text.

    A pain whose site nobody noted may be at a shoulder too; dizziness is the gate's.
    """
    hurting = [pain for pain in pains if pain.kind is not PainKind.DIZZY]
    there = [pain for pain in hurting if pain.site in SHOULDER_SITES]
    if there:
        named = listed([pain_words(pain) for pain in there])
        return f"No angle check with open {named}"
    if any(pain.site is None for pain in hurting):
        return "No angle check while it is open where the pain is"
    return ""


def check_due(
    checks: Iterable[AngleCheck],
    pains: Iterable[OpenPain],
    answers: Mapping[str, str],
    *,
    today: date,
) -> bool:
    """Tell whether a check is to be offered today: due, and nothing at a shoulder."""
    due = is_due(checks, today=today, declined_on=declined_on(answers))
    return due and not held_back(pains)

"""The first day: from a few answers to a plan that nobody need be afraid of.

What isn't answered is taken the careful way, and no answer is made up for the log.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime

from trainer.core import safety
from trainer.core.answers import (
    DAYS,
    HANG_WAS_EASY,
    PRESS,
    TEST_DECLINED,
    YES,
    said,
)
from trainer.core.exercises import (
    HANG,
    PRESS_PIKE,
    PRESS_PUSHUP,
    PRESS_WALL,
    Exercise,
    Family,
)
from trainer.core.model import EndedBy, History, SessionKind
from trainer.core.plan.plan import Plan, default_plan

# The first-day test: how long with a breath in reserve, and the start from it. All
# figures are our choice; the 20 to 30 s that they lead to are common practice.

TEST_LIMIT_S = 45.0
"""A test ends here at the latest."""
TOO_SHORT_S = 15.0
"""A test under this means the rung below."""
SHARE = 2 / 3
ROUND_TO_S = 5.0
LEAST_START_S = 10.0
MOST_START_S = 30.0


@dataclass(frozen=True, slots=True, kw_only=True)
class TestResult:
    """A first-day test and what follows from it."""

    on: date
    at: datetime
    """When its session began, UTC."""
    held_s: float
    start_s: float | None
    """None: under 15 s, the rung below fits better."""


def breaths_left(exercise: Exercise) -> int:
    """Give how many breaths are to be left where a test of EXERCISE ends."""
    return 2 if exercise.upside_down else 1


def when_to_come_down(exercise: Exercise) -> str:
    """Say when a test of EXERCISE ends: ``come down with one breath left``."""
    left = "two breaths" if breaths_left(exercise) == 2 else "one breath"
    return f"come down with {left} left"


def to_test(
    plan: Plan, history: History, answers: Mapping[str, str]
) -> tuple[str, ...]:
    """Return the plan's exercises whose start a test could find.

    Each until it was tested or trained; none once the person has declined.
    """
    if answers.get(TEST_DECLINED) == YES:
        return ()
    begun = {
        hold.exercise
        for session in history.sessions
        if session.kind in (SessionKind.PLAN, SessionKind.TEST)
        for hold in session.holds
    }
    planned = (entry.exercise for entry in plan.exercises)
    return tuple(each for each in planned if may_test(each) and each not in begun)


def may_test(exercise: str) -> bool:
    """Tell whether EXERCISE may be tested: never against the wall, upside down."""
    return exercise != PRESS_WALL.id


def start_from_test(held_s: float) -> float | None:
    """Give the start: two thirds, rounded down to 5 s, 10 to 30 s; None under 15 s."""
    if held_s < TOO_SHORT_S:
        return None
    share_s = SHARE * min(held_s, TEST_LIMIT_S)
    rounded_s = math.floor(share_s / ROUND_TO_S + 1e-9) * ROUND_TO_S
    return min(MOST_START_S, max(LEAST_START_S, rounded_s))


def last_test(history: History, exercise: str) -> TestResult | None:
    """Give the last test of EXERCISE that counts, or None.

    A hold added by hand may have joined a test's session; it is no test.
    """
    for session in reversed(history.sessions):
        if session.kind is not SessionKind.TEST:
            continue
        for hold in reversed(session.holds):
            added = hold.ended_by is EndedBy.ADDED
            if hold.exercise == exercise and hold.counts and not added:
                held_s = hold.kept_or_held_s
                return TestResult(
                    on=session.local_date,
                    at=session.started_at,
                    held_s=held_s,
                    start_s=start_from_test(held_s),
                )
    return None


DEFAULT_DAYS = (1, 3, 5)


def days_in(answers: Mapping[str, str]) -> tuple[int, ...]:
    """Give the days that were answered, or three of the week."""
    return parse_days(answers.get(DAYS, "")) or DEFAULT_DAYS


def parse_days(text: str) -> tuple[int, ...]:
    """Read ``1 3 5``; what is no ISO weekday is left out."""
    return tuple(sorted({int(each) for each in text.split() if each in "1234567"}))


def possible_presses(answers: Mapping[str, str], *, on: date) -> tuple[str, ...]:
    """Give the presses that a first plan may begin with after these answers."""
    if safety.top(Family.PRESS, answers, on=on) == PRESS_PUSHUP.id:
        return (PRESS_PUSHUP.id,)
    return (PRESS_PUSHUP.id, PRESS_PIKE.id)


def press_in(answers: Mapping[str, str], *, on: date) -> str:
    """Give the press that was answered, where it is possible; else the first one."""
    possible = possible_presses(answers, on=on)
    press = answers.get(PRESS, "")
    return press if press in possible else possible[0]


def plan_from(
    answers: Mapping[str, str], *, on: date, before: Plan | None = None
) -> Plan:
    """Make the plan; one that there was before keeps all but days and rungs' tops.

    Args:
        answers: what was answered, by key.
        on: the local date.
        before: the plan that there was; its days stay where none were answered.
    """
    top = {family: safety.top(family, answers, on=on) for family in Family}
    if before is not None:
        days = parse_days(answers.get(DAYS, "")) or before.days
        return replace(before, days=days, top=top)
    hang_was_easy = said(answers, HANG_WAS_EASY) is True
    made = default_plan(
        hang_was_easy=hang_was_easy and top[Family.HANG] == HANG.id,
        press=press_in(answers, on=on),
    )
    return replace(made, days=days_in(answers), top=top)

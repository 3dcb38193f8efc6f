"""The first day: from a few answers to a plan that nobody need be afraid of.

What isn't answered is taken the careful way, and no answer is made up for the log.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime

from trainer.core.exercises import PRESS_WALL, Family
from trainer.core.model import EndedBy, History, SessionKind
from trainer.core.plan.plan import Plan, default_plan

# The first-day test: how long to RPE 7, and the start that follows from it.
#
# All figures are our choice; the 20 to 30 s that they lead to are common practice.

TEST_RPE = 7.0
TEST_LIMIT_S = 45.0
"""The test ends here, if RPE 7 hasn't come before."""
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


HANG_WAS_EASY = "hang-was-easy"
WALL_UNHURRIED = "wall-unhurried"
HEAD_UP = "head-up"
"""An eye or blood-pressure caution: the head stays up, a pike is head-down too."""
PRESS = "press"
DAYS = "days"
YES, NO = "yes", "no"

DEFAULT_DAYS = (1, 3, 5)


@dataclass(frozen=True, slots=True, kw_only=True)
class FirstAnswers:
    """What was answered; None where nothing was."""

    hang_was_easy: bool | None = None
    """20 s of hanging with straight arms was easy."""
    wall_unhurried: bool | None = None
    """Can walk up and down the wall unhurried, and has done so with somebody by."""
    head_up: bool | None = None
    """Has an eye or blood-pressure caution."""
    press: str = "press-pushup"
    days: tuple[int, ...] = DEFAULT_DAYS

    @classmethod
    def of(cls, answers: Mapping[str, str]) -> FirstAnswers:
        """Read them from the answers that the store keeps."""
        return cls(
            hang_was_easy=_yes_or_no(answers.get(HANG_WAS_EASY, "")),
            wall_unhurried=_yes_or_no(answers.get(WALL_UNHURRIED, "")),
            head_up=_yes_or_no(answers.get(HEAD_UP, "")),
            press=answers.get(PRESS) or "press-pushup",
            days=parse_days(answers.get(DAYS, "")) or DEFAULT_DAYS,
        )


def parse_days(text: str) -> tuple[int, ...]:
    """Read ``1 3 5``; what is no ISO weekday is left out."""
    return tuple(sorted({int(each) for each in text.split() if each in "1234567"}))


def _yes_or_no(text: str) -> bool | None:
    return {YES: True, NO: False}.get(text)


def hardest_press(answers: FirstAnswers) -> str:
    """Give the hardest press that may be offered after these answers.

    Somebody who didn't answer the caution isn't turned upside down by us.
    """
    if answers.head_up is not False:
        return "press-pushup"
    return "press-wall" if answers.wall_unhurried else "press-pike"


def possible_presses(answers: FirstAnswers) -> tuple[str, ...]:
    """Give the presses that a first plan may begin with after these answers."""
    if hardest_press(answers) == "press-pushup":
        return ("press-pushup",)
    return ("press-pushup", "press-pike")


def still_open(answers: Mapping[str, str]) -> tuple[str, ...]:
    """Give the questions of safety that nobody answered, in the order asked.

    With a caution answered yes the wall is out of the question: it isn't asked for.
    """
    asked = (HEAD_UP,) if answers.get(HEAD_UP) == YES else (HEAD_UP, WALL_UNHURRIED)
    return tuple(key for key in asked if answers.get(key) not in (YES, NO))


def plan_from(answers: FirstAnswers, *, before: Plan | None = None) -> Plan:
    """Make the plan; one that there was before keeps all but days and rungs' tops."""
    top = {Family.HANG: "hang", Family.PRESS: hardest_press(answers)}
    if before is not None:
        return replace(before, days=answers.days, top=top)
    press = "press-pushup" if top[Family.PRESS] == "press-pushup" else answers.press
    made = default_plan(hang_was_easy=bool(answers.hang_was_easy), press=press)
    return replace(made, days=answers.days, top=top)

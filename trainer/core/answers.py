"""What a person answers once: every key, how it is asked, how it is read.

The store keeps words by key. What isn't there, or is no word that the question has, is
open; nothing is made up for it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from trainer.core.text import clean

YES, NO, OPEN = "yes", "no", "open"
WORDS = (YES, NO, OPEN)
"""What may be said to a question; ``open`` takes an answer back."""

HANG_WAS_EASY = "hang-was-easy"
SHOULDER = "shoulder"
CLINICIAN_AGREED = "clinician-agreed"
HEAD_UP = "head-up"
WALL_UNHURRIED = "wall-unhurried"
PRESS = "press"
"""The press that the first plan begins with: an exercise's id."""
DAYS = "days"
"""The days of the first plan: ISO weekdays, ``1 3 5``."""
TEST_DECLINED = "test-declined"
"""Yes: the first-day test isn't offered any more."""
CAUTIONS_READ = "cautions-read"
"""The day on which the cautions were read."""
MADE_UP_KEY = "made_up"
"""The answer that marks a file as made up: ``yes`` there, missing in a person's."""

MADE_UP = "Made up: this trainee doesn't exist."
"""Said wherever something of such a file is shown."""
MADE_UP_SHORT = "made up"

NAME_KEY = "name"
"""The answer that names the file's trainee; empty or missing where nobody set one."""
LONGEST_NAME = 60
"""Characters of a trainee's name (our choice)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """One question that is answered with yes or no, or left open."""

    key: str
    asks: str
    careful: str = ""
    """What leaving it open comes to; empty: nothing that a person has to know."""


QUESTIONS = (
    Question(
        key=HANG_WAS_EASY,
        asks="Can you hang from a bar for 20 s with straight arms, easily?",
    ),
    Question(
        key=SHOULDER,
        asks="Do you have a shoulder that was operated on, out of joint or is unstable,"
        " very loose joints, or arms that go numb?",
        careful="no more than the supported hang and the push-up position is offered",
    ),
    Question(
        key=CLINICIAN_AGREED,
        asks="Has a clinician who knows of it agreed to more than supported hangs and"
        " push-up positions?",
        careful="no more than the supported hang and the push-up position is offered",
    ),
    Question(
        key=HEAD_UP,
        asks="Do you have an eye or blood-pressure caution: glaucoma, high blood"
        " pressure, heart disease, a stroke?",
        careful="no press with the head down is offered",
    ),
    Question(
        key=WALL_UNHURRIED,
        asks="Can you walk your feet up and down a wall without hurry, and have you"
        " done so with somebody by?",
        careful="the wall isn't offered",
    ),
)
"""The first day's questions, in the order in which they are asked."""
ANSWER_WITH = "trainer plan questions"
"""The command that asks them."""
QUESTION_OF: Mapping[str, Question] = {each.key: each for each in QUESTIONS}


def said(answers: Mapping[str, str], key: str) -> bool | None:
    """Give what was answered to a question: yes, no, or None where it is open."""
    word = answers.get(key, "")
    if key == CLINICIAN_AGREED and agreed_on(answers) is not None:
        return True
    return {YES: True, NO: False}.get(word)


def agreed_on(answers: Mapping[str, str]) -> date | None:
    """Give the day on which the person said that a clinician has agreed, or None.

    It is kept as that day and not as a yes, so that a coach can see how old it is.
    """
    try:
        return date.fromisoformat(answers.get(CLINICIAN_AGREED, ""))
    except ValueError:
        return None


def as_kept(key: str, word: str, *, on: date, before: str = "") -> str:
    """Give what the store keeps for an answer given ON a day.

    Args:
        key: the question.
        word: yes, no, or open; empty is open too.
        on: the local date.
        before: what was kept until now: a yes that stands keeps its day.
    """
    if word == OPEN:
        return ""
    if key == CLINICIAN_AGREED and word == YES:
        return before if agreed_on({key: before}) is not None else on.isoformat()
    return word


def applies(key: str, answers: Mapping[str, str]) -> bool:
    """Tell whether a question is worth asking after these answers.

    Nobody has to ask a clinician about a shoulder that is well, and with the head kept
    up the wall is out of the question.
    """
    if key == CLINICIAN_AGREED:
        return said(answers, SHOULDER) is True
    if key == WALL_UNHURRIED:
        return said(answers, HEAD_UP) is not True
    return True


def still_open(answers: Mapping[str, str]) -> tuple[str, ...]:
    """Give the questions of safety that nobody answered, in the order asked."""
    return tuple(
        each.key
        for each in QUESTIONS
        if each.careful
        and applies(each.key, answers)
        and said(answers, each.key) is None
    )


def is_made_up(answers: Mapping[str, str]) -> bool:
    """Tell whether a file with these answers is made up."""
    return said(answers, MADE_UP_KEY) is True


def trainee_name(answers: Mapping[str, str]) -> str | None:
    """Return the name of the file's trainee; None where none is set."""
    return clean(answers.get(NAME_KEY, ""), limit=LONGEST_NAME) or None

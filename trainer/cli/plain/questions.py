"""Questions line by line: the first day's, and what the gate asks before a hold.

Each is answered by one key, and each key by a line. Enter alone never lets anything
past the gate.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import TYPE_CHECKING

from trainer.cli import output
from trainer.cli.plain.keys import ENTER
from trainer.cli.plain.terminal import Keys, NoKeys
from trainer.core import words
from trainer.core.answers import (
    ANSWER_WITH,
    DAYS,
    NO,
    OPEN,
    PRESS,
    QUESTIONS,
    YES,
    applies,
    as_kept,
    said,
)
from trainer.core.exercises import BUILT_IN
from trainer.core.plan.first_day import days_in, possible_presses
from trainer.core.safety import OpenPain, pain_words, person_of, said_gone
from trainer.core.session.clearance import (
    Asked,
    Cleared,
    NotClearedError,
    ask_gate,
    cleared,
    without_what_is_asked,
)
from trainer.core.session.program import SessionProgram
from trainer.errors import UsageError
from trainer.training.answers import keep_answers

if TYPE_CHECKING:
    from trainer.store import Store


def one_of(keys: Keys, wanted: Sequence[str]) -> str:
    """Wait for one of these keys."""
    output.flush()
    while True:
        for key in keys.wait(1.0):
            if key in wanted:
                return key


# The first day.

_KEYS = {"y": YES, "n": NO, "o": OPEN}


def ask_first_day(
    keys: Keys, answers: Mapping[str, str], *, on: date, planned: bool
) -> dict[str, str]:
    """Ask the first day's questions, each by one key; give what was said, by key.

    Args:
        keys: where keys come from.
        answers: what was answered before.
        on: the local date.
        planned: there is a plan: its exercises and days stay and aren't asked for.
    """
    given: dict[str, str] = {}
    output.line("The first day's questions. What stays open counts as the careful")
    output.line("answer; Enter leaves an answer as it is.")
    for question in QUESTIONS:
        known = {**answers, **given}
        if not applies(question.key, known):
            continue
        now = word_of(known, question.key)
        output.line()
        output.paragraph(question.asks, indent="")
        output.line(f"  y yes, n no, o open; now: {now}.")
        key = one_of(keys, (*_KEYS, ENTER))
        if key == ENTER:
            output.line(f"  {now}, as it was.")
            continue
        word = _KEYS[key]
        given[question.key] = as_kept(question.key, word, on=on)
        careful = f": {question.careful}" if word == OPEN and question.careful else ""
        output.paragraph(f"{word}{careful}.")
    if not planned:
        known = {**answers, **given}
        given |= {PRESS: _ask_press(keys, known, on=on), DAYS: _ask_days(keys, known)}
    return given


def word_of(answers: Mapping[str, str], key: str) -> str:
    """Give what was answered, in a word."""
    return {True: YES, False: NO, None: OPEN}[said(answers, key)]


def _ask_press(keys: Keys, answers: Mapping[str, str], *, on: date) -> str:
    """Ask for the first press, where there is a choice."""
    possible = possible_presses(answers, on=on)
    if len(possible) == 1:
        return possible[0]
    output.line()
    output.line("In which position do you press first?")
    for number, ident in enumerate(possible, start=1):
        output.line(f"  {number} {BUILT_IN[ident].name}")
    chosen = one_of(keys, [str(n + 1) for n in range(len(possible))] + [ENTER])
    ident = possible[0 if chosen == ENTER else int(chosen) - 1]
    output.line(f"  {BUILT_IN[ident].name}.")
    return ident


def _ask_days(keys: Keys, answers: Mapping[str, str]) -> str:
    """Ask for the days: each digit puts one in or takes it out."""
    days = set(days_in(answers))
    output.line()
    output.line("On which days? 1 to 7 put a day in or take it out, 1 is Monday.")
    output.line(f"  Now: {_named(days)}. Enter keeps them.")
    while True:
        key = one_of(keys, [*"1234567", ENTER])
        if key == ENTER and days:
            output.line(f"  {_named(days)}.")
            return " ".join(str(day) for day in sorted(days))
        if key != ENTER:
            days ^= {int(key)}
        output.line(f"  {_named(days) if days else 'none: one at least, please'}.")


def _named(days: set[int]) -> str:
    return words.short_days(sorted(days), " ")


# The gate.


def pass_gate(
    store: Store,
    keys: Keys,
    program: SessionProgram,
    *,
    on: date,
    anyway: bool,
) -> Cleared | None:
    """Ask the gate, and the person what it leaves to them; None: nothing is started.

    Raises:
        UsageError: it holds something back, and nobody is there to ask.
    """
    while True:
        person = person_of(store.answers(), store.plan(on).top, store.history(), on=on)
        asked = ask_gate(program, person, on=on)
        try:
            through = cleared(asked, anyway=anyway)
        except NotClearedError:
            if isinstance(keys, NoKeys):
                raise refusal(asked) from None
        else:
            for reason in asked.says:
                output.paragraph(f"Anyway: {reason}", indent="")
            return through
        chosen = _choice(asked, keys)
        if chosen == "gone":
            _note_gone(store, asked.pains[0], on=on)
        elif chosen == "leave-out":
            program = without_what_is_asked(asked) or program
        elif chosen == "questions":
            given = ask_first_day(
                keys, store.answers(), on=on, planned=store.has_plan()
            )
            keep_answers(store, given, on=on)
        elif chosen == "anyway":
            anyway = True
        else:
            return None


def refusal(asked: Asked) -> UsageError:
    """Say why it isn't led, and which command answers that."""
    hints = []
    if asked.open_questions:
        hints.append(f"Answer the first day's questions: {ANSWER_WITH}")
    if asked.pains:
        hints.append("Say on a terminal that it is gone: trainer session --plain")
    hints.append("To go on all the same, at your own risk, add --anyway")
    return UsageError(" ".join(asked.says).rstrip("."), ". ".join(hints))


def _choice(asked: Asked, keys: Keys) -> str:
    """Give what the person says to the gate's reasons, out of a numbered list."""
    output.line()
    for reason in asked.says:
        output.paragraph(reason, indent="")
    offered: list[tuple[str, str]] = []
    if asked.pains:
        offered.append(("gone", f"The {pain_words(asked.pains[0])} is gone."))
    rest = without_what_is_asked(asked)
    if rest is not None:
        names = dict.fromkeys(each.exercise.name for each in rest.sets)
        remains = f"{' and '.join(names)}, {words.count(len(rest.sets), 'set')}"
        offered.append(("leave-out", f"Leave it out: {remains}."))
    if asked.open_questions:
        offered.append(("questions", "Answer the first day's questions."))
    offered.append(
        (
            "anyway",
            "Go on anyway, at your own risk: it is kept with the session and shown to a"
            " coach.",
        )
    )
    for number, (_, said_as) in enumerate(offered, start=1):
        output.paragraph(f"{number} {said_as}")
    output.line("  q Start nothing.")
    key = one_of(keys, [str(n + 1) for n in range(len(offered))] + ["q"])
    output.line("  Nothing." if key == "q" else f"  {offered[int(key) - 1][1]}")
    return "" if key == "q" else offered[int(key) - 1][0]


def _note_gone(store: Store, pain: OpenPain, *, on: date) -> None:
    for hold in said_gone(store.history(), [pain], on=on):
        store.correct_hold(hold)

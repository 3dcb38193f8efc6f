"""Five questions, each answered in a line with its figures.

Is it being done? Is it getting better? Where is it felt? What hurts? What is next?
The screen's first page, the command line, the JSON and the page for a coach begin with
these. Where the log doesn't allow an answer, the line says so. An answer takes two
lines of the narrowest usual terminal at most: of its forms, the first one that fits is
taken, and what that leaves out stands in the figures, on the pages and in the lists.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import Any

from trainer.core import words
from trainer.core.angle.check import AngleCheck
from trainer.core.angle.words import briefly
from trainer.core.model import Side
from trainer.core.next_week.suggestion import Change, Rule, Suggestion
from trainer.core.review.felt import (
    FEWEST_SESSIONS,
    Block,
    Mark,
    moved,
    name,
    turning_up_in_short,
)
from trainer.core.review.pain import PainAt, by_place, named
from trainer.core.review.progress import CouldHold, Progress
from trainer.core.review.review import Review, brief_name_of
from trainer.core.review.sentences import day_and_month, one_sided_in_short
from trainer.core.review.sides import OneSided
from trainer.core.review.streaks import WeekState, run_of_weeks
from trainer.core.review.trends import Direction

MOST_SITES = 3
"""Sites that are named in a line, the most often felt first."""
MOST_DAYS = 3
"""Days that a pain is said with; the list has them all."""
LINE = 78
"""Columns of a line of text on a screen of 80."""
MOST_LINES = 2


class Question(StrEnum):
    """What a trainee or a coach asks first; the values are the JSON's keys."""

    DOING = "doing"
    BETTER = "better"
    FELT = "felt"
    HURTS = "hurts"
    NEXT = "next"


ASKED = {
    Question.DOING: "Is it being done?",
    Question.BETTER: "Is it getting better?",
    Question.FELT: "Where is it felt?",
    Question.HURTS: "What hurts?",
    Question.NEXT: "What is next?",
}
"""Each question in words."""


@dataclass(frozen=True, slots=True)
class Answer:
    """One question's answer."""

    question: Question
    says: str
    figures: dict[str, Any]
    """What the sentence rests on, as plain values with units in their names."""
    urgent: bool = False
    """Pain is open: it is said before all others."""

    def as_dict(self) -> dict[str, Any]:
        """Return the JSON form."""
        return {"says": self.says, **self.figures}


def answers(found: Review) -> tuple[Answer, ...]:
    """Answer the five questions, what hurts first where pain is open."""
    given = (
        _doing(found),
        _better(found),
        _felt(found),
        _hurts(found),
        _next(found),
    )
    return tuple(sorted(given, key=lambda one: not one.urgent))


def lines(says: str) -> int:
    """Return how many lines an answer takes on a screen of 80 columns."""
    return len(textwrap.wrap(says, LINE))


def _first_that_fits(forms: Iterable[str]) -> str:
    """Return the first of the FORMS, the fullest first, that takes two lines at most.

    The last one where none does.
    """
    said = ""
    for said in forms:
        if lines(said) <= MOST_LINES:
            break
    return said


def _fewer(said: Sequence[str], *, between: str) -> Iterator[str]:
    """Return a list with fewer and fewer items named, one at least; says how many."""
    for shown in range(len(said), 0, -1):
        left = len(said) - shown
        more = f"{between}and {left} more" if left else ""
        yield between.join(said[:shown]) + more


def _doing(found: Review) -> Answer:
    done, due = found.streaks.adherence(found.first)
    figures = {
        "streak_weeks": found.streaks.current,
        "longest_streak_weeks": found.streaks.longest,
        "days_done": done,
        "days_due": due,
    }
    if not found.streaks.weeks:
        return Answer(Question.DOING, "Nothing logged yet.", figures)
    now = found.streaks.weeks[-1]
    figures |= {
        "this_week_days_done": now.days_done,
        "this_week_days_planned": now.planned_days,
    }
    run = run_of_weeks(found.streaks.current)
    share = (
        f"{done} of {due} days done that were due in {period_named(found)}"
        f" ({round(100 * done / due)} %)"
        if due
        else f"no day was due in {period_named(found)}"
    )
    week = (
        "this week is a week off"
        if now.state is WeekState.REST
        else f"this week {now.days_done} of {now.planned_days}"
    )
    says = f"{run}, the longest {found.streaks.longest}. {_capital(share)}; {week}."
    return Answer(Question.DOING, says, figures)


def period_named(found: Review) -> str:
    """Say which weeks these are: ``these 12 weeks``."""
    return "this week" if found.weeks == 1 else f"these {found.weeks} weeks"


def _better(found: Review) -> Answer:
    """Say what could be held now and then; the overhead angle likewise."""
    told = [
        (one.brief_name, one.progress)
        for one in found.exercises
        if one.progress is not None
    ]
    angle = briefly(found.angle_checks)
    figures: dict[str, Any] = {
        "exercises": [_progress_figures(progress) for _, progress in told],
        "overhead_angle": angle,
    }
    if not told:
        return Answer(
            Question.BETTER,
            "What could be held can't be told yet: none of the planned exercises was"
            f" trained. {angle}",
            figures,
        )
    forms = _could_hold(told, found.angle_checks)
    return Answer(Question.BETTER, _first_that_fits(forms), figures)


def _could_hold(
    told: Sequence[tuple[str, Progress]], checks: Sequence[AngleCheck]
) -> Iterator[str]:
    """Say what could be held, from the fullest form on."""
    angle, bare = briefly(checks), briefly(checks, pose=False)
    at_length = "; ".join(
        f"{exercise} {_range_said(progress.now)}, {_since(progress, at_length=True)}"
        for exercise, progress in told
    )
    yield f"Could be held, with an 80 % range: {at_length}. {angle}"
    yield f"Could be held: {at_length}. {angle}"
    together = _by_verdict(told, was=True)
    yield f"Could be held: {together}. {angle}"
    yield f"Could be held: {together}. {bare}"
    for shown in range(len(told), 0, -1):
        more = f"; and {len(told) - shown} more" if shown < len(told) else ""
        yield f"Could be held: {_by_verdict(told[:shown])}{more}. {bare}"


def _by_verdict(told: Sequence[tuple[str, Progress]], *, was: bool = False) -> str:
    """Say exercises of the same verdict together; WAS: and what it was before."""
    found: dict[str, list[str]] = {}
    for exercise, progress in told:
        held = f"{exercise} {_range_said(progress.now)}"
        if was and progress.then and progress.direction is not Direction.UNKNOWN:
            held += f" from {progress.then.shown[1]}"
        found.setdefault(_since(progress), []).append(held)
    return "; ".join(f"{', '.join(held)}: {verdict}" for verdict, held in found.items())


def _since(progress: Progress, *, at_length: bool = False) -> str:
    """Say whether that is more than it was; AT LENGTH: with what it was."""
    then = progress.then
    unknown = progress.direction is Direction.UNKNOWN
    if unknown and not at_length:
        return "can't be told yet"
    if then is None:
        return "up or down can't be told yet"
    was = words.month_name(then.on)
    if at_length:
        was += f"'s {_range_said(then)}"
    if unknown:
        return f"can't be told from {was}"
    return f"{progress.direction.value} since {was}"


def _range_said(held: CouldHold) -> str:
    low, middle, high = held.shown
    return f"{middle} s ({low}–{high})"


def _progress_figures(progress: Progress) -> dict[str, Any]:
    direction = progress.direction
    return {
        "exercise": progress.exercise,
        "direction": None if direction is Direction.UNKNOWN else direction.value,
        "now": _held_figures(progress.now),
        "then": None if progress.then is None else _held_figures(progress.then),
    }


def _held_figures(held: CouldHold) -> dict[str, Any]:
    low, middle, high = held.shown
    return {
        "on": held.on.isoformat(),
        "median_s": middle,
        "low_s": low,
        "high_s": high,
    }


def _felt(found: Review) -> Answer:
    block = _newest(found.felt)
    sided = [one for one in found.one_sided if not one.hurt]
    figures: dict[str, Any] = {
        "sessions": 0 if block is None else block.sessions,
        "sites": [] if block is None else [_mark_figures(m) for m in block.marks[None]],
        "one_sided": [
            {
                "site": one.site.value,
                "left": one.left,
                "right": one.right,
                "p": round(one.p, 4),
                "from": one.first.monday.isoformat(),
                "to": one.last.sunday.isoformat(),
            }
            for one in sided
        ],
    }
    if block is None:
        says = "Can't be told yet: too little was noted."
        return Answer(Question.FELT, says, figures)
    often = sorted(block.marks[None], key=lambda mark: -mark.sessions)[:MOST_SITES]
    where = ", ".join(f"{name(mark.site)} {mark.sessions}" for mark in often)
    last = "" if block is found.felt[-1] else f" up to {_last_day(block)}"
    named = f"Of {block.sessions} sessions in four weeks{last}: {where}."
    sides = [one_sided_in_short(one) for one in sided]
    parts = [*(sides or [_no_side(block)]), *turning_up_in_short(found.felt)]
    if len(parts) < 2 and len(found.felt) > 1:
        parts.append(moved(found.felt))
    forms = (" ".join([named, *parts[:most]]) for most in range(len(parts), 0, -1))
    return Answer(Question.FELT, _first_that_fits(forms), figures)


def _newest(found: Sequence[Block]) -> Block | None:
    """Return the newest block in which enough was noted."""
    return next(
        (block for block in reversed(found) if block.sessions >= FEWEST_SESSIONS), None
    )


def _last_day(block: Block) -> str:
    return day_and_month(block.last.sunday)


def _no_side(block: Block) -> str:
    noted = any(mark.left or mark.right for mark in block.marks[None])
    if not noted:
        return "Sides weren't noted."
    return "Left and right alike, as far as can be told."


def _mark_figures(mark: Mark) -> dict[str, Any]:
    return {
        "site": mark.site.value,
        "sessions": mark.sessions,
        "strength": None if mark.strength is None else round(mark.strength, 1),
        "left": mark.left,
        "right": mark.right,
    }


def _hurts(found: Review) -> Answer:
    pains = by_place(found.pain)
    open_ones = [one for one in pains if one.open]
    over = [one for one in pains if not one.open]
    figures: dict[str, Any] = {
        "open": len(open_ones),
        "pains": [_pain_figures(one) for one in pains],
    }
    if not pains:
        says = f"No pain was noted in {period_named(found)}."
        return Answer(Question.HURTS, says, figures)
    forms = _pains_said(found, open_ones, over)
    return Answer(Question.HURTS, _first_that_fits(forms), figures, bool(open_ones))


def _pains_said(
    found: Review, open_ones: Sequence[PainAt], over: Sequence[PainAt]
) -> Iterator[str]:
    """Say every pain, from the fullest form on; the open ones are the last to go."""
    parts = []
    if open_ones:
        parts.append(f"Open: {'; '.join(_pain_said(one, found) for one in open_ones)}.")
    if over:
        parts.append(f"Gone: {'; '.join(_pain_said(one, found) for one in over)}.")
    sided = [one for one in found.one_sided if one.hurt]
    yield " ".join([*parts, *(one_sided_in_short(one) for one in sided[:1])])
    gone = [f"{named(one.place)} ({_span(one)})" for one in over]
    if not open_ones:
        for said in _fewer(gone, between=", "):
            yield _sentence([f"gone: {said}"])
        return
    in_all = [f"{words.count(len(over), 'other')} gone"] if over else []
    for told_gone in ([f"gone: {', '.join(gone)}"] if gone else [], in_all):
        yield _sentence([*_by_exercise(found, open_ones, sided), *told_gone])
    places = [f"{named(one.place)} ({_span(one)})" for one in open_ones]
    for said in _fewer(places, between=", "):
        yield _sentence([f"open: {said}", *in_all])


def _sentence(parts: Sequence[str]) -> str:
    return f"{_capital('; '.join(parts))}."


def _by_exercise(
    found: Review, pains: Sequence[PainAt], sided: Sequence[OneSided]
) -> list[str]:
    """Say the open pains of each exercise together, with the sides' count."""
    by_exercise: dict[str, list[str]] = {}
    for one in pains:
        counts = [
            f", {each.side} {max(each.left, each.right)} to"
            f" {min(each.left, each.right)}: more than chance"
            for each in sided[:1]
            if each.running and (each.site, each.side) == one.place[1:]
        ]
        said = f"{named(one.place)} ({_span(one)}{''.join(counts)})"
        by_exercise.setdefault(_exercises_of(one, found), []).append(said)
    return [
        f"open in {exercises}: {', '.join(said)}"
        for exercises, said in by_exercise.items()
    ]


def _span(pain: PainAt) -> str:
    """Say on how many days, and the last one: ``6 days, last 23 Nov``."""
    last = day_and_month(pain.days[-1], brief=True)
    if len(pain.days) == 1:
        return last
    return f"{len(pain.days)} days, last {last}"


def _exercises_of(pain: PainAt, found: Review) -> str:
    known = (brief_name_of(found.plan, one.exercise) for one in pain.noted)
    return words.listed(list(dict.fromkeys(known)))


def _pain_said(pain: PainAt, found: Review) -> str:
    last = pain.noted[-1]
    in_it = _exercises_of(pain, found)
    back = ", it came back" if pain.came_back else ""
    gone = "" if last.gone_on is None else f", gone on {day_and_month(last.gone_on)}"
    went_on = (
        ", gone on with once" if any(n.stopped is False for n in pain.noted) else ""
    )
    return f"{named(pain.place)} ({in_it}, {_days(pain.days)}){back}{went_on}{gone}"


def _days(days: Sequence[date]) -> str:
    told = [day_and_month(day) for day in days[-MOST_DAYS:]]
    if len(days) > MOST_DAYS:
        return f"{len(days)} days, last {told[-1]}"
    return words.listed(told)


def _pain_figures(pain: PainAt) -> dict[str, Any]:
    kind, site, side = pain.place
    gone_on = pain.noted[-1].gone_on
    return {
        "kind": kind.value,
        "site": None if site is None else site.value,
        "side": None if side is None else Side(side).value,
        "days": [day.isoformat() for day in pain.days],
        "came_back": pain.came_back,
        "gone_on": None if gone_on is None else gone_on.isoformat(),
    }


def _next(found: Review) -> Answer:
    figures: dict[str, Any] = {
        "week": str(found.suggestions[0].week) if found.suggestions else None,
        "exercises": [
            {
                "exercise": one.exercise,
                "change": one.change.value,
                "sets": one.sets,
                "target_s": one.target_s,
                "chance": None if one.chance is None else round(one.chance, 2),
            }
            for one in found.suggestions
        ],
    }
    if not found.suggestions:
        return Answer(Question.NEXT, "Nothing is planned.", figures)
    return Answer(Question.NEXT, _first_that_fits(_targets_said(found)), figures)


def _targets_said(found: Review) -> Iterator[str]:
    """Say next week's targets, from the fullest form on; the reasons go last."""
    monday = day_and_month(found.suggestions[0].week.monday)
    said = [_suggested(found, one) for one in found.suggestions]
    yield f"The week of {monday}: {'; '.join(said)}."
    for chances in (True, False):
        said = [_suggested_briefly(found, one, chances) for one in found.suggestions]
        yield f"Week of {monday}: {'; '.join(said)}."
    targets = [_target_said(found, one) for one in found.suggestions]
    for fewer in _fewer(targets, between=", "):
        yield f"Week of {monday}: {fewer}."


RULE_WORDS = {
    Rule.REST_WEEK: "a week off that was meant",
    Rule.HEAD_UP: "the head stays up",
    Rule.START: "the first session of it",
    Rule.PAIN: "pain keeps it from rising",
    Rule.AWAY: "back after a break",
    Rule.TOO_MUCH: "sets under 80 % of it twice running",
    Rule.HARD: "RPE 9 or more twice running",
    Rule.MOVE_ON: "the cap was kept easily twice running",
    Rule.AT_CAP: "at the cap",
    Rule.STEP: "two clean sessions running",
    Rule.PLATEAU: "four weeks at this target",
    Rule.REPEAT: "no step yet",
}
"""Why, in a few words; the whole reasons stand with next week."""


HELD_BACK = "a step is more likely missed than made"
"""Why a step that the rules allow isn't taken."""


def _why(one: Suggestion) -> str:
    held_back = one.rule is Rule.STEP and one.change is Change.SAME
    return HELD_BACK if held_back else RULE_WORDS[one.rule]


def _suggested(found: Review, one: Suggestion) -> str:
    target = _target_said(found, one)
    if one.target_s is None:
        return f"{target}: {_why(one)}"
    chance = "" if one.chance is None else f", chance {words.chance(one.chance)}"
    return f"{target}, {change_said(one)}: {_why(one)}{chance}"


def _suggested_briefly(found: Review, one: Suggestion, chances: bool) -> str:
    why = _why(one)
    if chances and one.chance is not None:
        why += f", chance {words.chance(one.chance)}"
    change = change_in_short(one)
    return f"{_target_said(found, one)}{change and f', {change}'} ({why})"


def _target_said(found: Review, one: Suggestion) -> str:
    exercise = brief_name_of(found.plan, one.exercise)
    if one.target_s is None:
        return f"{exercise} rests"
    return f"{exercise} {one.sets} × {words.seconds(one.target_s)}"


def change_said(one: Suggestion) -> str:
    """Say what happens to the target: ``up from 40 s``, ``as before``."""
    before = words.seconds(one.current_s)
    match one.change:
        case Change.UP:
            return f"up from {before}"
        case Change.DOWN if one.from_exercise:
            return "a rung down"
        case Change.DOWN:
            return f"down from {before}"
        case Change.MOVE_ON:
            return "the next rung"
        case Change.START:
            return "to start with"
        case _:
            return "as before"


def change_in_short(one: Suggestion) -> str:
    """Say what happens to the target: ``up 5 s``; nothing where it stays."""
    if one.target_s is None or one.change in (Change.SAME, Change.START):
        return ""
    if one.from_exercise or one.change is Change.MOVE_ON:
        return change_said(one)
    return f"{one.change.value} {words.seconds(abs(one.target_s - one.current_s))}"


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]

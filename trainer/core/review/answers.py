"""Five questions, each answered in a line with its figures.

Is it being done? Is it getting better? Where is it felt? What hurts? What is next?
The screen's first page, the command line, the JSON and the page for a coach begin with
these. Where the log doesn't allow an answer, the line says so.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import Any

from trainer.core import words
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
from trainer.core.review.review import ExerciseReview, Review, brief_name_of
from trainer.core.review.sentences import day_and_month, one_sided_in_short
from trainer.core.review.streaks import WeekState
from trainer.core.review.trends import Direction

MOST_SITES = 3
"""Sites that are named in a line, the most often felt first."""
MOST_DAYS = 3
"""Days that a pain is said with; the list has them all."""


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
    run = (
        f"{words.count(found.streaks.current, 'week')} in a row"
        if found.streaks.current
        else "No week in a row at the moment"
    )
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
    told = [one for one in found.exercises if one.progress is not None]
    figures: dict[str, Any] = {
        "exercises": [_progress_figures(one.progress) for one in told if one.progress],
        "overhead_angle": angle_line(found),
    }
    said = [_progress_said(one, one.progress) for one in told if one.progress]
    holds = (
        f"Could be held, with an 80 % range: {'; '.join(said)}."
        if said
        else "What could be held can't be told yet: none of the planned exercises was"
        " trained."
    )
    return Answer(Question.BETTER, f"{holds} {angle_line(found)}", figures)


def angle_line(found: Review) -> str:
    """Say in a line whether the shoulder itself opens."""
    return briefly(found.angle_checks)


def _progress_said(one: ExerciseReview, progress: Progress) -> str:
    now = f"{one.brief_name} {_range_said(progress.now)}"
    then = progress.then
    if then is None:
        return f"{now}, up or down can't be told yet"
    since = f"{words.month_name(then.on)} ({_range_said(then)})"
    if progress.direction is Direction.UNKNOWN:
        return f"{now}, can't be told from {since}"
    return f"{now}, {progress.direction.value} since {since}"


def _range_said(held: CouldHold) -> str:
    low, middle, high = held.shown
    return f"{middle} s, {low} to {high}"


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
    parts = [f"Of {block.sessions} sessions in four weeks{last}: {where}."]
    parts += [one_sided_in_short(one) for one in sided[:2]] or [_no_side(block)]
    parts += turning_up_in_short(found.felt)
    if len(parts) < 3 and len(found.felt) > 1:
        parts.append(moved(found.felt))
    return Answer(Question.FELT, " ".join(part for part in parts if part), figures)


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
    parts = []
    if open_ones:
        parts.append(f"Open: {'; '.join(_pain_said(one, found) for one in open_ones)}.")
    if over:
        parts.append(f"Gone: {'; '.join(_pain_said(one, found) for one in over)}.")
    sided = [one_sided_in_short(one) for one in found.one_sided if one.hurt]
    return Answer(
        Question.HURTS, " ".join([*parts, *sided[:1]]), figures, bool(open_ones)
    )


def _pain_said(pain: PainAt, found: Review) -> str:
    last = pain.noted[-1]
    in_it = words.listed(
        list(
            dict.fromkeys(brief_name_of(found.plan, one.exercise) for one in pain.noted)
        )
    )
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
    monday = found.suggestions[0].week.monday
    said = "; ".join(_suggested(found, one) for one in found.suggestions)
    says = f"The week of {day_and_month(monday)}: {said}."
    return Answer(Question.NEXT, says, figures)


RULE_WORDS = {
    Rule.REST_WEEK: "a week off that was meant",
    Rule.HEAD_UP: "the head stays up",
    Rule.START: "the first session of it",
    Rule.PAIN: "pain keeps it from rising",
    Rule.AWAY: "back after a break",
    Rule.TOO_MUCH: "sets under 80 % of the target twice running",
    Rule.HARD: "RPE 9 or more twice running",
    Rule.MOVE_ON: "the cap was kept easily twice running",
    Rule.AT_CAP: "at the cap",
    Rule.STEP: "two clean sessions running",
    Rule.PLATEAU: "four weeks at this target",
    Rule.REPEAT: "no step yet",
}
"""Why, in a few words; the whole reasons stand with next week."""


def _suggested(found: Review, one: Suggestion) -> str:
    exercise = brief_name_of(found.plan, one.exercise)
    why = RULE_WORDS[one.rule]
    if one.target_s is None:
        return f"{exercise} rests: {why}"
    held_back = one.rule is Rule.STEP and one.change is Change.SAME
    if held_back:
        why += ", but the step is more likely missed than made"
    chance = "" if one.chance is None else f", chance {words.chance(one.chance)}"
    target = f"{exercise} {one.sets} × {words.seconds(one.target_s)}"
    return f"{target}, {change_said(one)}: {why}{chance}"


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


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]

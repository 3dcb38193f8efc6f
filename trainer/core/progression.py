"""Next week: from history, plan and date to a suggestion per exercise.

Pure functions. The rules are tried in the order of ``Rule``; the first that applies
decides, and pain is a ceiling over all of them. The rules live in ``starting``,
``away``, ``rules_down``, ``rules_up`` and ``pain``; what they rest on in ``evidence``
and ``blocks``.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import date, timedelta
from types import MappingProxyType

from trainer.core import notes, rules_down, rules_up, words
from trainer.core.away import away
from trainer.core.blocks import position_blocks
from trainer.core.case import Case, Outcome
from trainer.core.evidence import target_in_force
from trainer.core.exercises import PRESS_PUSHUP
from trainer.core.first_day import HEAD_UP, YES
from trainer.core.model import History
from trainer.core.pain import pain_of, under_ceiling
from trainer.core.plan import Plan, rest_after
from trainer.core.slots import Slot, slots_of
from trainer.core.starting import start
from trainer.core.suggestion import Change, Rule, Suggestion, suggestion_as_dict, taken
from trainer.core.weeks import IsoWeek

NO_ANSWERS: Mapping[str, str] = MappingProxyType({})

_TABLE: tuple[Callable[[Case], Outcome | None], ...] = (
    away,
    rules_down.too_much,
    rules_down.hard,
    rules_up.move_on,
    rules_up.at_cap,
    rules_up.step,
    rules_up.plateau,
)


def next_week(
    history: History,
    plan: Plan,
    *,
    today: date,
    week: IsoWeek | None = None,
    answers: Mapping[str, str] = NO_ANSWERS,
) -> tuple[Suggestion, ...]:
    """Suggest each exercise's target for WEEK, by default the week after TODAY's.

    One suggestion per exercise of the plan, in its order; after a move along the
    ladder the exercise that stands there now, and during a trial both. For a week that
    is past, only what was logged before it counts; for one after the coming one, the
    days up to it count as days without training.

    Args:
        history: all that was logged, sessions and targets in order of time.
        plan: the plan as it is now.
        today: the local date.
        week: the week to suggest for.
        answers: what was answered on the first day (``core.first_day``).
    """
    coming = IsoWeek.of(today).plus(1)
    asked = week or coming
    if asked.sunday < today:
        history = _before(history, asked.monday)
    if asked.sunday < today or asked > coming:
        today = asked.monday - timedelta(days=1)
    head_up = answers.get(HEAD_UP) == YES
    slots = slots_of(history, plan, asked, head_up=head_up)
    standing = frozenset(slot.entry.exercise for slot in slots)
    return tuple(
        _suggest(
            Case(
                history=history,
                plan=plan,
                slot=slot,
                today=today,
                week=asked,
                answers=answers,
                standing=standing,
                ahead=asked > coming,
            )
        )
        for slot in slots
    )


def _before(history: History, day: date) -> History:
    return replace(
        history,
        sessions=tuple(s for s in history.sessions if s.local_date < day),
        targets=tuple(t for t in history.targets if t.local_date < day),
        shown=tuple(s for s in history.shown if s.week.monday < day),
    )


def _decide(case: Case) -> Outcome:
    if case.week in case.history.rest_weeks:
        return _rest_week(case)
    if case.slot.gives_way:
        return _gives_way(case)
    hurt = _hurt_head_down(case)
    if hurt is not None and hurt.target_s is None:
        return hurt
    found = pain_of(case)
    outcome = (
        start(case)
        or next((made for rule in _TABLE if (made := rule(case)) is not None), None)
        or rules_up.repeat(case)
    )
    return outcome if found is None else under_ceiling(case, outcome, found)


def _rest_week(case: Case) -> Outcome:
    kept = words.seconds(case.current_s)
    working = replace(
        case,
        history=replace(case.history, rest_weeks=case.history.rest_weeks - {case.week}),
    )
    other = _decide(working)
    otherwise = (
        "a rest all the same"
        if other.target_s is None
        else f"{other.exercise or case.exercise.id} at {words.seconds(other.target_s)}"
    )
    return Outcome(
        rule=Rule.REST_WEEK,
        target_s=None,
        sets=0,
        reasons=(
            f"Week {case.week} is a rest week; it isn't counted as missed.",
            f"The target of {kept} is kept.",
        ),
        would_change=(
            f"Without the rest week it would be {otherwise} (rule {other.rule}).",
        ),
    )


def _hurt_head_down(case: Case) -> Outcome | None:
    """Give what pain in the exercise that gives way comes to, if it hurt twice running.

    A rest for a wrist holds for whatever takes its place.
    """
    down = case.slot.head_down
    if down is None:
        return None
    slot = Slot(planned=case.slot.planned, entry=down)
    there = replace(case, slot=slot, standing=frozenset({down.exercise}))
    found = pain_of(there)
    if found is None or not found.pair:
        return None
    return under_ceiling(there, rules_up.repeat(there), found)


def _gives_way(case: Case) -> Outcome:
    return Outcome(
        rule=Rule.HEAD_UP,
        target_s=None,
        sets=0,
        reasons=(
            f"{PRESS_PUSHUP.id} is asked for already, so nothing takes its place.",
        ),
        would_change=(),
    )


def _suggest(case: Case) -> Suggestion:
    outcome = _decide(case)
    exercise = outcome.exercise or case.exercise.id
    rest = outcome.target_s is None
    head_up_reasons, head_up_would = notes.head_up(case)
    lighter_sets, lighter = notes.lighter_offer(case, outcome)
    chance, likely_rpe = _figures(case, outcome)
    return Suggestion(
        exercise=exercise,
        week=case.week,
        change=_change(case, outcome),
        rule=outcome.rule,
        target_s=outcome.target_s,
        current_s=case.current_s,
        sets=outcome.sets,
        rest_s=_rest_s(case, exercise, outcome.target_s),
        reasons=(
            *notes.ahead(case),
            *head_up_reasons,
            *outcome.reasons,
            *(() if rest else _position(case, outcome)),
            *(() if rest else notes.evidence_notes(case)),
            *lighter,
        ),
        would_change=(*outcome.would_change, *head_up_would),
        chance=chance,
        cautions=() if rest else notes.cautions(case, exercise),
        from_exercise=case.exercise.id if outcome.exercise else "",
        first_set_only=outcome.first_set_only or (case.slot.trial and not rest),
        find_out_limit_s=outcome.find_out_limit_s,
        likely_rpe=likely_rpe,
        lighter_sets=lighter_sets,
    )


def _position(case: Case, outcome: Outcome) -> tuple[str, ...]:
    """Say what the last two sessions say of the position, where no rule said it."""
    said = (block.reason for block in position_blocks(case))
    return tuple(reason for reason in said if reason not in outcome.reasons)


def _rest_s(case: Case, exercise: str, target_s: float | None) -> float:
    """Give the rest that will run after a set: at least twice its target."""
    rest_s = (case.plan.entry(exercise) or case.entry).rest_s
    return rest_after(rest_s, target_s or 0.0)


def _change(case: Case, outcome: Outcome) -> Change:
    """Derive the change from the figures, so that it can't contradict them."""
    if outcome.change is not None:
        return outcome.change
    if outcome.target_s is None:
        return Change.REST
    if outcome.exercise:
        return Change.DOWN
    if outcome.target_s > case.current_s:
        return Change.UP
    return Change.DOWN if outcome.target_s < case.current_s else Change.SAME


def _figures(case: Case, outcome: Outcome) -> tuple[float | None, float | None]:
    """Give the chance that all sets are made, and the likely RPE.

    Neither while pain stands: the estimate knows of strength alone, and a good chance
    would read as leave to try.
    """
    belief = case.belief
    if outcome.target_s is None or outcome.exercise or belief is None:
        return None, None
    if pain_of(case) is not None:
        return None, None
    return (
        belief.chance(outcome.target_s, outcome.sets),
        belief.likely_rpe(outcome.target_s, outcome.sets),
    )


__all__ = ["next_week", "suggestion_as_dict", "taken", "target_in_force"]

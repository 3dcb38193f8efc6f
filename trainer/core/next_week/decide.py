"""Next week: from history, plan and date to a suggestion per exercise.

Pure functions. The rules are tried in the order of ``Rule``; the first that applies
decides, and pain is a ceiling over all of them. The rules live in ``rules`` and
``pain``; what they rest on in ``days`` and ``hindrances``. What would have changed the
answer is acted out here, by asking again with another log (``otherwise``).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import date, timedelta
from types import MappingProxyType

from trainer.core import words
from trainer.core.answers import HEAD_UP, said
from trainer.core.capacity.filter import Belief
from trainer.core.exercises import PRESS_PUSHUP, Family, brief_name
from trainer.core.model import History
from trainer.core.next_week import rules
from trainer.core.next_week.case import Case, Outcome
from trainer.core.next_week.days import target_in_force
from trainer.core.next_week.hindrances import HELD_BACK_UNDER, position_blocks
from trainer.core.next_week.ladder import TRIAL_SESSIONS, Slot, slots_of
from trainer.core.next_week.otherwise import Answer, Copy, Otherwise
from trainer.core.next_week.pain import pain_of, under_ceiling
from trainer.core.next_week.rules import away, start
from trainer.core.next_week.suggestion import (
    Change,
    Rule,
    Suggestion,
    suggestion_as_dict,
    taken,
)
from trainer.core.plan.plan import Order, Plan, rest_after
from trainer.core.safety import gate, person_of
from trainer.core.weeks import IsoWeek

# What is said beside the rule: what the figures rest on, offers, cautions.

LIGHTER_AFTER_WEEKS = 6
LIGHTER_UPS = 4
"""A lighter week is on offer after six weeks with an ``up`` in four (our choice; in
practice deloads come every 5.6 ± 2.3 weeks, with less volume: Rogerson et al. 2024)."""
BUILDS_PER_WEEK = 2
"""Published guidelines train two to three days a week (Garber et al. 2011)."""
SELDOM_WEEKS = 4
LEFT_OUT_SAID = 4
"""So many of the holds that were left out are named, the latest."""
UNLIKELY_UNDER = 0.15
"""A target with less of a chance is said to be hardly one (our choice)."""
NOT_ALONE = "Never to failure alone; the first time with somebody by."
"""Goes with whatever is upside down (common practice)."""
HANG_BEFORE_PRESS_S = 60.0
"""Static stretch of a minute or more right before strength work may cost some of it
(Behm et al. 2016; Kay & Blazevich 2012)."""


def ahead(case: Case) -> tuple[str, ...]:
    """Say on which day a suggestion for a later week rests."""
    if not case.ahead:
        return ()
    when = words.day(case.today)
    return (f"This is how it will stand on {when} if nothing more is logged by then.",)


def head_up(case: Case) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Say why a head-down exercise gives way, and what would bring it back."""
    if case.slot.head_down is None:
        return (), ()
    down = case.plan.exercise(case.slot.head_down.exercise)
    instead = "" if case.slot.gives_way else f", and {case.name} takes its place"
    return (
        "You answered that there is an eye or blood-pressure caution: the head stays"
        f" up. {down.brief_name} is head-down, so it is left out{instead}.",
    ), (
        "A clinician who knows you may say otherwise: another answer on the first-day"
        f" screen brings {down.said_name} back.",
    )


def evidence_notes(case: Case) -> tuple[str, ...]:
    """Say what the figures rest on, where that is worth knowing."""
    return (
        *_trial(case),
        *_left_out(case),
        *_kept_unsaid(case),
        *_grip(case),
        *_seldom(case),
    )


def _left_out(case: Case) -> tuple[str, ...]:
    """Name the holds logged by hand that the rules left out, of the latest sessions."""
    since = case.trained[-2:][0].date if case.trained else date.min
    found = [
        f"{words.seconds(hold.kept_or_held_s)} on {words.day(day.date)}"
        for day in case.days
        if day.date >= since
        for hold in day.left_out
    ]
    if not found:
        return ()
    return (
        "Logged by hand and no try at the target, so left out here:"
        f" {words.listed(found[-LEFT_OUT_SAID:])}.",
    )


def _trial(case: Case) -> tuple[str, ...]:
    if not case.slot.trial:
        return ()
    return (
        f"It is on trial: in the first set only, for {TRIAL_SESSIONS} sessions; the old"
        " rung fills the other sets.",
    )


def _kept_unsaid(case: Case) -> tuple[str, ...]:
    days = case.run[-2:]
    unsaid = sum(day.kept_unsaid for day in days)
    sets = sum(len(day.holds) for day in days)
    if not unsaid:
        return ()
    which = "the last session" if len(days) == 1 else "the last two sessions"
    return (
        f"For {unsaid} of {words.count(sets, 'set')} of {which} it wasn't said how"
        " long the position was kept: what was held counts.",
    )


def _grip(case: Case) -> tuple[str, ...]:
    if not case.pair or not all(day.grip_ended for day in case.pair):
        return ()
    return (
        "Grip ended a set in both of the last two sessions: that says nothing about"
        " the shoulder.",
    )


def _seldom(case: Case) -> tuple[str, ...]:
    """Say so where the last four weeks had fewer than two sessions a week."""
    if not case.trained:
        return ()
    last = case.trained[-1].date
    since = last - timedelta(days=7 * SELDOM_WEEKS - 1)
    if case.trained[0].date > since:
        return ()
    recent = sum(day.date >= since for day in case.trained)
    if recent >= BUILDS_PER_WEEK * SELDOM_WEEKS:
        return ()
    return (
        f"The last {SELDOM_WEEKS} weeks of training had "
        f"{words.count(recent, 'session')} of it; to build,"
        f" {BUILDS_PER_WEEK} a week or more are usual (Garber et al."
        " 2011). Nothing is taken away for that.",
    )


def lighter_offer(case: Case, outcome: Outcome) -> tuple[int | None, tuple[str, ...]]:
    """Give the sets of a lighter week, if one is on offer, and the sentence for it."""
    none: tuple[int | None, tuple[str, ...]] = (None, ())
    if outcome.target_s is None or outcome.exercise or outcome.sets < 2:
        return none
    weeks = {case.week.plus(-back) for back in range(1, LIGHTER_AFTER_WEEKS + 1)}
    if weeks & case.history.rest_weeks:
        return none
    if not weeks <= {IsoWeek.of(day.date) for day in case.trained}:
        return none
    up_weeks = weeks & {IsoWeek.of(when) for when in case.ups}
    if len(up_weeks) < LIGHTER_UPS:
        return none
    sets = outcome.sets - 1
    return sets, (
        f"{LIGHTER_AFTER_WEEKS} weeks of training had a rise in {len(up_weeks)}: a"
        f" lighter week is on offer, {words.count(sets, 'set')} in place of"
        f" {outcome.sets} at {words.seconds(case.current_s)}.",
    )


def past_the_gate(
    case: Case, exercise_id: str, outcome: Outcome
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Say what Start will ask about: open pain, and what else the gate holds back."""
    on = case.first_day
    exercise = case.plan.exercise(exercise_id)
    person = person_of(case.answers, case.plan.top, case.history, on=case.today)
    found = gate(person, exercise, outcome.target_s, on=on).findings
    # The rule's own reasons speak of the pain that holds the target down.
    holding = pain_of(case)
    spoken_of = () if holding is None else holding.signs
    hurts = [
        each.says
        for each in found
        if each.pain is not None and not any(map(each.pain.is_of, spoken_of))
    ]
    other = [each.says for each in found if each.pain is None]
    return _asked_at_start(hurts), _asked_at_start(other)


def _asked_at_start(says: Sequence[str]) -> tuple[str, ...]:
    return (f"{' '.join(says)} Start asks about it.",) if says else ()


def cautions(case: Case, exercise_id: str, week: Sequence[Case]) -> tuple[str, ...]:
    """Give the cautions that go with the exercise suggested, in that week's cases."""
    exercise = case.plan.exercise(exercise_id)
    said = [exercise.caution] if exercise.caution else []
    if exercise.upside_down:
        said.append(NOT_ALONE)
    before_s = 0.0
    if exercise.family is Family.PRESS:
        before_s = hang_before_press_s(case, week)
    if before_s > HANG_BEFORE_PRESS_S:
        said.append(
            f"The last press comes after {words.seconds(before_s)} of hang; a"
            " minute or more of stretch right before can cost some strength (Behm et"
            " al. 2016). Press first if that is felt."
        )
    return tuple(said)


def hang_before_press_s(case: Case, week: Sequence[Case]) -> float:
    """Give the seconds of hang, at the targets in force, before a day's last press."""
    plan = case.plan
    if plan.order is Order.PRESS_FIRST:
        return 0.0
    known = {each.entry.exercise: each for each in week}

    def in_force_s(exercise: str) -> float:
        if exercise in known:
            return known[exercise].current_s
        return target_in_force(case.history, plan, exercise, week=case.week)

    return sum(
        entry.sets * in_force_s(entry.exercise)
        for entry in plan.exercises
        if plan.exercise(entry.exercise).family is Family.HANG
    )


NO_ANSWERS: Mapping[str, str] = MappingProxyType({})

_TABLE: tuple[Callable[[Case], Outcome | None], ...] = (
    away,
    rules.too_much,
    rules.hard,
    rules.move_on,
    rules.at_cap,
    rules.step,
    rules.plateau,
)


def next_week(
    history: History,
    plan: Plan,
    *,
    today: date,
    week: IsoWeek | None = None,
    answers: Mapping[str, str] = NO_ANSWERS,
    otherwise: bool = True,
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
        answers: what was answered on the first day (``core.answers``).
        otherwise: act out what would have changed it: not for those who only want the
            targets and their reasons.
    """
    coming = IsoWeek.of(today).plus(1)
    asked = week or coming
    if asked.sunday < today:
        history = _before(history, asked.monday)
    if asked.sunday < today or asked > coming:
        today = asked.monday - timedelta(days=1)
    question = Copy(history, plan, today, asked)
    cases = _cases(question, answers=answers, ahead=asked > coming)
    return tuple(_suggest(case, cases, otherwise=otherwise) for case in cases)


def _cases(
    asked: Copy,
    *,
    answers: Mapping[str, str],
    ahead: bool = False,
    like: Case | None = None,
) -> tuple[Case, ...]:
    slots = slots_of(
        asked.history, asked.plan, asked.week, head_up=said(answers, HEAD_UP) is True
    )
    standing = frozenset(slot.entry.exercise for slot in slots)
    return tuple(
        Case(
            history=asked.history,
            plan=asked.plan,
            slot=slot,
            today=asked.today,
            week=asked.week,
            answers=answers,
            standing=standing,
            ahead=ahead,
            like=like,
        )
        for slot in slots
    )


def _before(history: History, day: date) -> History:
    return replace(
        history,
        sessions=tuple(s for s in history.sessions if s.local_date < day),
        targets=tuple(t for t in history.targets if t.local_date < day),
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
        or rules.repeat(case)
    )
    return outcome if found is None else under_ceiling(case, outcome, found)


def _rest_week(case: Case) -> Outcome:
    kept = words.seconds(case.current_s)
    working = replace(case.history, rest_weeks=case.history.rest_weeks - {case.week})
    return Outcome(
        rule=Rule.REST_WEEK,
        target_s=None,
        sets=0,
        reasons=(
            f"{words.sentence(words.week(case.week))[:-1]} is a rest week; it isn't"
            " counted as missed.",
            f"The target of {kept} is kept.",
        ),
        would_change=(
            Otherwise(
                begins="Without the rest week", copies=(case.copy(history=working),)
            ),
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
    return under_ceiling(there, rules.repeat(there), found)


def _gives_way(case: Case) -> Outcome:
    return Outcome(
        rule=Rule.HEAD_UP,
        target_s=None,
        sets=0,
        reasons=(
            f"{brief_name(PRESS_PUSHUP.id)} is asked for already, so nothing takes its"
            " place.",
        ),
        would_change=(),
    )


def _suggest(case: Case, week: Sequence[Case], *, otherwise: bool) -> Suggestion:
    outcome = _decide(case)
    exercise = outcome.exercise or case.exercise.id
    rest = outcome.target_s is None
    hurts, held_back = past_the_gate(case, exercise, outcome)
    head_up_reasons, head_up_would = head_up(case)
    lighter_sets, lighter = lighter_offer(case, outcome)
    belief = _foreseen(case, outcome)
    target_s = outcome.target_s or 0.0
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
            *ahead(case),
            *head_up_reasons,
            *outcome.reasons,
            *outcome.ways_on,
            *(() if rest else _position(case, outcome)),
            *(() if rest else evidence_notes(case)),
            *_hardly(outcome, belief),
            *lighter,
        ),
        would_change=(
            (*_would_change(case, outcome), *head_up_would) if otherwise else ()
        ),
        chance=None if belief is None else belief.chance(target_s, outcome.sets),
        cautions=() if rest else (*held_back, *cautions(case, exercise, week)),
        open_pain=() if rest else hurts,
        from_exercise=case.exercise.id if outcome.exercise else "",
        first_set_only=outcome.first_set_only or (case.slot.trial and not rest),
        find_out_limit_s=outcome.find_out_limit_s,
        likely_rpe=(
            None if belief is None else belief.likely_rpe(target_s, outcome.sets)
        ),
        rating="" if belief is None else belief.rating,
        lighter_sets=lighter_sets,
    )


def _would_change(case: Case, outcome: Outcome) -> tuple[str, ...]:
    """Act out what would have changed the answer, and say what came of it.

    What changes nothing is left out, unless there is nothing else to say.
    """
    now, usual = _answer(case, outcome), case.entry.sets
    said: list[str] = []
    unchanged: list[str] = []
    for each in outcome.would_change:
        if isinstance(each, str):
            said.append(each)
            continue
        answers = [_asked_again(case, copy) for copy in each.copies]
        sentence = each.sentence(answers, now, usual_sets=usual)
        if sentence is not None:
            said.append(sentence)
        elif None in answers:
            unchanged.append(
                f"{each.begins}, another exercise would perhaps stand here."
            )
        else:
            unchanged.append(each.unchanged(now, usual_sets=usual))
    return tuple(said or unchanged[:1])


def _asked_again(case: Case, copy: Copy) -> Answer | None:
    """Answer for the line of the plan that CASE is about; None: it asks for another."""
    for other in _cases(copy, answers=case.answers, like=case):
        planned = other.slot.planned.exercise == case.slot.planned.exercise
        if planned and other.exercise.id == case.exercise.id:
            return _answer(other, _decide(other))
    return None


def _answer(case: Case, outcome: Outcome) -> Answer:
    return Answer(
        name=case.name_of(outcome.exercise) if outcome.exercise else case.name,
        target_s=outcome.target_s,
        sets=outcome.sets,
        another=bool(outcome.exercise),
        on_offer=outcome.change is Change.MOVE_ON,
    )


def _hardly(outcome: Outcome, belief: Belief | None) -> tuple[str, ...]:
    """Say so where the target can hardly be made, with one that could."""
    target_s = outcome.target_s
    if belief is None or target_s is None:
        return ()
    chance = belief.chance(target_s, outcome.sets)
    if chance >= UNLIKELY_UNDER:
        return ()
    sets = words.count(outcome.sets, "set")
    figure = words.percent(words.bounded_chance(chance))
    at_most = " at most" if chance < words.LEAST_CHANCE else ""
    hardly = (
        f"By the estimate {sets} of {words.seconds(target_s)} can hardly be made"
        f" (a chance of {figure}{at_most})"
    )
    likely = (
        float(seconds)
        for seconds in range(math.ceil(target_s) - 1, 0, -1)
        if belief.chance(seconds, outcome.sets) > HELD_BACK_UNDER
    )
    likely_s = next(likely, None)
    if likely_s is None:
        return (f"{hardly}, and no target more likely than not.",)
    return (
        f"{hardly}; {words.seconds(likely_s)} more likely than not. That is for you or"
        " a coach to set.",
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


def _foreseen(case: Case, outcome: Outcome) -> Belief | None:
    """Return the estimate where it says something of what is suggested.

    Not while pain stands: the estimate knows of strength alone, and a good chance
    would read as leave to try. Nor before anything was held of it: a figure from
    nothing would be about nobody.
    """
    if not case.ever_held:
        return None
    if outcome.target_s is None or outcome.exercise or pain_of(case) is not None:
        return None
    return case.belief


__all__ = ["next_week", "suggestion_as_dict", "taken", "target_in_force"]

"""The rules that raise a target or leave it: ``move-on`` down to ``repeat``.

Each takes a case and gives an outcome, or None where it doesn't apply; ``repeat``
always applies. The limits are our choice, except where a source stands beside them.
"""

from __future__ import annotations

from trainer.core import words
from trainer.core.blocks import (
    GOOD_RPE,
    HELD_BACK_UNDER,
    Block,
    clean_pair,
    hints,
    step_blocks,
)
from trainer.core.case import Case, Outcome, half_step_s
from trainer.core.day import Day
from trainer.core.exercises import HANG_SUPPORTED, LADDERS, rung_above
from trainer.core.model import Feet
from trainer.core.plateau import plateau_notes
from trainer.core.suggestion import Change, Rule

NEXT_RUNG_S = 20.0
LARGE_STEP = 0.15
"""A step of more than this share of the target is halved where RPE was over 7. The
published progressions are 2 to 10 % (ACSM 2009; NSCA 2.5 to 10 %)."""


def move_on(case: Case) -> Outcome | None:
    """At the cap with ease: ask for the next rung."""
    if case.current_s < case.entry.cap_s or case.trained_this_week:
        return None
    above = _next_rung(case)
    if above is None or step_blocks(case, for_rung=True):
        return None
    if not clean_pair(case) or _move_hindrance(case) is not None:
        return None
    trial = (
        f"{above} at {words.seconds(NEXT_RUNG_S)} in the first set only, for two"
        f" sessions; {case.exercise.id} at {words.seconds(case.current_s)} in the"
        " others."
    )
    return Outcome(
        rule=Rule.MOVE_ON,
        target_s=NEXT_RUNG_S,
        sets=case.entry.sets,
        reasons=(
            f"{_clean_sentence(case)} RPE was {_top(case):g} at most, at the cap of"
            f" {words.seconds(case.entry.cap_s)}.",
            f"The next rung is on offer: {trial}",
            "It is asked, never taken by itself.",
        ),
        would_change=(
            f"An RPE over {GOOD_RPE:g}, or a set short of"
            f" {words.seconds(case.current_s)}, in either of the two would have kept"
            f" {case.exercise.id} alone.",
            f"Declined, {case.exercise.id} stays at {words.seconds(case.current_s)}.",
        ),
        change=Change.MOVE_ON,
        exercise=above,
        first_set_only=True,
    )


def _next_rung(case: Case) -> str | None:
    """Give the next harder rung if it may be offered."""
    above = rung_above(case.exercise.id)
    if above is None or case.slot.beside_trial or case.planned_already(above):
        return None
    family, top = case.exercise.family, case.top
    if family is None or top is None:
        return None
    ladder = LADDERS[family]
    return above if ladder.index(above) <= ladder.index(top) else None


def _move_hindrance(case: Case) -> str | None:
    """Say what keeps two clean sessions at the cap from the next rung, if anything."""
    pair = case.pair
    if any(day.top_rpe is None for day in pair):
        return f"an RPE of {GOOD_RPE:g} or less noted in both sessions"
    if _top(case) > GOOD_RPE:
        return f"RPE {GOOD_RPE:g} or less in both sessions (it was {_top(case):g})"
    on_toes = all(day.feet is Feet.TOES for day in pair)
    if case.exercise.id == HANG_SUPPORTED.id and not on_toes:
        return "no more than the toes taking weight, noted in both sessions"
    return None


def at_cap(case: Case) -> Outcome | None:
    """At or over the cap: stay."""
    if case.current_s < case.entry.cap_s:
        return None
    over = case.current_s > case.entry.cap_s
    reasons = [
        f"The target of {words.seconds(case.current_s)} is"
        f" {'over' if over else 'at'} the cap of {words.seconds(case.entry.cap_s)}."
    ]
    reasons.extend(case.whose())
    above = _next_rung(case)
    would: tuple[str, ...]
    if case.slot.beside_trial:
        reasons.append("It fills the sets beside the next rung; stay, add nothing.")
        would = ("Two sessions with the next rung in the first set end this.",)
    elif above is None:
        reasons.append("No further rung is on offer here: stay, add nothing.")
        would = ("A higher cap in the plan would let it rise again.",)
    else:
        blocks = step_blocks(case, for_rung=True)
        missing = _move_hindrance(case) if clean_pair(case) else None
        needed = missing or "two clean sessions running, each to RPE 7 or less"
        reasons.extend(block.reason for block in blocks)
        reasons.append(
            f"The next rung, {above}, waits for {missing}."
            if missing
            else f"To RPE {GOOD_RPE:g} first: the next rung, {above}, waits."
        )
        would = (f"{needed[0].upper()}{needed[1:]} would put {above} on offer.",)
    return case.same(Rule.AT_CAP, tuple(reasons), would)


def step(case: Case) -> Outcome | None:
    """Two clean sessions running, an RPE noted: one step up, unless held back."""
    if step_blocks(case):
        return None
    by_s, halved = step_s(case)
    target_s = min(case.entry.cap_s, round(case.current_s + by_s, 1))
    if target_s <= case.current_s:
        return None
    chance = (
        None if case.belief is None else case.belief.chance(target_s, case.entry.sets)
    )
    if chance is not None and chance < HELD_BACK_UNDER:
        return _held_back(case, target_s, chance)
    reasons = _step_reasons(case, target_s, halved=halved)
    would = [
        f"A set under {words.seconds(case.current_s - 0.5)}, an RPE over 8 or pain in"
        f" either of the two would have kept {words.seconds(case.current_s)}."
    ]
    if halved:
        full_target_s = min(case.entry.cap_s, case.current_s + case.entry.step_s)
        would.append(
            f"An RPE of {GOOD_RPE:g} at most in both would have allowed"
            f" {words.seconds(full_target_s)}."
        )
    return Outcome(
        rule=Rule.STEP,
        target_s=target_s,
        sets=case.entry.sets,
        reasons=tuple(reasons),
        would_change=tuple(would),
    )


def _step_reasons(case: Case, target_s: float, *, halved: bool) -> list[str]:
    rise_s, full_s = target_s - case.current_s, case.entry.step_s
    share = words.percent(rise_s / case.current_s)
    reasons = [
        f"{_clean_sentence(case)} Top RPE was {_top(case):g}.",
        f"{words.seconds(rise_s)} more is {share} on {words.seconds(case.current_s)}.",
    ]
    if halved:
        reasons.append(
            f"The full step of {words.seconds(full_s)} would be"
            f" {words.percent(full_s / case.current_s)}, over 15 %, and RPE was over"
            f" {GOOD_RPE:g}: so half of it."
        )
    return reasons


def step_s(case: Case, top_rpe: float | None = None) -> tuple[float, bool]:
    """Give the seconds of the next step, and whether that is half of it."""
    full_s = case.entry.step_s
    rpe = _top(case) if top_rpe is None else top_rpe
    if full_s <= LARGE_STEP * case.current_s + 1e-9 or rpe <= GOOD_RPE:
        return full_s, False
    return half_step_s(full_s), True


def _held_back(case: Case, target_s: float, chance: float) -> Outcome:
    reasons = [
        f"{_clean_sentence(case)} Top RPE was {_top(case):g}.",
        f"The chance that all {words.count(case.entry.sets, 'set')} of"
        f" {words.seconds(target_s)} are made is {words.chance(chance)}, under 50 %:"
        f" the step to {words.seconds(target_s)} is held back, the target stays at"
        f" {words.seconds(case.current_s)}.",
    ]
    limit_s: float | None = None
    may_find_out = case.exercise.may_stay and not case.exercise.upside_down
    if may_find_out and _held_back_before(case):
        limit_s = target_s
        reasons.append(
            "It was held back last time too. To find out, the last set of the next"
            f" session counts on past the target and ends at {words.seconds(limit_s)}."
        )
    return Outcome(
        rule=Rule.STEP,
        target_s=case.current_s,
        sets=case.entry.sets,
        reasons=tuple(reasons),
        would_change=(
            f"An RPE of {GOOD_RPE:g} or less with every set kept raises the chance; at"
            f" 50 % it would be {words.seconds(target_s)}.",
        ),
        find_out_limit_s=limit_s,
    )


def _held_back_before(case: Case) -> bool:
    """Tell whether the last week that was shown, within two, was held back too.

    That week's suggestion is the last one that was shown before it was trained: what
    is shown afterwards only says that the week was trained already.
    """
    earlier = [
        shown
        for shown in case.history.shown
        if shown.exercise == case.exercise.id and shown.week < case.week
    ]
    if not earlier:
        return False
    week = max(shown.week for shown in earlier)
    begun = min(
        (
            hold.started_at
            for day in case.trained
            if day.date in week
            for hold in day.holds
        ),
        default=None,
    )
    before = [
        shown
        for shown in earlier
        if shown.week == week and (begun is None or shown.shown_at <= begun)
    ]
    if not before:
        return False
    last = max(before, key=lambda shown: shown.shown_at)
    return (
        case.week.since(last.week) <= 2
        and last.rule == Rule.STEP
        and last.change == Change.SAME
    )


def plateau(case: Case) -> Outcome | None:
    """The same target for four weeks: stay, with options."""
    notes = plateau_notes(case)
    if notes is None:
        return None
    return case.same(
        Rule.PLATEAU,
        (*notes, *(block.reason for block in step_blocks(case)), *case.whose()),
        hints(case, _next_target_s(case)),
    )


def repeat(case: Case) -> Outcome:
    """Nothing else applies: the same again, and what is missing for more."""
    blocks: tuple[Block, ...] = step_blocks(case)
    reasons = [f"The target stays at {words.seconds(case.current_s)}."]
    reasons.extend(block.reason for block in blocks)
    reasons.extend(case.whose())
    return case.same(Rule.REPEAT, tuple(reasons), hints(case, _next_target_s(case)))


def _next_target_s(case: Case) -> float:
    """Give the target that one more good session would lead to."""
    last: Day | None = case.run[-1] if case.run else None
    last_rpe = last.top_rpe if last is not None and last.clean else None
    by_s, _ = step_s(case, last_rpe or 0.0)
    return min(case.entry.cap_s, round(case.current_s + by_s, 1))


def _clean_sentence(case: Case) -> str:
    first, second = case.pair
    return (
        f"The last two sessions, {words.day(first.date)} and {words.day(second.date)},"
        f" were clean: {first.made_sets} of {first.planned_sets} and"
        f" {second.made_sets} of {second.planned_sets} planned sets kept at"
        f" {words.seconds(case.current_s)}."
    )


def _top(case: Case) -> float:
    return max(
        (day.top_rpe for day in case.pair if day.top_rpe is not None), default=0.0
    )

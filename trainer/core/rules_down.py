"""The rules that keep or lower a target after training: ``too-much``, ``hard``.

Each takes a case and gives an outcome, or None where it doesn't apply. The limits are
our choice, except where a source stands beside them.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from trainer.core import words
from trainer.core.case import Case, Outcome
from trainer.core.day import Day
from trainer.core.evidence import (
    entry_or_default,
    last_running,
    median_kept_s,
)
from trainer.core.exercises import rung_below
from trainer.core.suggestion import Rule

TOO_MUCH_SHARE = 0.8
ROUND_TO_S = 5.0
HARD_RPE = 9.0
HARD_DOWN_S = 5.0


def too_much(case: Case) -> Outcome | None:
    """Some set kept for under 80 % of the target in two sessions running: down."""
    pair = case.pair
    if not pair or not all(day.below(TOO_MUCH_SHARE) for day in pair):
        return None
    limit_s = TOO_MUCH_SHARE * case.current_s
    reasons = [
        f"In both of the last two sessions, {_dates(pair)}, some set was kept for less"
        f" than 80 % of {words.seconds(case.current_s)} (under"
        f" {words.seconds(limit_s)}): {_kept(pair)}.",
        *case.whose(),
    ]
    would = (
        f"Every set kept for {words.seconds(limit_s)} or more in one of the two would"
        " have kept the target.",
    )
    if case.current_s <= case.entry.floor_s:
        return at_the_floor(case, Rule.TOO_MUCH, reasons, would)
    median_s = median_kept_s(pair)
    rounded_s = math.floor(median_s / ROUND_TO_S + 1e-9) * ROUND_TO_S
    lower_s = min(rounded_s, case.current_s - case.entry.step_s)
    if _hard_three(case):
        lower_s = min(lower_s, case.current_s - HARD_DOWN_S)
    target_s = max(case.entry.floor_s, lower_s)
    reasons.append(
        f"The median kept is {words.seconds(median_s)}; rounded down to 5 s, at least"
        f" one step lower, and not under the floor of"
        f" {words.seconds(case.entry.floor_s)}, that is {words.seconds(target_s)}."
    )
    return Outcome(
        rule=Rule.TOO_MUCH,
        target_s=target_s,
        sets=case.entry.sets,
        reasons=tuple(reasons),
        would_change=would,
    )


def hard(case: Case) -> Outcome | None:
    """Top RPE of 9 or more, made or not: two running hold, three running go down."""
    pair = case.pair
    if not pair or not all(_hard(day) for day in pair):
        return None
    if not _hard_three(case):
        return case.same(
            Rule.HARD,
            (
                f"Top RPE was {_rpes(pair)} in the last two sessions,"
                f" {_dates(pair)}: at 9 or more a second or two is left.",
                f"The target stays at {words.seconds(case.current_s)}, made or not.",
                *case.whose(),
            ),
            (
                "A third session running with an RPE of 9 or more would take"
                f" {HARD_DOWN_S:g} s off; a session under 9 would let the sets decide.",
            ),
        )
    three = last_running(case.run, 3)
    reasons = [
        f"Top RPE was {_rpes(three)} in the last three sessions,"
        f" {_dates(three)}: 9 or more each time."
    ]
    would = ("One of the three under an RPE of 9 would have kept the target.",)
    if case.current_s <= case.entry.floor_s:
        return at_the_floor(case, Rule.HARD, reasons, would)
    target_s = max(case.entry.floor_s, case.current_s - HARD_DOWN_S)
    reasons.append(
        f"{words.seconds(case.current_s - target_s)} come off, which leaves"
        f" {words.seconds(target_s)}."
    )
    return Outcome(
        rule=Rule.HARD,
        target_s=target_s,
        sets=case.entry.sets,
        reasons=tuple(reasons),
        would_change=would,
    )


def at_the_floor(
    case: Case, rule: Rule, reasons: Sequence[str], would: tuple[str, ...]
) -> Outcome:
    """At the floor: one rung down at its start; on the bottom rung one set fewer."""
    at_floor = f"The target is at the floor of {words.seconds(case.entry.floor_s)}."
    below = free_rung_below(case)
    if below is not None:
        return one_rung_down(case, below, rule, [*reasons, at_floor], would)
    sets = max(1, case.entry.sets - 1)
    why = (
        "There is no easier rung to go to"
        if rung_below(case.exercise.id) is None
        else "The easier rung is in the plan already"
    )
    how = (
        f"so it is {words.count(sets, 'set')} in place of {case.entry.sets}"
        if sets < case.entry.sets
        else "and one set is the least there is, so the target stays"
    )
    return case.same(rule, (*reasons, at_floor, f"{why}, {how}."), would, sets=sets)


def free_rung_below(case: Case) -> str | None:
    """Give the next easier rung, unless there is none or the plan has it already."""
    below = rung_below(case.exercise.id)
    if below is None or case.planned_already(below):
        return None
    return below


def one_rung_down(
    case: Case, below: str, rule: Rule, reasons: Sequence[str], would: tuple[str, ...]
) -> Outcome:
    """Answer with the rung below, at its start."""
    start_s = entry_or_default(case.plan, below).start_s
    return Outcome(
        rule=rule,
        target_s=start_s,
        sets=case.entry.sets,
        reasons=(
            *reasons,
            f"One rung down: {below} at its start of {words.seconds(start_s)}.",
        ),
        would_change=(
            *would,
            f"A target set on {case.exercise.id} by you or a coach brings it back.",
        ),
        exercise=below,
    )


def _hard(day: Day) -> bool:
    return day.top_rpe is not None and day.top_rpe >= HARD_RPE


def _hard_three(case: Case) -> bool:
    three = last_running(case.run, 3)
    return bool(three) and all(_hard(day) for day in three)


def _dates(days: Sequence[Day]) -> str:
    return words.listed([words.day(day.date) for day in days])


def _rpes(days: Sequence[Day]) -> str:
    return words.listed([f"{day.top_rpe:g}" for day in days])


def _kept(days: Sequence[Day]) -> str:
    return "; then ".join(
        ", ".join(words.seconds(kept_s) for kept_s in day.kept_s) for day in days
    )

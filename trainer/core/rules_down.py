"""The rules that keep or lower a target: ``away``, ``too-much``, ``hard``.

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
from trainer.core.exercises import PRESS_PIKE, PRESS_WALL, rung_below
from trainer.core.suggestion import Rule

AWAY_DAYS = 14
SLIP_DAYS = 21
"""From here on, 5 s down for each full week; one set fewer in the first session."""
FRESH_START_DAYS = 35
SLIP_S = 5.0
"""No published table gives seconds for weeks away; gains fade in two to six weeks
(Willy et al. 2001, Konrad et al. 2025; all lost after five: Front Physiol 2021,
12:656579)."""
TOO_MUCH_SHARE = 0.8
ROUND_TO_S = 5.0
HARD_RPE = 9.0
HARD_DOWN_S = 5.0


def away(case: Case) -> Outcome | None:
    """After two weeks away: hold, step back, or start again."""
    days = case.days_away
    if days < AWAY_DAYS:
        return None
    last_s = case.trained[-1].target_s
    figure_s = _after_away(case, last_s)
    target_s = min(figure_s, case.current_s)
    sets = max(1, case.entry.sets - 1) if days >= SLIP_DAYS else case.entry.sets
    reasons = [
        f"The last session was {days} days ago, on"
        f" {words.day(case.trained[-1].date)}, at {words.seconds(last_s)}."
    ]
    if days < SLIP_DAYS:
        reasons.append(
            "After two to three weeks away the target doesn't rise; it stays at"
            f" {words.seconds(target_s)}."
        )
    elif days < FRESH_START_DAYS:
        weeks = days // 7 - 2
        reasons.append(
            f"That is {words.count(weeks, 'full week')} past two weeks: {SLIP_S:g} s"
            " down for each, not under the floor of"
            f" {words.seconds(case.entry.floor_s)}."
        )
    else:
        reasons.append(
            "After five weeks away or more it starts again: the lower of that target"
            f" and the plan's start of {words.seconds(case.entry.start_s)}."
        )
    if target_s < figure_s:
        reasons.append(
            f"The target in force is already {words.seconds(case.current_s)}; coming"
            " back doesn't raise it."
        )
    if days >= SLIP_DAYS:
        reasons.append(
            "The first session back has"
            f" {words.count(sets, 'set')} of {case.entry.sets}."
        )
        reasons.append(
            "Gains fade within two to six weeks (Konrad et al. 2025); the seconds taken"
            " off are our choice."
        )
    would = (
        f"Had the last session been less than {AWAY_DAYS} days ago, the sessions"
        " themselves would have decided.",
    )
    exercise = _instead_of_wall(case, reasons) if days >= SLIP_DAYS else ""
    if exercise is None:
        return Outcome(
            rule=Rule.AWAY,
            target_s=None,
            sets=0,
            reasons=tuple(reasons),
            would_change=(f"One session of {PRESS_PIKE.id} brings it back.",),
        )
    return Outcome(
        rule=Rule.AWAY,
        target_s=target_s,
        sets=sets,
        reasons=tuple(reasons),
        would_change=would,
        exercise=exercise,
    )


def _after_away(case: Case, last_s: float) -> float:
    days, entry = case.days_away, case.entry
    if days >= FRESH_START_DAYS:
        lower_s = min(last_s, entry.start_s)
    else:
        lower_s = last_s - SLIP_S * max(0, days // 7 - 2)
    return max(entry.floor_s, lower_s)


def _instead_of_wall(case: Case, reasons: list[str]) -> str | None:
    """Give the rung that stands in for a session; None: rest, it is planned anyway."""
    if case.exercise.id != PRESS_WALL.id:
        return ""
    if _eased_back(case):
        reasons.append(f"There was a session of {PRESS_PIKE.id} since; the wall is on.")
        return ""
    if case.planned_already(PRESS_PIKE.id):
        reasons.append(
            f"The first session back is {PRESS_PIKE.id}, which the plan has anyway."
        )
        return None
    reasons.append(f"It comes back as {PRESS_PIKE.id} for one session.")
    return PRESS_PIKE.id


def _eased_back(case: Case) -> bool:
    """Tell whether a pike session lies after the last wall session and isn't old."""
    last_wall = case.trained[-1].date
    return any(
        session.local_date > last_wall
        and (case.today - session.local_date).days < AWAY_DAYS
        and any(h.exercise == PRESS_PIKE.id and h.counts for h in session.holds)
        for session in case.history.sessions
    )


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

"""The rules that raise a target or leave it: ``move-on`` down to ``repeat``.

Each takes a case and gives an outcome, or None where it doesn't apply; ``repeat``
always applies. The limits are our choice, except where a source stands beside them.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from datetime import timedelta

from trainer.core import words
from trainer.core.exercises import (
    HANG_SUPPORTED,
    LADDERS,
    PRESS_PIKE,
    PRESS_WALL,
    rung_above,
    rung_below,
    said_name,
)
from trainer.core.model import CLEAN_SLACK_S, LONGEST_HOLD_S, Author, Feet, TargetSet
from trainer.core.next_week.case import (
    Case,
    Outcome,
    half_step_s,
    is_large_step,
    whose_target,
)
from trainer.core.next_week.days import (
    RUNNING_DAYS,
    Day,
    entry_or_default,
    last_running,
    median_kept_s,
    same_target,
    targets_for,
)
from trainer.core.next_week.hindrances import (
    GOOD_RPE,
    HELD_BACK_UNDER,
    Block,
    clean_pair,
    hints,
    promise,
    rest_ahead,
    step_blocks,
)
from trainer.core.next_week.otherwise import (
    Answer,
    Made,
    Otherwise,
    kept_for,
    rated_at_most,
    with_holds,
    with_sessions,
)
from trainer.core.next_week.suggestion import Change, Rule
from trainer.core.plan.first_day import (
    LEAST_START_S,
    TOO_SHORT_S,
    TestResult,
    last_test,
)
from trainer.core.weeks import IsoWeek

PIKE = said_name(PRESS_PIKE.id)

# The rule ``start``: the plan's start, a test's, or a target that somebody set.

NOT_YET = "No session counts for it yet."


def start(case: Case) -> Outcome | None:
    """Before the first session of an exercise that no move led to."""
    if case.trained or case.slot.reached_by is not None:
        return None
    test = last_test(case.history, case.exercise.id)
    if test is not None and test.start_s is None and not _set_after(case, test):
        return _after_a_short_test(case, test)
    targets = targets_for(case.history, case.exercise.id, case.week)
    tested = test is not None and test.start_s is not None
    if targets and not (tested and targets[-1].author is Author.TEST):
        taken = f"{words.seconds(case.current_s)} was taken for it."
        return _begin(
            case,
            case.current_s,
            case.whose() or (taken,),
            would="Another target that you or a coach set would be the start.",
        )
    if test is None or test.start_s is None:
        said = (
            f"The plan starts at {words.seconds(case.entry.start_s)} (common practice:"
            " 20 to 30 s, less if that is already intense)."
        )
        return _begin(case, case.entry.start_s, (said,))
    said = (
        f"The test on {words.day(test.on)} came to {words.seconds(test.held_s)}:"
        " two thirds of that, rounded down to 5 s, between 10 and 30 s, is"
        f" {words.seconds(test.start_s)}."
    )
    target_s, bound = _within_the_plan(case, test.start_s)
    return _begin(
        case,
        target_s,
        (said, *bound),
        would="A longer or a shorter test would perhaps set another start.",
    )


def _begin(
    case: Case,
    target_s: float,
    reasons: tuple[str, ...],
    *,
    would: str = "Another start in the plan, or a first-day test, would perhaps set"
    " another target.",
) -> Outcome:
    return Outcome(
        rule=Rule.START,
        target_s=target_s,
        sets=case.entry.sets,
        reasons=(NOT_YET, *reasons),
        would_change=(would,),
        change=Change.START,
    )


def _set_after(case: Case, test: TestResult) -> bool:
    """Tell whether a person or a coach set the target in force after the test."""
    return case.own is not None and case.own.set_at > test.at


def _after_a_short_test(case: Case, test: TestResult) -> Outcome:
    """Answer with the rung below; with none that is free, the least start there is."""
    said = (
        f"The test on {words.day(test.on)} came to {words.seconds(test.held_s)},"
        f" under {words.seconds(TOO_SHORT_S)}"
    )
    would = (
        f"A test of {words.seconds(TOO_SHORT_S)} or more would perhaps set a start of"
        f" {case.name}."
    )
    below = free_rung_below(case)
    if below is not None:
        reasons = (NOT_YET, f"{said}: the rung below fits better.")
        return one_rung_down(
            case, below, Rule.START, reasons, (would, another_keeps(case))
        )
    why = (
        "There is no easier rung"
        if rung_below(case.exercise.id) is None
        else "The easier rung is in the plan already"
    )
    least = (
        f"{why}: so it starts at the least there is, {words.seconds(LEAST_START_S)}."
    )
    target_s, bound = _within_the_plan(case, LEAST_START_S)
    return _begin(case, target_s, (f"{said}.", least, *bound), would=would)


def _within_the_plan(case: Case, target_s: float) -> tuple[float, tuple[str, ...]]:
    """Keep a start between the plan's floor and cap, and say where that changes it."""
    floor_s, cap_s = case.entry.floor_s, case.entry.cap_s
    if target_s > cap_s:
        return cap_s, (f"It doesn't go over the plan's cap of {words.seconds(cap_s)}.",)
    if target_s < floor_s:
        floor = words.seconds(floor_s)
        return floor_s, (f"It doesn't go under the plan's floor of {floor}.",)
    return target_s, ()


# The rule ``away``: after two weeks hold, then step back, then start again.

AWAY_DAYS = 14
SLIP_DAYS = 21
"""From here on, 5 s down for each full week; one set fewer in the first session."""
FRESH_START_DAYS = 35
SLIP_S = 5.0
"""No published table gives seconds for weeks away; gains fade in two to six weeks
(Willy et al. 2001, Konrad et al. 2025; all lost after five: Front Physiol 2021,
12:656579)."""


def away(case: Case) -> Outcome | None:
    """After two weeks away: hold, step back, or start again.

    A target that a person or a coach set after the first two weeks is kept: it was set
    in knowledge of them.
    """
    days = case.days_away
    if days < AWAY_DAYS:
        return None
    base_s = _counted_from_s(case)
    own = _own_knowing(case)
    after_s = _after_away(case, base_s)
    target_s = case.current_s if own else min(case.current_s, after_s)
    sets = max(1, case.entry.sets - 1) if days >= SLIP_DAYS else case.entry.sets
    instead: list[str] = []
    exercise = _instead_of_wall(case, instead) if days >= SLIP_DAYS else ""
    if exercise is None:
        return Outcome(
            rule=Rule.AWAY,
            target_s=None,
            sets=0,
            reasons=(_last_session(case), *instead),
            would_change=(f"One session of {PIKE} would bring back {case.name}.",),
        )
    return Outcome(
        rule=Rule.AWAY,
        target_s=target_s,
        sets=sets,
        reasons=(
            _last_session(case),
            *(_theirs(case, own) if own else _why(case, base_s, after_s)),
            *_first_session_back(case, sets),
            *instead,
        ),
        would_change=(_without_own(case, own) if own else _after_one(case, exercise),),
        exercise=exercise,
    )


def _counted_from_s(case: Case) -> float:
    """Give what the weeks away are taken off: the lower of target and last session.

    A target that came of those weeks already is not lowered by them once more.
    """
    last_s = case.trained[-1].target_s
    targets = targets_for(case.history, case.exercise.id, case.week)
    if targets and _knowing(case, targets[-1]):
        return last_s
    return min(case.current_s, last_s)


def _knowing(case: Case, target: TargetSet) -> bool:
    """Tell whether TARGET was set in knowledge of two weeks away.

    A suggestion knows of the days up to the week that it is for.
    """
    known = target.local_date
    if target.author is Author.SUGGESTION and target.week is not None:
        weekday = min(case.plan.days, default=1)
        known = max(known, target.week.monday + timedelta(days=weekday - 1))
    return (known - case.trained[-1].date).days >= AWAY_DAYS


def _own_knowing(case: Case) -> TargetSet | None:
    """Give the target in force if a person or a coach set it after two weeks away.

    It is theirs too after a suggestion that kept it was taken.
    """
    for target in reversed(targets_for(case.history, case.exercise.id, case.week)):
        if not same_target(target.target_s, case.current_s):
            return None
        if target.author in (Author.PERSON, Author.COACH):
            return target if _knowing(case, target) else None
    return None


def _without_own(case: Case, own: TargetSet) -> Otherwise:
    before = replace(
        case.history,
        targets=tuple(
            target
            for target in case.history.targets
            if target.exercise != own.exercise or target.set_at < own.set_at
        ),
    )
    return Otherwise(
        begins=f"Without what was set on {words.day(own.local_date)} and after",
        copies=(case.copy(history=before),),
    )


def _after_one(case: Case, exercise: str) -> str:
    if exercise:
        return f"One session of {case.name_of(exercise)} would bring back {case.name}."
    return f"One session of {case.name} would end the count of days away."


def _last_session(case: Case) -> str:
    last = case.trained[-1]
    on, at = words.day(last.date), words.seconds(last.target_s)
    if case.asked_about == case.today:
        return f"The last session was {case.days_away} days ago, on {on}, at {at}."
    return (
        f"On {words.day(case.asked_about)}, the week's first day of training, the last"
        f" session lies {case.days_away} days back: {on}, at {at}."
    )


def _theirs(case: Case, own: TargetSet) -> tuple[str, ...]:
    days = (own.local_date - case.trained[-1].date).days
    return (
        whose_target(own),
        f"That was {days} days after that session, in knowledge of the time away: so"
        " it is kept.",
    )


def _why(case: Case, base_s: float, after_s: float) -> list[str]:
    """Say what the weeks away come to, counted from BASE_S down to AFTER_S."""
    days = case.days_away
    floor, base = words.seconds(case.entry.floor_s), words.seconds(base_s)
    reasons = []
    if not same_target(case.current_s, case.trained[-1].target_s):
        reasons.append(
            f"The target in force is {words.seconds(case.current_s)}; it is counted"
            f" from {base}."
        )
    if days < SLIP_DAYS:
        reasons.append("After two to three weeks away it doesn't rise.")
    elif days < FRESH_START_DAYS:
        weeks = days // 7 - 2
        reasons.append(
            f"That is {words.count(weeks, 'full week')} past two weeks: {SLIP_S:g} s"
            f" off {base} for each, not under the floor of {floor}."
        )
    else:
        reasons.append(
            f"After five weeks away or more it starts again: the lower of {base} and"
            f" the plan's start of {words.seconds(case.entry.start_s)}, not under the"
            f" floor of {floor}."
        )
    if after_s < min(base_s, case.current_s):
        reasons.append(
            "Gains fade within two to six weeks (Konrad et al. 2025); what is taken"
            " off is our choice."
        )
    return reasons


def _first_session_back(case: Case, sets: int) -> tuple[str, ...]:
    if sets == case.entry.sets:
        return ()
    return (
        f"The first session back has {words.count(sets, 'set')} of {case.entry.sets}.",
    )


def _after_away(case: Case, base_s: float) -> float:
    """Give the target after the weeks away: never over BASE_S, nor under the floor.

    A base that lies under the floor as it is stays.
    """
    days, entry = case.days_away, case.entry
    if days >= FRESH_START_DAYS:
        lower_s = min(base_s, entry.start_s)
    else:
        lower_s = base_s - SLIP_S * max(0, days // 7 - 2)
    return max(min(entry.floor_s, case.current_s), lower_s)


def _instead_of_wall(case: Case, reasons: list[str]) -> str | None:
    """Give the rung that stands in for a session; None: rest, it is planned anyway."""
    if case.exercise.id != PRESS_WALL.id:
        return ""
    if _eased_back(case):
        reasons.append(f"There was a session of {PIKE} since, so it goes on.")
        return ""
    if case.planned_already(PRESS_PIKE.id):
        reasons.append(f"The first session back is {PIKE}, which is planned anyway.")
        return None
    reasons.append(f"It comes back as {PIKE} for one session.")
    return PRESS_PIKE.id


def _eased_back(case: Case) -> bool:
    """Tell whether a pike session lies after the last wall session and isn't old."""
    last_wall = case.trained[-1].date
    return any(
        session.local_date > last_wall
        and (case.asked_about - session.local_date).days < AWAY_DAYS
        and any(h.exercise == PRESS_PIKE.id and h.counts for h in session.holds)
        for session in case.history.sessions
    )


# The rules that keep or lower a target after training: ``too-much``, ``hard``.
#
# Each takes a case and gives an outcome, or None where it doesn't apply. The limits are
# our choice, except where a source stands beside them.

TOO_MUCH_SHARE = 0.8
ROUND_TO_S = 5.0
HARD_RPE = 9.0
HARD_DOWN_S = 5.0


def too_much(case: Case) -> Outcome | None:
    """Some set kept for under 80 % of the target in two sessions running: down."""
    pair = case.pair
    if not pair or not all(day.below(TOO_MUCH_SHARE) for day in pair):
        return None
    limit_s = math.ceil(TOO_MUCH_SHARE * case.current_s * 10 - 1e-6) / 10
    reasons = [
        f"In both of the last two sessions, {_dates(pair)}, some set was kept for less"
        f" than 80 % of {words.seconds(case.current_s)} (under"
        f" {words.seconds(limit_s)}): {_kept(pair)}.",
        *case.whose(),
    ]
    kept = with_holds(
        case.history, pair[-1].holds, lambda hold: kept_for(hold, limit_s)
    )
    would = (
        Otherwise(
            begins=f"With each set under {words.seconds(limit_s)} on"
            f" {words.day(pair[-1].date)} kept for {words.seconds(limit_s)}",
            copies=(case.copy(history=kept),),
        ),
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
            (*_third_hard(case), *hints(case, _next_target_s(case))),
        )
    three = last_running(case.run, 3)
    reasons = [
        f"Top RPE was {_rpes(three)} in the last three sessions,"
        f" {_dates(three)}: 9 or more each time."
    ]
    under = HARD_RPE - 0.5
    easier = rated_at_most(case.history, three[-1:], under)
    would = (
        Otherwise(
            begins=f"With no RPE over {under:g} on {words.day(three[-1].date)}",
            copies=(case.copy(history=easier),),
        ),
    )
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


def _third_hard(case: Case) -> tuple[Otherwise, ...]:
    """Ask what a third session running would do that is made, and as hard."""
    start = case.today + timedelta(days=1)
    by = case.run[-1].date + timedelta(days=RUNNING_DAYS - 1)
    if by < start or rest_ahead(case):
        return ()
    third = Made(
        exercise=case.exercise.id,
        target_s=case.current_s,
        sets=case.entry.sets,
        rpe=HARD_RPE,
    )
    return (
        Otherwise(
            begins=f"After a third session running by {words.day(by)}, with every set"
            f" kept at an RPE of {HARD_RPE:g}",
            copies=tuple(
                case.copy(
                    history=with_sessions(case.history, third, (on,)),
                    today=IsoWeek.of(on).sunday,
                    week=IsoWeek.of(on).plus(1),
                )
                for on in (start, by)
            ),
        ),
    )


Would = tuple[str | Otherwise, ...]


def at_the_floor(
    case: Case, rule: Rule, reasons: Sequence[str], would: Would
) -> Outcome:
    """At the floor: one rung down at its start; on the bottom rung one set fewer."""
    at_floor = f"The target is at the floor of {words.seconds(case.entry.floor_s)}."
    below = free_rung_below(case)
    if below is not None:
        would = (*would, another_keeps(case))
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


def another_keeps(case: Case) -> str:
    """Say what keeps the exercise where a rung down is suggested for its target."""
    return f"Another target that you or a coach set on {case.name} would keep it."


def free_rung_below(case: Case) -> str | None:
    """Give the next easier rung, unless there is none or the plan has it already."""
    below = rung_below(case.exercise.id)
    if below is None or case.planned_already(below):
        return None
    return below


def one_rung_down(
    case: Case, below: str, rule: Rule, reasons: Sequence[str], would: Would
) -> Outcome:
    """Answer with the rung below, at its start."""
    start_s = entry_or_default(case.plan, below).start_s
    return Outcome(
        rule=rule,
        target_s=start_s,
        sets=case.entry.sets,
        reasons=(
            *reasons,
            f"One rung down: {case.name_of(below)} at its start of"
            f" {words.seconds(start_s)}.",
        ),
        would_change=would,
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


# Four weeks at one target: what it looks like, and the ways on that are offered.

PLATEAU_WEEKS = 4
"""The same target in so many weeks, with a session in each (our choice)."""


def _ways_on(case: Case, days: list[Day]) -> tuple[str, ...]:
    """Give the sentences that offer a way on from a plateau of these days."""
    options = ["a longer rest between sets"]
    if case.entry.sets > 1:
        options.append("one set fewer")
    options.append(f"a step of {words.seconds(half_step_s(case.entry.step_s))}")
    ways = [f"Ways on, to choose from: {', '.join(options[:-1])}, or {options[-1]}."]
    missed = _always_missed(days)
    if missed is not None:
        fewer = missed - 1
        ways.append(
            f"Set {missed} was missed each time and those before it never:"
            f" {words.count(fewer, 'set')} as the plan would fit what is kept."
        )
    return tuple(ways)


def _plateau_days(case: Case) -> list[Day] | None:
    """Give the run's days of the last four weeks, rest weeks not counted as weeks."""
    if not case.run:
        return None
    week = IsoWeek.of(case.run[-1].date)
    days: list[Day] = []
    seen = 0
    while seen < PLATEAU_WEEKS:
        if week not in case.history.rest_weeks:
            mine = [day for day in case.run if day.date in week]
            if not mine:
                return None
            days.extend(mine)
            seen += 1
        elif week < IsoWeek.of(case.run[0].date):
            return None
        week = week.plus(-1)
    return days


def _always_missed(days: list[Day]) -> int | None:
    """Give the one set that was the first missed every time, from the second set on."""
    firsts = {min(day.missed_sets(), default=0) for day in days}
    if len(firsts) != 1:
        return None
    first = firsts.pop()
    return first if first >= 2 else None


NEXT_RUNG_S = 20.0


def move_on(case: Case) -> Outcome | None:
    """At the cap with ease: ask for the next rung."""
    if case.current_s < case.entry.cap_s:
        return None
    above = _next_rung(case)
    if above is None or step_blocks(case, for_rung=True):
        return None
    if not clean_pair(case) or _move_hindrance(case) is not None:
        return None
    at = words.seconds(case.current_s)
    trial = (
        f"{case.name_of(above)} at {words.seconds(NEXT_RUNG_S)} in the first set only,"
        f" for two sessions; {case.name} at {at} in the others."
    )
    over = "at" if case.current_s <= case.entry.cap_s else "over"
    return Outcome(
        rule=Rule.MOVE_ON,
        target_s=NEXT_RUNG_S,
        sets=case.entry.sets,
        reasons=(
            f"{_clean_sentence(case)} RPE was {_top(case):g} at most, {over} the cap of"
            f" {words.seconds(case.entry.cap_s)}.",
            f"The next rung is on offer: {trial}",
            "It is asked, never taken by itself.",
        ),
        would_change=(
            f"An RPE over {GOOD_RPE:g}, or a set under"
            f" {words.seconds(case.current_s - CLEAN_SLACK_S)}, in either of the two"
            f" would {_surely(case)}have kept {case.name} alone.",
            f"Declined, {case.name} stays at {at}.",
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
    would: Would
    if case.slot.beside_trial:
        reasons.append("It fills the sets beside the next rung; stay, add nothing.")
        would = ("Two sessions with the next rung in the first set would end this.",)
    elif above is None:
        reasons.append("No further rung is on offer here: stay, add nothing.")
        would = (_higher_cap(case),)
    else:
        missing = _move_hindrance(case) if clean_pair(case) else None
        reasons.extend(block.reason for block in step_blocks(case, for_rung=True))
        name = case.name_of(above)
        reasons.append(
            f"The next rung, {name}, waits for {missing}."
            if missing
            else f"To RPE {GOOD_RPE:g} first, twice running: the next rung, {name},"
            " waits."
        )
        would = (_toward(case, name),)
    return case.same(Rule.AT_CAP, tuple(reasons), would)


def _toward(case: Case, name: str) -> Otherwise:
    """Say what would put the next rung, called NAME, on offer."""
    supported = case.exercise.id == HANG_SUPPORTED.id
    return promise(
        case,
        Answer(name, NEXT_RUNG_S, case.entry.sets, another=True, on_offer=True),
        feet=Feet.TOES if supported else None,
        sessions=2,
    )


def _higher_cap(case: Case) -> Otherwise | str:
    """Say what a cap that is one step over the target in force would do."""
    line = case.plan.entry(case.exercise.id)
    cap_s = case.current_s + case.entry.step_s
    if line is None or cap_s > LONGEST_HOLD_S:
        return "A higher cap in the plan would perhaps let it rise again."
    raised = case.plan.with_entry(replace(line, cap_s=cap_s))
    return Otherwise(
        begins=f"With a cap of {words.seconds(cap_s)} in the plan",
        copies=(case.copy(plan=raised),),
        hoped=Answer(case.name, cap_s, case.entry.sets),
    )


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
    would: list[str | Otherwise] = [
        f"A set under {words.seconds(case.current_s - CLEAN_SLACK_S)}, an RPE over 8"
        f" or pain in either of the two would {_surely(case)}have kept"
        f" {words.seconds(case.current_s)}."
    ]
    if halved:
        easier = rated_at_most(case.history, case.pair, GOOD_RPE)
        would.append(
            Otherwise(
                begins=f"With no RPE over {GOOD_RPE:g} in either of the two",
                copies=(case.copy(history=easier),),
            )
        )
    return Outcome(
        rule=Rule.STEP,
        target_s=target_s,
        sets=case.entry.sets,
        reasons=tuple(reasons),
        would_change=tuple(would),
    )


def _surely(case: Case) -> str:
    """Say *perhaps* of the last two where a shorter hold would have been no try.

    One logged by hand without the target is one only because it reached it.
    """
    named = all(
        hold.target_s is not None and same_target(hold.target_s, case.current_s)
        for day in case.pair
        for hold in day.holds
    )
    return "" if named else "perhaps "


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
    if is_large_step(full_s, case.current_s) and rpe > GOOD_RPE:
        return half_step_s(full_s), True
    return full_s, False


def _said_chance(chance: float) -> str:
    """Say a chance under an even one; what rounds to 50 % is said as 49."""
    if chance < words.LEAST_CHANCE:
        return f"under {words.percent(words.LEAST_CHANCE)}"
    return f"{words.chance(min(chance, HELD_BACK_UNDER - 0.01))}, under 50 %"


def _held_back(case: Case, target_s: float, chance: float) -> Outcome:
    reasons = [
        f"{_clean_sentence(case)} Top RPE was {_top(case):g}.",
        f"The chance that all {words.count(case.entry.sets, 'set')} of"
        f" {words.seconds(target_s)} are made is {_said_chance(chance)}:"
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
            f"More sessions with every set kept at an RPE of {GOOD_RPE:g} or less would"
            f" perhaps raise the chance to 50 %, and the target to"
            f" {words.seconds(target_s)}.",
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
    days = _plateau_days(case)
    if days is None or case.current_s >= case.entry.cap_s:
        return None
    same = case.same(
        Rule.PLATEAU,
        (
            f"The target has been {words.seconds(case.current_s)} since"
            f" {words.day(case.run[0].date)}, with a session in each of the last"
            f" {PLATEAU_WEEKS} weeks.",
            *(block.reason for block in step_blocks(case)),
            *case.whose(),
        ),
        hints(case, _next_target_s(case)),
    )
    return replace(same, ways_on=_ways_on(case, days))


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

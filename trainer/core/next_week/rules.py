"""The rules that raise a target or leave it: ``move-on`` down to ``repeat``.

Each takes a case and gives an outcome, or None where it doesn't apply; ``repeat``
always applies. The limits are our choice, except where a source stands beside them.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

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
from trainer.core.model import Author, Feet, TargetSet
from trainer.core.next_week.case import Case, Outcome, half_step_s, whose_target
from trainer.core.next_week.days import (
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
    step_blocks,
)
from trainer.core.next_week.suggestion import Change, Rule
from trainer.core.plan.first_day import (
    LEAST_START_S,
    TOO_SHORT_S,
    TestResult,
    last_test,
)
from trainer.core.weeks import IsoWeek

# The rule ``start``: the plan's start, a test's, or a target that somebody set.

PIKE = said_name(PRESS_PIKE.id)
NOT_YET = "There is no session of it yet."


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
        return _begin(case, case.current_s, case.whose() or (taken,))
    if test is None or test.start_s is None:
        said = (
            f"The plan starts at {words.seconds(case.entry.start_s)} (common practice:"
            " 20 to 30 s, less if that is already intense)."
        )
        return _begin(case, case.entry.start_s, (said,))
    said = (
        f"The test on {words.day(test.on)} was held for {words.seconds(test.held_s)}:"
        " two thirds of that, rounded down to 5 s, between 10 and 30 s, is"
        f" {words.seconds(test.start_s)}."
    )
    target_s, bound = _within_the_plan(case, test.start_s)
    return _begin(
        case,
        target_s,
        (said, *bound),
        would="A longer or a shorter test would set another start.",
    )


def _begin(
    case: Case,
    target_s: float,
    reasons: tuple[str, ...],
    *,
    would: str = "A first-day test, or a start set in the plan, would set another"
    " start.",
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
        f"The test on {words.day(test.on)} was held for {words.seconds(test.held_s)},"
        f" under {words.seconds(TOO_SHORT_S)}"
    )
    would = (
        f"A test of {words.seconds(TOO_SHORT_S)} or more would set a start on"
        f" {case.name}."
    )
    below = free_rung_below(case)
    if below is not None:
        reasons = (NOT_YET, f"{said}: the rung below fits better.")
        return one_rung_down(case, below, Rule.START, reasons, (would,))
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

    A target that a person or a coach set since then is kept: they knew of it.
    """
    days = case.days_away
    if days < AWAY_DAYS:
        return None
    figure_s = _after_away(case, case.trained[-1].target_s)
    own = _set_since(case)
    target_s = case.current_s if own else min(figure_s, case.current_s)
    sets = max(1, case.entry.sets - 1) if days >= SLIP_DAYS else case.entry.sets
    reasons = [
        _last_session(case),
        *(_theirs(own) if own else _why(case, figure_s)),
        *(_first_session_back(case, sets) if days >= SLIP_DAYS else ()),
    ]
    exercise = _instead_of_wall(case, reasons) if days >= SLIP_DAYS else ""
    if exercise is None:
        return Outcome(
            rule=Rule.AWAY,
            target_s=None,
            sets=0,
            reasons=tuple(reasons),
            would_change=(f"One session of {PIKE} brings it back.",),
        )
    return Outcome(
        rule=Rule.AWAY,
        target_s=target_s,
        sets=sets,
        reasons=tuple(reasons),
        would_change=(
            f"Without that target the weeks away would make it"
            f" {words.seconds(figure_s)} at most."
            if own
            else f"Had the last session been less than {AWAY_DAYS} days ago, the"
            " sessions themselves would have decided.",
        ),
        exercise=exercise,
    )


def _set_since(case: Case) -> TargetSet | None:
    """Give the target in force if a person or a coach set it after the last session.

    It is theirs too after a suggestion that kept it was taken.
    """
    for target in reversed(targets_for(case.history, case.exercise.id, case.week)):
        if not same_target(target.target_s, case.current_s):
            return None
        if target.author in (Author.PERSON, Author.COACH):
            last = max(hold.started_at for hold in case.trained[-1].holds)
            return target if target.set_at > last else None
    return None


def _last_session(case: Case) -> str:
    last = case.trained[-1]
    return (
        f"The last session was {case.days_away} days ago, on {words.day(last.date)},"
        f" at {words.seconds(last.target_s)}."
    )


def _theirs(own: TargetSet) -> tuple[str, ...]:
    return (whose_target(own), "It was set after that session, so it is kept.")


def _why(case: Case, figure_s: float) -> list[str]:
    """Say what the weeks away come to."""
    days = case.days_away
    floor = words.seconds(case.entry.floor_s)
    reasons = []
    if days < SLIP_DAYS:
        reasons.append("After two to three weeks away that target doesn't rise.")
    elif days < FRESH_START_DAYS:
        weeks = days // 7 - 2
        reasons.append(
            f"That is {words.count(weeks, 'full week')} past two weeks: {SLIP_S:g} s"
            f" down for each, not under the floor of {floor}."
        )
    else:
        reasons.append(
            "After five weeks away or more it starts again: the lower of that target"
            f" and the plan's start of {words.seconds(case.entry.start_s)}, not under"
            f" the floor of {floor}."
        )
    if case.current_s < figure_s:
        reasons.append(
            f"The target in force is already {words.seconds(case.current_s)}; coming"
            " back doesn't raise it."
        )
    return reasons


def _first_session_back(case: Case, sets: int) -> tuple[str, ...]:
    return (
        f"The first session back has {words.count(sets, 'set')} of {case.entry.sets}.",
        "Gains fade within two to six weeks (Konrad et al. 2025); what is taken off is"
        " our choice.",
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
        reasons.append(f"There was a session of {PIKE} since; the wall is on.")
        return ""
    if case.planned_already(PRESS_PIKE.id):
        reasons.append(f"The first session back is {PIKE}, which the plan has anyway.")
        return None
    reasons.append(f"It comes back as {PIKE} for one session.")
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
                f" {HARD_DOWN_S:g} s off; after one under 9, what was held decides.",
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
            f"One rung down: {said_name(below)} at its start of"
            f" {words.seconds(start_s)}.",
        ),
        would_change=(
            *would,
            f"A target set for {case.name} by you or a coach brings it back.",
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


# Four weeks at one target: what it looks like, and the ways on that are offered.

PLATEAU_WEEKS = 4
"""The same target in so many weeks, with a session in each (our choice)."""


def plateau_notes(case: Case) -> tuple[str, ...] | None:
    """Give the sentences of a plateau, or None where there is none."""
    days = _plateau_days(case)
    if days is None or case.current_s >= case.entry.cap_s:
        return None
    half_s = half_step_s(case.entry.step_s)
    options = ["a longer rest between sets"]
    if case.entry.sets > 1:
        options.append("one set fewer")
    options.append(f"a step of {words.seconds(half_s)}")
    notes = [
        f"The target has been {words.seconds(case.current_s)} for"
        f" {PLATEAU_WEEKS} weeks with a session in each.",
        f"Ways on, to choose from: {', '.join(options[:-1])}, or {options[-1]}.",
    ]
    missed = _always_missed(days)
    if missed is not None:
        fewer = missed - 1
        notes.append(
            f"Set {missed} was missed each time and those before it never:"
            f" {words.count(fewer, 'set')} as the plan would fit what is kept."
        )
    return tuple(notes)


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
        f"{said_name(above)} at {words.seconds(NEXT_RUNG_S)} in the first set only,"
        f" for two sessions; {case.name} at {words.seconds(case.current_s)} in the"
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
            f" {case.name} alone.",
            f"Declined, {case.name} stays at {words.seconds(case.current_s)}.",
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
            f"The next rung, {said_name(above)}, waits for {missing}."
            if missing
            else f"To RPE {GOOD_RPE:g} first: the next rung, {said_name(above)}, waits."
        )
        would = (
            f"{needed[0].upper()}{needed[1:]} would put {said_name(above)} on offer.",
        )
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

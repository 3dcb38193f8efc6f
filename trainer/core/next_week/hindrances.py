"""What keeps a target from rising, as sentences, and what would end that."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from trainer.core import words
from trainer.core.model import Feet, Hold, Site
from trainer.core.next_week.case import UP_REST_DAYS, Case
from trainer.core.next_week.days import (
    RUNNING_DAYS,
    WATCHED_STRENGTH,
    Day,
    last_running,
)
from trainer.core.next_week.otherwise import (
    Answer,
    Copy,
    Made,
    Otherwise,
    kept_for,
    with_holds,
    with_sessions,
)
from trainer.core.weeks import IsoWeek

GOOD_RPE = 7.0
"""An RPE at which no step is halved and a harder rung may be asked for (our choice)."""
HELD_BACK_UNDER = 0.5
"""A step with less than an even chance is held back (our choice)."""
EASY_RPE = 5.0
"""What is promised of an RPE of 7 or less is tried at 7 and at this."""


@dataclass(frozen=True, slots=True)
class Block:
    """One thing that keeps a target from rising."""

    reason: str
    otherwise: Otherwise | None = None
    """What would have ended it; None where clean sessions alone do."""


def clean_pair(case: Case) -> bool:
    """Tell whether the last two running are there and clean."""
    return bool(case.pair) and all(day.clean for day in case.pair)


def step_blocks(case: Case, *, for_rung: bool = False) -> tuple[Block, ...]:
    """Give everything that keeps the target from rising; nothing: it may.

    FOR_RUNG asks for the next rung: there the RPE has its own rule.
    """
    blocks: list[Block] = []
    if case.trained_this_week:
        blocks.append(
            Block(
                f"It was already trained in {words.week(case.week)}; a target doesn't"
                " rise within a week.",
                _in_week(case, case.week.plus(1)),
            )
        )
    blocks.extend(_session_blocks(case))
    if clean_pair(case) and not for_rung:
        if _rpe_missing(case):
            blocks.append(_rpe_block(case))
        blocks.extend(_last_up_block(case))
    blocks.extend(position_blocks(case))
    return tuple(blocks)


def _in_week(case: Case, week: IsoWeek) -> Otherwise:
    """Ask for a later week, with nothing more logged."""
    coming = IsoWeek.of(case.today).plus(1)
    today = case.today if week <= coming else week.monday - timedelta(days=1)
    return Otherwise(
        begins=f"For {words.week(week)}, with nothing more logged",
        copies=(case.copy(week=week, today=today),),
    )


def _session_blocks(case: Case) -> list[Block]:
    at = words.seconds(case.current_s)
    run = case.run
    if not run:
        return [Block(_no_session(case, at))]
    blocks = [
        Block(
            f"The session on {words.day(day.date)} was not clean:"
            f" {words.listed(day.faults())}."
        )
        for day in run[-2:]
        if not day.clean
    ]
    if len(run) == 1:
        return [Block(_one_session(run[0], at))]
    if last_running(run, 2):
        return blocks
    gap = (run[-1].date - run[-2].date).days
    apart = Block(
        f"The last two sessions at {at} are {gap} days apart; a step needs two less"
        f" than {RUNNING_DAYS} days apart. So seldom a target is held, not built."
    )
    return [*blocks, apart]


def _no_session(case: Case, at: str) -> str:
    if not case.trained:
        return f"No session counts for it yet; a step needs two running at {at}."
    last = case.trained[-1]
    return (
        f"The last session, on {words.day(last.date)}, was at"
        f" {words.seconds(last.target_s)}; a step needs two running at {at}."
    )


def _one_session(day: Day, at: str) -> str:
    if day.clean:
        return (
            f"So far one session runs at {at}, on {words.day(day.date)}; a step needs"
            " two running."
        )
    return (
        f"So far one session runs at {at}, on {words.day(day.date)}, not clean"
        f" ({words.listed(day.faults())}): a step needs two clean ones running."
    )


def _rpe_missing(case: Case) -> bool:
    return all(day.top_rpe is None for day in case.pair)


def _rpe_block(case: Case) -> Block:
    last = case.pair[-1]
    which = "last set that counts" if last.left_out else "last set"
    rated = with_holds(
        case.history, last.holds[-1:], lambda hold: replace(hold, rpe=GOOD_RPE)
    )
    return Block(
        "No RPE was noted in the last two sessions; without one the target doesn't"
        " rise.",
        Otherwise(
            begins=f"With an RPE of {GOOD_RPE:g} noted for the {which} on"
            f" {words.day(last.date)}",
            copies=(case.copy(history=rated),),
        ),
    )


def _free_from(case: Case) -> date | None:
    """Give the first day of training for which the target may rise again.

    None where the week's first session is late enough as it is.
    """
    if not case.ups or (case.first_day - case.ups[-1]).days >= UP_REST_DAYS:
        return None
    return case.ups[-1] + timedelta(days=UP_REST_DAYS)


def _last_up_block(case: Case) -> list[Block]:
    free = _free_from(case)
    if free is None:
        return []
    week = _week_from(case, case.week.plus(1), free)
    return [
        Block(
            f"The target rose on {words.day(case.ups[-1])}, less than {UP_REST_DAYS}"
            f" days before the week's first session on {words.day(case.first_day)}.",
            _in_week(case, week),
        )
    ]


def _week_from(case: Case, week: IsoWeek, free: date | None) -> IsoWeek:
    """Give the first week from WEEK on that begins training on FREE or later."""
    first = week.monday + timedelta(days=min(case.plan.days, default=1) - 1)
    return week if free is None or first >= free else week.plus(1)


def position_blocks(case: Case) -> list[Block]:
    """Give what the last two running, at whatever targets, say of the position."""
    pair = last_running(case.trained, 2)
    if not pair:
        return []
    first, second = pair
    blocks = []
    both = first.watched_sites() & second.watched_sites()
    if both:
        blocks.append(_watched_block(case, second, both))
    if first.position_went and second.position_went:
        kept = with_holds(
            case.history, second.holds, lambda hold: kept_for(hold, hold.held_s)
        )
        blocks.append(
            Block(
                "In both of the last two sessions a set was held on after the"
                " position was lost.",
                Otherwise(
                    begins="With the position kept to the end of each set on"
                    f" {words.day(second.date)}",
                    copies=(case.copy(history=kept),),
                ),
            )
        )
    return blocks


def _watched_block(case: Case, last: Day, sites: frozenset[Site]) -> Block:
    def eased(hold: Hold) -> Hold:
        return replace(
            hold,
            felt=tuple(
                felt
                for felt in hold.felt
                if felt.site not in sites or (felt.strength or 0) < WATCHED_STRENGTH
            ),
        )

    named = words.listed([site.words for site in sorted(sites)])
    return Block(
        f"A stretch of {WATCHED_STRENGTH:g} or more was felt in the {named} in both of"
        " the last two sessions: something else does the shoulder's work.",
        Otherwise(
            begins=f"With less than {WATCHED_STRENGTH:g} felt in the {named} on"
            f" {words.day(last.date)}",
            copies=(case.copy(history=with_holds(case.history, last.holds, eased)),),
        ),
    )


def hints(case: Case, next_s: float) -> tuple[Otherwise, ...]:
    """Give what would have raised the target, and what may still raise it to NEXT_S."""
    blocks = step_blocks(case)
    named = {each.begins: each for block in blocks if (each := block.otherwise)}
    if clean_pair(case) and not _rpe_missing(case) and named:
        return tuple(named.values())
    hoped = Answer(case.name, next_s, case.entry.sets)
    return (*named.values(), promise(case, hoped))


def promise(
    case: Case, hoped: Answer, *, feet: Feet | None = None, sessions: int | None = None
) -> Otherwise:
    """Say what good sessions in the coming days would lead to.

    One that runs with the last, where that was clean; else two. They are tried on the
    first and the last days that are named, at an RPE of 7 and at a lower one, and asked
    of the first week after them that may bring a rise.

    Args:
        case: the case.
        hoped: what is likely to come of it.
        feet: how much the feet take in them.
        sessions: so many, whatever the last one was.
    """
    last: Day | None = case.run[-1] if case.run else None
    start = case.today + timedelta(days=1)
    by = case.today + timedelta(days=RUNNING_DAYS - 1)
    days: tuple[tuple[date, ...], ...]
    if sessions is None and last is not None and last.clean:
        until = last.date + timedelta(days=RUNNING_DAYS - 1)
        if until >= start:
            sessions, by = 1, min(by, until)
    if sessions == 1:
        days, count = ((start,), (by,)), "one more session"
    else:
        one = timedelta(days=1)
        days = ((start, start + one), (start, by), (by - one, by))
        count = "two more sessions"
    free = _free_from(case)
    begins = (
        f"After {count} at {words.seconds(case.current_s)} by {words.day(by)}, with"
        f" every set kept, no pain and an RPE of {GOOD_RPE:g} or less noted"
    )
    if feet is Feet.TOES:
        begins += ", and no more than the toes taking weight"
    if free is not None:
        begins += f", for a week that begins training on {words.day(free)} or later"
    copies = (
        _after(case, dates, _good(case, rpe, feet), free)
        for dates in days
        for rpe in (GOOD_RPE, EASY_RPE)
    )
    return Otherwise(
        begins=begins,
        copies=() if rest_ahead(case) else tuple(copies),
        hoped=hoped,
    )


def rest_ahead(case: Case) -> bool:
    """Tell whether a rest week may follow on a session in the coming two weeks."""
    this = IsoWeek.of(case.today)
    weeks = {this.plus(ahead) for ahead in range(1, 5)}
    return bool(weeks & case.history.rest_weeks)


def _good(case: Case, rpe: float, feet: Feet | None) -> Made:
    return Made(
        exercise=case.exercise.id,
        target_s=case.current_s,
        sets=case.entry.sets,
        rpe=rpe,
        feet=feet,
    )


def _after(case: Case, dates: Sequence[date], made: Made, free: date | None) -> Copy:
    week = _week_from(case, IsoWeek.of(dates[-1]).plus(1), free)
    return case.copy(
        history=with_sessions(case.history, made, dates),
        today=week.monday - timedelta(days=1),
        week=week,
    )

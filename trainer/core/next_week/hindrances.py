"""What keeps a target from rising, as sentences, and what would end that."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from trainer.core import words
from trainer.core.capacity.rpe import said
from trainer.core.next_week.case import UP_REST_DAYS, Case
from trainer.core.next_week.days import RUNNING_DAYS, Day, last_running

GOOD_RPE = 7.0
"""An RPE at which no step is halved and a harder rung may be asked for (our choice)."""
HELD_BACK_UNDER = 0.5
"""A step with less than an even chance is held back (our choice)."""
CLEARLY = 0.1
"""A promise is made without its condition only so far above that (our choice): one more
session says what its RPE says, and that is loose."""


@dataclass(frozen=True, slots=True)
class Block:
    """One thing that keeps a target from rising."""

    reason: str
    hint: str = ""
    """What would end it; empty where clean sessions alone do."""


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
                words.sentence(f"{words.week(case.week.plus(1))} can bring a step"),
            )
        )
    blocks.extend(_session_blocks(case))
    if clean_pair(case) and not for_rung:
        if all(day.top_rpe is None for day in case.pair):
            blocks.append(
                Block(
                    "No RPE was noted in the last two sessions; without one the target"
                    " doesn't rise."
                )
            )
        blocks.extend(_last_up_block(case))
    blocks.extend(position_blocks(case))
    return tuple(blocks)


def _session_blocks(case: Case) -> list[Block]:
    at = words.seconds(case.current_s)
    run = case.run
    if not run:
        return [Block(f"There is no session at {at} yet; a step needs two running.")]
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


def _one_session(day: Day, at: str) -> str:
    if day.clean:
        return f"There is one session at {at}; a step needs two running."
    return (
        f"There is one session at {at}, on {words.day(day.date)}, not clean"
        f" ({words.listed(day.faults())}): a step needs two clean ones running."
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
    return [
        Block(
            f"The target rose on {words.day(case.ups[-1])}, less than {UP_REST_DAYS}"
            f" days before the week's first session on {words.day(case.first_day)}.",
            f"A week that begins training on {words.day(free)} or later can bring a"
            " step.",
        )
    ]


def position_blocks(case: Case) -> list[Block]:
    """Give what the last two running, at whatever targets, say of the position."""
    pair = last_running(case.trained, 2)
    if not pair:
        return []
    first, second = pair
    blocks = []
    sites = (first.watched_sites(), second.watched_sites())
    if all(sites):
        named = words.listed(sorted(sites[0] | sites[1]))
        blocks.append(
            Block(
                f"A stretch of 6 or more was felt at {named} in both of the last two"
                " sessions: something else does the shoulder's work.",
                "After a session without it, what was held decides again.",
            )
        )
    if first.position_went and second.position_went:
        blocks.append(
            Block(
                "In both of the last two sessions a set was held longer than the"
                " position was kept.",
                "A session in which held and kept are the same would let the sets"
                " decide.",
            )
        )
    return blocks


def hints(case: Case, next_s: float) -> tuple[str, ...]:
    """Say what would raise the target to NEXT_S."""
    named = [block.hint for block in step_blocks(case) if block.hint]
    if clean_pair(case) and not _rpe_missing(case):
        return tuple(named)
    last: Day | None = case.run[-1] if case.run else None
    good = f"with every set kept and an RPE of {GOOD_RPE:g} or less noted"
    if not _likely_after_good(case, next_s):
        good += ", and at least an even chance by the estimate"
    at, to = words.seconds(case.current_s), words.seconds(next_s)
    free = _free_from(case)
    if free is not None and not clean_pair(case):
        to += f" in a week that begins training on {words.day(free)} or later"
    if last is not None and last.clean:
        within = f" within {RUNNING_DAYS - 1} days of {words.day(last.date)}"
        return (
            f"One more session at {at}{within}, {good}, would make it {to}.",
            *named,
        )
    return (f"Two sessions running at {at}, {good}, would make it {to}.", *named)


def _likely_after_good(case: Case, next_s: float) -> bool:
    """Tell whether one more good session would leave an even chance of NEXT_S.

    On that day and two weeks on: what is promised may be asked for then.
    """
    if case.belief is None:
        return True
    sets = case.entry.sets
    good = [said(case.current_s, GOOD_RPE, nth) for nth in range(sets)]
    after = case.belief.after(good)
    return all(
        belief.chance(next_s, sets) >= HELD_BACK_UNDER + CLEARLY
        for belief in (after, after.later(RUNNING_DAYS))
    )


def _rpe_missing(case: Case) -> bool:
    return all(day.top_rpe is None for day in case.pair)

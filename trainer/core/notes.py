"""What is said beside the rule: what the figures rest on, offers, cautions."""

from __future__ import annotations

from datetime import timedelta

from trainer.core import words
from trainer.core.case import Case, Outcome
from trainer.core.evidence import target_in_force
from trainer.core.exercises import Family
from trainer.core.plan import Order
from trainer.core.slots import TRIAL_SESSIONS
from trainer.core.weeks import IsoWeek

LIGHTER_AFTER_WEEKS = 6
LIGHTER_UPS = 4
"""A lighter week is on offer after six weeks with an ``up`` in four (our choice; in
practice deloads come every 5.6 ± 2.3 weeks, with less volume: Rogerson et al. 2024)."""
BUILDS_PER_WEEK = 2
"""Published guidelines train two to three days a week (Garber et al. 2011)."""
SELDOM_WEEKS = 4
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
    down = case.slot.head_down.exercise
    instead = "" if case.slot.gives_way else f", and {case.exercise.id} takes its place"
    return (
        "You answered that there is an eye or blood-pressure caution: the head stays"
        f" up. {down} is head-down, so it is left out{instead}.",
    ), (
        "A clinician who knows you may say otherwise: another answer on the first-day"
        f" screen brings {down} back.",
    )


def evidence_notes(case: Case) -> tuple[str, ...]:
    """Say what the figures rest on, where that is worth knowing."""
    return (*_trial(case), *_kept_unsaid(case), *_grip(case), *_seldom(case))


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
        f"In {unsaid} of {words.count(sets, 'set')} of {which} nobody said how much was"
        " kept; there, held counts as kept.",
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


def cautions(case: Case, exercise_id: str) -> tuple[str, ...]:
    """Give the cautions that go with the exercise that is suggested."""
    exercise = case.plan.exercise(exercise_id)
    said = [exercise.caution] if exercise.caution else []
    if exercise.upside_down:
        said.append(NOT_ALONE)
    before_s = hang_before_press_s(case) if exercise.family is Family.PRESS else 0.0
    if before_s > HANG_BEFORE_PRESS_S:
        said.append(
            f"The last press comes after {words.seconds(before_s)} of hang; a"
            " minute or more of stretch right before can cost some strength (Behm et"
            " al. 2016). Press first if that is felt."
        )
    return tuple(said)


def hang_before_press_s(case: Case) -> float:
    """Give the seconds of hang, at the targets in force, before a day's last press."""
    plan = case.plan
    if plan.order is Order.PRESS_FIRST:
        return 0.0
    return sum(
        entry.sets * target_in_force(case.history, plan, entry.exercise, week=case.week)
        for entry in plan.exercises
        if plan.exercise(entry.exercise).family is Family.HANG
    )

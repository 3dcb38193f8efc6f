"""The rule ``away``: after two weeks hold, then step back, then start again."""

from __future__ import annotations

from trainer.core import words
from trainer.core.case import Case, Outcome, whose_target
from trainer.core.evidence import same_target, targets_for
from trainer.core.exercises import PRESS_PIKE, PRESS_WALL
from trainer.core.model import Author, TargetSet
from trainer.core.suggestion import Rule

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
            would_change=(f"One session of {PRESS_PIKE.id} brings it back.",),
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

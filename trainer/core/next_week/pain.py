"""Pain as a ceiling over the whole table of rules."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta

from trainer.core import words
from trainer.core.exercises import Family, rung_below
from trainer.core.model import Pain, Site
from trainer.core.next_week.case import Case, Outcome
from trainer.core.next_week.days import Day, last_running
from trainer.core.next_week.rules import free_rung_below, one_rung_down
from trainer.core.next_week.suggestion import Change, Rule
from trainer.core.safety import loads, pain_words

PAIN_DAYS = 7
"""Pain on any exercise that loads the site counts for so long (our choice); so long is
the rest after pain in two sessions running."""
CLINICIAN = "Pain in two sessions running is for a clinician to look at."
SEE_ONE = "Where it comes back or stays, see a clinician."


@dataclass(frozen=True, slots=True)
class PainFound:
    """The pain that holds an exercise down."""

    sentence: str
    on: date
    pair: tuple[Day, ...] = ()
    """The last two sessions, if both had pain."""


def pain_of(case: Case) -> PainFound | None:
    """Find pain in the last session, or within 7 days at a site that this one loads."""
    sessions = _days_with_any(case)
    last = sessions[-1] if sessions else None
    if last is not None and last.pain:
        pair = last_running(sessions, 2)
        both = pair if pair and all(day.pain for day in pair) else ()
        return PainFound(
            f"There was {_named(last.pain)} in the last session, on"
            f" {words.day(last.date)}.",
            last.date,
            both,
        )
    for session in reversed(case.history.sessions):
        days = (case.today - session.local_date).days
        if days > PAIN_DAYS:
            continue
        for hold in session.holds:
            loaded = [sign for sign in hold.pain if loads(case.exercise, sign)]
            if loaded:
                return PainFound(
                    f"There was {_named(tuple(loaded))} on"
                    f" {words.day(session.local_date)}, in {hold.exercise};"
                    f" {case.name} loads that too.",
                    session.local_date,
                )
    return None


def _days_with_any(case: Case) -> tuple[Day, ...]:
    """Give the days that were sessions: trained or hurt."""
    return tuple(day for day in case.days if day.holds or day.pain)


def _named(signs: tuple[Pain, ...]) -> str:
    return words.listed(list(dict.fromkeys(pain_words(sign) for sign in signs)))


def under_ceiling(case: Case, outcome: Outcome, found: PainFound) -> Outcome:
    """Give what the other rules said, but never above the target in force."""
    if found.pair:
        return _two_running(case, outcome, found)
    at = words.seconds(case.current_s)
    until = found.on + timedelta(days=PAIN_DAYS)
    also: tuple[str, ...] = ()
    if case.today <= until:
        also = (f"Until {words.day(until)} that pain keeps the target from rising.",)
    if not _raises(case, outcome):
        # Back for one session on an easier rung is no move: the rule has to say so.
        for_one_session = outcome.rule is Rule.AWAY and outcome.exercise
        return replace(
            outcome,
            rule=Rule.AWAY if for_one_session else Rule.PAIN,
            reasons=(
                found.sentence,
                f"With pain nothing rises above {at}. {SEE_ONE}",
                *outcome.reasons,
            ),
            would_change=(*outcome.would_change, *also),
            find_out_limit_s=None,
        )
    said = "the next rung" if outcome.change is Change.MOVE_ON else ""
    if not said and outcome.target_s is not None:
        said = words.seconds(outcome.target_s)
    return Outcome(
        rule=Rule.PAIN,
        target_s=case.current_s,
        sets=case.entry.sets,
        reasons=(
            found.sentence,
            f"With pain nothing rises: the target stays at {at}. {SEE_ONE}",
        ),
        would_change=(f"Without the pain it would have been {said}.", *also),
    )


def _raises(case: Case, outcome: Outcome) -> bool:
    if outcome.change is Change.MOVE_ON:
        return True
    return (
        not outcome.exercise
        and outcome.target_s is not None
        and outcome.target_s > case.current_s
    )


def _two_running(case: Case, outcome: Outcome, found: PainFound) -> Outcome:
    """Pain in both of the last two: one rung down, or rest and a clinician."""
    first, second = found.pair
    reasons = [
        f"There was pain in both of the last two sessions, {words.day(first.date)} and"
        f" {words.day(second.date)}: {_named((*first.pain, *second.pain))}.",
    ]
    wrist = case.exercise.family is Family.PRESS and any(
        sign.site is Site.WRIST for day in found.pair for sign in day.pain
    )
    below = None if wrist else free_rung_below(case)
    if below is not None:
        would = ("A session without pain would have kept the exercise.",)
        return one_rung_down(case, below, Rule.PAIN, [*reasons, CLINICIAN], would)
    if wrist:
        reasons.append("A wrist in a press is not eased by an easier press.")
    elif rung_below(case.exercise.id) is None:
        reasons.append("There is no easier rung to go to.")
    else:
        reasons.append("The easier rung is in the plan already.")
    days = (case.today - second.date).days
    if days <= PAIN_DAYS:
        return Outcome(
            rule=Rule.PAIN,
            target_s=None,
            sets=0,
            reasons=(*reasons, f"{PAIN_DAYS} days of rest. {CLINICIAN}"),
            would_change=("A session without pain would have kept the exercise.",),
        )
    lowered = under_ceiling(case, outcome, PainFound(reasons[0], second.date))
    return replace(
        lowered,
        reasons=(
            *lowered.reasons,
            f"The {PAIN_DAYS} days of rest are over. {CLINICIAN}",
            "Stop at the first sign.",
        ),
    )

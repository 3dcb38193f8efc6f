"""Pain as a ceiling over the whole table of rules."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date, timedelta

from trainer.core import words
from trainer.core.exercises import Family, rung_below
from trainer.core.model import Pain, PainKind, Site
from trainer.core.next_week.case import Case, Outcome
from trainer.core.next_week.days import Day, last_running
from trainer.core.next_week.otherwise import Otherwise, without_pain
from trainer.core.next_week.rules import free_rung_below, one_rung_down
from trainer.core.next_week.suggestion import Change, Rule
from trainer.core.safety import loads, pain_words

PAIN_DAYS = 7
"""Pain on any exercise that loads the site counts for so long (our choice); so long is
the rest after pain in two sessions running."""
CLINICIAN = "Pain in two sessions running is for a clinician to look at."
SEE_ONE = "Where it comes back or stays, see a clinician."
LOOKED_BACK_DAYS = 28
"""For so long the days with the same pain are counted (our choice)."""


@dataclass(frozen=True, slots=True)
class PainFound:
    """The pain that holds an exercise down."""

    sentence: str
    signs: tuple[Pain, ...]
    """Those that the sentence names."""
    own: bool
    """It was in the exercise's last session: only one without pain ends that."""
    until: date | None
    """The last day on which pain at a site that the exercise loads still counts."""
    pair: tuple[Day, ...] = ()
    """The last two sessions, if both had pain."""


def pain_of(case: Case) -> PainFound | None:
    """Find pain in the last session, or within 7 days at a site that this one loads."""
    sessions = _days_with_any(case)
    last = sessions[-1] if sessions else None
    until = _counts_until(case)
    if last is not None and last.pain:
        pair = last_running(sessions, 2)
        both = pair if pair and all(day.pain for day in pair) else ()
        return PainFound(
            f"There was {_named(last.pain)} in the last session of {case.name}, on"
            f" {words.day(last.date)}.",
            signs=last.pain,
            own=True,
            until=until,
            pair=both,
        )
    if until is None:
        return None
    sentence, signs = _elsewhere(case, until)
    return PainFound(sentence, signs, own=False, until=until)


def _counts_until(case: Case) -> date | None:
    """Give the last day for which pain of these 7 days counts; None: there is none."""
    found = [
        session.local_date
        for session in case.history.sessions
        if (case.today - session.local_date).days <= PAIN_DAYS
        and any(
            loads(case.exercise, sign) for hold in session.holds for sign in hold.pain
        )
    ]
    return max(found) + timedelta(days=PAIN_DAYS) if found else None


def _elsewhere(case: Case, until: date) -> tuple[str, tuple[Pain, ...]]:
    """Say which pain of these days counts here: the latest at a site that is loaded."""
    on = until - timedelta(days=PAIN_DAYS)
    for session in reversed(case.history.sessions):
        if session.local_date != on:
            continue
        for hold in session.holds:
            loaded = tuple(s for s in hold.pain if loads(case.exercise, s))
            if loaded:
                there = (
                    f"There was {_named(loaded)} on {words.day(on)}, in"
                    f" {case.name_of(hold.exercise)}"
                )
                if hold.exercise == case.exercise.id:
                    says = f"{there}, not more than {PAIN_DAYS} days ago."
                elif any(sign.site is None for sign in loaded):
                    says = f"{there}; where isn't noted, so it may be loaded here too."
                else:
                    says = f"{there}; {case.name} loads that too."
                return says, loaded
    raise AssertionError("pain that counts is in the log")


def _days_with_any(case: Case) -> tuple[Day, ...]:
    """Give the days that were sessions: trained or hurt."""
    return tuple(day for day in case.days if day.holds or day.pain)


def _named(signs: tuple[Pain, ...]) -> str:
    return words.listed(list(dict.fromkeys(pain_words(sign) for sign in signs)))


def _see_one(case: Case, found: PainFound) -> str:
    """Say when it is for a clinician: where it comes back, or because it has."""
    since = case.today - timedelta(days=LOOKED_BACK_DAYS - 1)
    same = {(sign.kind, sign.site, sign.side) for sign in found.signs}
    days = {
        session.local_date
        for session in case.history.sessions
        if since <= session.local_date <= case.today
        for hold in session.holds
        if any((sign.kind, sign.site, sign.side) in same for sign in hold.pain)
    }
    if len(days) < 2:
        return SEE_ONE
    return (
        f"It has come back: {len(days)} days with it since {words.day(min(days))}."
        " See a clinician."
    )


def under_ceiling(case: Case, outcome: Outcome, found: PainFound) -> Outcome:
    """Give what the other rules said, but never above the target in force."""
    if found.pair:
        return _two_running(case, outcome, found)
    at = words.seconds(case.current_s)
    if not _raises(case, outcome):
        # Back for one session on an easier rung is no move: the rule has to say so.
        for_one_session = outcome.rule is Rule.AWAY and outcome.exercise
        return replace(
            outcome,
            rule=Rule.AWAY if for_one_session else Rule.PAIN,
            reasons=(
                found.sentence,
                f"As long as that counts no target rises. {_see_one(case, found)}",
                *outcome.reasons,
            ),
            would_change=_without(case, found),
            find_out_limit_s=None,
            ways_on=(),
        )
    return Outcome(
        rule=Rule.PAIN,
        target_s=case.current_s,
        sets=case.entry.sets,
        reasons=(
            found.sentence,
            f"As long as that counts no target rises: it stays at {at}."
            f" {_see_one(case, found)}",
        ),
        would_change=_without(case, found),
    )


def _without(case: Case, found: PainFound) -> tuple[str | Otherwise, ...]:
    """Say what it would be without pain, and what ends it."""
    until = found.until
    free = None if until is None else until + timedelta(days=1)
    if found.own:
        ends = f"One session of {case.name} without pain would end that"
        if free is not None and free > case.today + timedelta(days=1):
            ends += f", from {words.day(free)} on"
    elif until is not None:
        ends = f"If it doesn't come back, that pain counts until {words.day(until)}"
    return (
        Otherwise(
            begins="Without any pain in the log",
            copies=(case.copy(history=without_pain(case.history)),),
        ),
        f"{ends}.",
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
        f"There was pain in both of the last two sessions of {case.name},"
        f" {words.day(first.date)} and {words.day(second.date)}:"
        f" {_named((*first.pain, *second.pain))}.",
    ]
    would = (
        Otherwise(
            begins=f"Without the pain on {words.day(second.date)}",
            copies=(
                case.copy(
                    history=without_pain(case.history, case.exercise.id, second.date)
                ),
            ),
        ),
    )
    numb = _in_both(found.pair, lambda sign: sign.kind is PainKind.NUMB)
    wrist = case.exercise.family is Family.PRESS and any(
        sign.site is Site.WRIST for day in found.pair for sign in day.pain
    )
    below = None if wrist or numb else free_rung_below(case)
    if below is not None:
        return one_rung_down(case, below, Rule.PAIN, [*reasons, CLINICIAN], would)
    if numb:
        reasons.append("Numbness twice running asks for a rest on any rung.")
    elif wrist:
        reasons.append("A wrist in a press is not eased by an easier press.")
    elif rung_below(case.exercise.id) is None:
        reasons.append("There is no easier rung to go to.")
    else:
        reasons.append("The easier rung is planned already.")
    days = (case.today - second.date).days
    if days <= PAIN_DAYS:
        return Outcome(
            rule=Rule.PAIN,
            target_s=None,
            sets=0,
            reasons=(*reasons, f"{PAIN_DAYS} days of rest. {CLINICIAN}"),
            would_change=would,
        )
    lowered = under_ceiling(case, outcome, replace(found, pair=()))
    return replace(
        lowered,
        reasons=(
            reasons[0],
            *lowered.reasons[1:],
            f"The {PAIN_DAYS} days of rest are over. {CLINICIAN}",
            "Stop at the first sign.",
        ),
    )


def _in_both(pair: tuple[Day, ...], is_of: Callable[[Pain], bool]) -> bool:
    return all(any(is_of(sign) for sign in day.pain) for day in pair)

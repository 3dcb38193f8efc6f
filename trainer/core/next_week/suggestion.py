"""What the next-week module answers."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timezone
from enum import StrEnum
from typing import Any

from trainer.core import words
from trainer.core.model import Author, ShownSuggestion, TargetSet
from trainer.core.weeks import IsoWeek


class Change(StrEnum):
    """What happens to the target."""

    START = "start"
    UP = "up"
    SAME = "same"
    DOWN = "down"
    MOVE_ON = "move-on"
    REST = "rest"


class Rule(StrEnum):
    """The rule that decided, in the order in which they are tried."""

    REST_WEEK = "rest-week"
    HEAD_UP = "head-up"
    START = "start"
    PAIN = "pain"
    AWAY = "away"
    TOO_MUCH = "too-much"
    HARD = "hard"
    MOVE_ON = "move-on"
    AT_CAP = "at-cap"
    STEP = "step"
    PLATEAU = "plateau"
    REPEAT = "repeat"


@dataclass(frozen=True, slots=True, kw_only=True)
class Suggestion:
    """One exercise's target for one week, and why."""

    exercise: str
    week: IsoWeek
    change: Change
    rule: Rule
    target_s: float | None
    """None on ``rest``."""
    current_s: float
    """The target in force: before the first session the plan's start. On another rung,
    that of the exercise left."""
    sets: int
    """0 on ``rest``."""
    rest_s: float
    reasons: tuple[str, ...]
    would_change: tuple[str, ...]
    chance: float | None = None
    """0 to 1 that all sets of one session are made; None where unknown."""
    cautions: tuple[str, ...] = ()
    open_pain: tuple[str, ...] = ()
    """What Start asks about open pain that no reason names; a screen that says beside
    it which pain is open leaves this out."""
    from_exercise: str = ""
    """The exercise left, on ``move-on`` and on a step down the ladder."""
    first_set_only: bool = False
    """The target holds for the first set; the old rung fills the others. On the
    ``move-on`` itself ``sets`` is the whole session's; once it was taken, this
    exercise has one set and the old rung has a suggestion of its own for the others."""
    find_out_limit_s: float | None = None
    """The last set is a ``stay`` that ends here, to find out what is possible."""
    likely_rpe: float | None = None
    rating: str = ""
    """How the person rates, where that is known: a sentence."""
    lighter_sets: int | None = None
    """Sets of a lighter week, where one is on offer; the target stays."""


def whole(value: float) -> float | int:
    """Give VALUE as an int where that is all of it, else to the tenth."""
    rounded = round(value, 1)
    return int(rounded) if rounded == int(rounded) else rounded


def suggestion_as_dict(suggestion: Suggestion) -> dict[str, Any]:
    """Give the JSON form: the fixed keys, and the others only where they are set."""
    target_s = suggestion.target_s
    chance = suggestion.chance
    out: dict[str, Any] = {
        "exercise": suggestion.exercise,
        "week": str(suggestion.week),
        "change": str(suggestion.change),
        "rule": str(suggestion.rule),
        "target_s": None if target_s is None else whole(target_s),
        "current_s": whole(suggestion.current_s),
        "sets": suggestion.sets,
        "rest_s": whole(suggestion.rest_s),
        "reasons": list(suggestion.reasons),
        "would_change": list(suggestion.would_change),
        "chance": None if chance is None else round(words.bounded_chance(chance), 2),
        "cautions": [*suggestion.open_pain, *suggestion.cautions],
    }
    if suggestion.from_exercise:
        out["from"] = suggestion.from_exercise
    if suggestion.first_set_only:
        out["first_set_only"] = True
    if suggestion.likely_rpe is not None:
        out["likely_rpe"] = whole(suggestion.likely_rpe)
    if suggestion.rating:
        out["rating"] = suggestion.rating
    if suggestion.find_out_limit_s is not None:
        out["find_out_limit_s"] = whole(suggestion.find_out_limit_s)
    if suggestion.lighter_sets is not None:
        out["lighter_sets"] = suggestion.lighter_sets
    return out


def as_shown(one: Suggestion, *, uid: str, shown_at: datetime) -> ShownSuggestion:
    """Give a suggestion as the person was shown it, to be scored later."""
    return ShownSuggestion(
        uid=uid,
        exercise=one.exercise,
        week=one.week,
        shown_at=shown_at.astimezone(timezone.utc),
        target_s=one.target_s,
        sets=one.sets,
        rule=one.rule.value,
        change=one.change.value,
        chance=one.chance,
    )


def taken(
    suggestion: Suggestion, *, uid: str, set_at: datetime, local_date: date
) -> TargetSet:
    """Give the record of a suggestion that was taken.

    Raises:
        ValueError: it is a ``rest``: there is no target to take.
    """
    if suggestion.target_s is None:
        raise ValueError(f"{suggestion.exercise} rests that week: nothing to take")
    return TargetSet(
        uid=uid,
        exercise=suggestion.exercise,
        target_s=suggestion.target_s,
        author=Author.SUGGESTION,
        set_at=set_at,
        local_date=local_date,
        week=suggestion.week,
        sets=suggestion.sets,
        rule=str(suggestion.rule),
        from_exercise=suggestion.from_exercise,
    )

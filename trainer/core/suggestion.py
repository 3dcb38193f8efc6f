"""What the next-week module answers."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

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
    current_s: float | None
    """The target in force; None before the first session."""
    sets: int
    """0 on ``rest``."""
    rest_s: float
    reasons: tuple[str, ...]
    would_change: tuple[str, ...]
    chance: float | None = None
    """0 to 1 that all sets of one session are made; None where unknown."""
    cautions: tuple[str, ...] = ()
    from_exercise: str = ""
    """The exercise left, on ``move-on`` and on a step down the ladder."""
    first_set_only: bool = False
    """The target holds for the first set; the old rung fills the others."""
    find_out_limit_s: float | None = None
    """The last set is a ``stay`` that ends here, to find out what is possible."""
    likely_rpe: float | None = None

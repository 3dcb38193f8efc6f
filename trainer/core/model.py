"""What the log knows: sessions, holds and what was said of them.

Frozen values with their units in the names. Everything that a person may leave
unanswered is None or empty, never a default that looks like an answer.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime
from enum import StrEnum
from typing import Self

from trainer.core.weeks import IsoWeek

LONGEST_HOLD_S = 300.0
"""Targets, caps and held seconds above this are refused (our choice)."""
RPE_WORDING = 2
"""The wording of the RPE scale that is asked with now: breaths left. 1 is the earlier
one: 7 was "two breaths" and 5 "as long again"; ratings given under it keep it."""
CLEAN_SLACK_S = 0.5
"""A hold this little under its target still made it (our choice)."""


class Site(StrEnum):
    """Where a stretch was felt, or where it hurt: a place a line.

    Each has its name in the log and in files, what people call it, and the letter that
    stands for it on the drawing and picks it there.
    """

    words: str
    letter: str

    def __new__(cls, value: str, words: str = "", letter: str = "") -> Self:
        """Make a member of its row."""
        site = str.__new__(cls, value)
        site._value_ = value
        site.words = words
        site.letter = letter
        return site

    PECS = "pecs", "pecs", "c"
    ARMPIT = "armpit", "armpit", "a"
    LATS = "lats", "lats", "t"
    RIBS = "ribs", "ribs", "i"
    TRICEPS = "triceps", "triceps", "x"
    FRONT_SHOULDER = "front-shoulder", "front of the shoulder", "f"
    TOP_SHOULDER = "top-shoulder", "top of the shoulder", "o"
    BETWEEN_BLADES = "between-blades", "between the blades", "v"
    FOREARM = "forearm", "forearm", "m"
    WRIST = "wrist", "wrist", "w"
    NECK = "neck", "neck", "k"
    LOW_BACK = "low-back", "low back", "y"
    ELBOW = "elbow", "elbow", "e"
    HAND = "hand", "hand", "h"


PAIN_ONLY_SITES = frozenset({Site.ELBOW, Site.HAND})
"""Sites that can hurt but where no stretch is looked for."""
FELT_SITES = tuple(site for site in Site if site not in PAIN_ONLY_SITES)
PAIN_SITES = tuple(Site)


class Side(StrEnum):
    """Which side of the body."""

    LEFT = "left"
    RIGHT = "right"
    BOTH = "both"


class Moment(StrEnum):
    """When a stretch was felt: all the time, or with the long exhale."""

    SETTLED = "settled"
    EXHALE = "exhale"


class PainKind(StrEnum):
    """What was felt that is never a stretch."""

    PAIN = "pain"
    NUMB = "numb"
    DIZZY = "dizzy"


class StoppedBy(StrEnum):
    """Why a hold ended early: a reason a line.

    Each has its name in the log and in files, the letter that gives it in a session,
    and a sentence for the help.
    """

    letter: str
    sentence: str

    def __new__(cls, value: str, letter: str = "", sentence: str = "") -> Self:
        """Make a member of its row."""
        reason = str.__new__(cls, value)
        reason._value_ = value
        reason.letter = letter
        reason.sentence = sentence
        return reason

    GRIP = "grip", "g", "The grip ended the hold."
    SHOULDER = "shoulder", "s", "A shoulder ended the hold."
    POSITION = "position", "i", "The position was lost."
    BREATH = "breath", "b", "The breath ended the hold."
    NERVE = "nerve", "v", "Nerve ended the hold."
    OTHER = "other", "o", "Something else ended the hold."


class EndedBy(StrEnum):
    """How the hold came to its end in the log."""

    TARGET = "target"
    KEY = "key"
    LIMIT = "limit"
    INTERRUPTED = "interrupted"
    CRASH = "crash"
    ADDED = "added"


class EndOfHold(StrEnum):
    """What happens at the target: the hold ends, or counts on."""

    STOP = "stop"
    STAY = "stay"


class Feet(StrEnum):
    """How much of the weight the feet took in a supported hang."""

    HALF = "half"
    LITTLE = "little"
    TOES = "toes"


class SessionKind(StrEnum):
    """What a session was for."""

    PLAN = "plan"
    ONE_OFF = "one-off"
    TEST = "test"
    ADDED = "added"


class Author(StrEnum):
    """Who set a target."""

    PERSON = "person"
    COACH = "coach"
    SUGGESTION = "suggestion"
    TEST = "test"


_CUT_OFF = (EndedBy.INTERRUPTED, EndedBy.CRASH)


@dataclass(frozen=True, slots=True)
class Felt:
    """One place where the stretch was felt."""

    site: Site
    side: Side | None = None
    moment: Moment | None = None
    strength: float | None = None
    """0 to 10."""

    def __post_init__(self) -> None:
        if self.site in PAIN_ONLY_SITES:
            raise ValueError(f"{self.site} is a site for pain, not for a stretch")
        if self.strength is not None and not 0 <= self.strength <= 10:
            raise ValueError(f"a strength of {self.strength:g}: 0 to 10, please")


@dataclass(frozen=True, slots=True)
class Pain:
    """One warning sign: never a stretch. Open until the person says that it is gone."""

    kind: PainKind
    site: Site | None = None
    side: Side | None = None
    gone_on: date | None = None
    """The local date on which the person said that it is gone; None: open."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Hold:
    """One hold as it was, and what was said of it."""

    uid: str
    exercise: str
    set_number: int
    """1 for the first set of its exercise in the session."""
    held_s: float
    ended_by: EndedBy
    started_at: datetime
    """UTC."""
    target_s: float | None = None
    kept_s: float | None = None
    """None: nobody said; counts as held."""
    lost_on_breath: int | None = None
    """The breath on which the position was lost, if that is how kept was given."""
    key_s: float | None = None
    """When the key came, in seconds from the start of the hold."""
    allowance_s: float | None = None
    """The come-down allowance taken off ``key_s`` to get ``held_s``."""
    stopped_by: StoppedBy | None = None
    confirmed: bool = False
    rpe: float | None = None
    """0 to 10 in halves."""
    rpe_wording: int = RPE_WORDING
    """Under which wording of the scale the RPE was given; see ``RPE_WORDING``."""
    pain: tuple[Pain, ...] = ()
    pain_overridden: bool = False
    """The person went on after this pain had struck sets."""
    felt: tuple[Felt, ...] = ()
    feet: Feet | None = None
    note: str = ""

    def __post_init__(self) -> None:
        if not 0 <= self.held_s <= 2 * LONGEST_HOLD_S:
            raise ValueError(f"{self.held_s:g} s held is out of bounds")
        if self.kept_s is not None and not 0 <= self.kept_s <= self.held_s:
            raise ValueError(f"kept {self.kept_s:g} s of {self.held_s:g} s held")
        if self.rpe is not None and not valid_rpe(self.rpe):
            raise ValueError(f"RPE {self.rpe:g}: 0 to 10, halves allowed")

    @property
    def kept_or_held_s(self) -> float:
        """Seconds kept; nobody said so: seconds held."""
        return self.held_s if self.kept_s is None else self.kept_s

    @property
    def counts(self) -> bool:
        """Whether the hold is evidence at all: not interrupted, not an odd end."""
        return self.ended_by not in _CUT_OFF and self.stopped_by is not StoppedBy.OTHER

    @property
    def hurt(self) -> bool:
        """Whether a warning sign was noted."""
        return bool(self.pain)


def valid_rpe(rpe: float) -> bool:
    """Tell whether RPE is one of 0, 0.5 … 10."""
    return 0 <= rpe <= 10 and float(rpe * 2).is_integer()


@dataclass(frozen=True, slots=True)
class PlannedSet:
    """What was planned for one set, as a session keeps it."""

    exercise: str
    set_number: int
    target_s: float
    rest_s: float


@dataclass(frozen=True, slots=True)
class Override:
    """Something that the gate held back or asked about, and the person did anyway."""

    exercise: str
    reason: str
    """One of ``safety.Reason``; a word that a later version knows is kept as it is."""
    says: str
    """The reason in a sentence, as the person read it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Session:
    """One visit: what was planned, what was done."""

    uid: str
    kind: SessionKind
    started_at: datetime
    """UTC."""
    utc_offset_min: int
    """The local offset when it began."""
    local_date: date
    """The local date on which it began; all its holds belong to that day."""
    zone: str = ""
    """The zone's name where it was known."""
    ended_at: datetime | None = None
    planned: tuple[PlannedSet, ...] = ()
    holds: tuple[Hold, ...] = ()
    note: str = ""
    overrides: tuple[Override, ...] = ()
    """What the person went on with although the gate had said why not."""

    @property
    def hurt(self) -> bool:
        """Whether a warning sign was noted on any hold."""
        return any(hold.hurt for hold in self.holds)


@dataclass(frozen=True, slots=True, kw_only=True)
class TargetSet:
    """A target that somebody set, or that came with a suggestion taken."""

    uid: str
    exercise: str
    target_s: float
    author: Author
    set_at: datetime
    """UTC; the latest one is in force."""
    local_date: date
    week: IsoWeek | None = None
    """The week that it is for, if it came with a suggestion."""
    sets: int | None = None
    """Sets that came with it, where they differ from the plan's."""
    rule: str = ""
    """The rule that suggested it."""
    from_exercise: str = ""
    """The exercise left, on a move along the ladder."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ShownSuggestion:
    """A suggestion as it was shown, kept so that its forecast can be scored."""

    uid: str
    exercise: str
    week: IsoWeek
    shown_at: datetime
    target_s: float | None
    sets: int
    rule: str
    change: str
    chance: float | None


@dataclass(frozen=True, slots=True)
class History:
    """All that the pure functions look at. Sessions in order of ``started_at``."""

    sessions: tuple[Session, ...] = ()
    targets: tuple[TargetSet, ...] = ()
    """In order of ``set_at``."""
    rest_weeks: frozenset[IsoWeek] = frozenset()
    shown: tuple[ShownSuggestion, ...] = field(default=())

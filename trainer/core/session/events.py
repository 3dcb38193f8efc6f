"""What can happen to a session, and what it then asks of the shells.

Events and effects are frozen values without a clock: an event comes with its time,
an effect carries the time at which it was due.
"""

from __future__ import annotations

from dataclasses import dataclass

from trainer.core.model import Feet, Felt, Pain, StoppedBy
from trainer.core.session.state import HoldDraft, Phase, SessionEnd


class Event:
    """Something that happened to a session."""

    __slots__ = ()


@dataclass(frozen=True, slots=True)
class Start(Event):
    """The one key that starts a session."""


@dataclass(frozen=True, slots=True)
class Tick(Event):
    """Time has passed."""


@dataclass(frozen=True, slots=True)
class AnyKey(Event):
    """A key that isn't bound: not yet, come-down, or I was down earlier."""


@dataclass(frozen=True, slots=True)
class FalseStart(Event):
    """The hold that has just begun counts for nothing."""


@dataclass(frozen=True, slots=True)
class DidNotHappen(Event):
    """Take the last hold out; nobody there: all that nobody confirmed."""


@dataclass(frozen=True, slots=True)
class TakeBack(Event):
    """Undo the last step that can be undone."""


@dataclass(frozen=True, slots=True)
class Skip(Event):
    """Leave out what is under way: this movement, this set, this rest."""


@dataclass(frozen=True, slots=True)
class SkipWarmUp(Event):
    """Leave out what is left of the warm-up."""


@dataclass(frozen=True, slots=True)
class Ready(Event):
    """In place before the time: go to the go-up cue."""


@dataclass(frozen=True, slots=True)
class EndSession(Event):
    """End the session here; what was done is kept."""


@dataclass(frozen=True, slots=True)
class PauseSession(Event):
    """Stand still."""


@dataclass(frozen=True, slots=True)
class Resume(Event):
    """Go on."""


@dataclass(frozen=True, slots=True)
class Gap(Event):
    """Nobody watched the time since SINCE_S."""

    since_s: float


@dataclass(frozen=True, slots=True)
class Resolve(Event):
    """What an interrupted hold was: its seconds, or None if it didn't happen."""

    held_s: float | None
    asked: bool = True
    """False where nobody is there to be asked: then nobody confirmed it either."""


@dataclass(frozen=True, slots=True)
class OverridePain(Event):
    """Go on in spite of a warning sign; it is recorded."""


@dataclass(frozen=True, slots=True)
class Answer(Event):
    """Something said of a hold. SERIAL None is the last one."""

    serial: int | None = None


@dataclass(frozen=True, slots=True)
class AnswerRpe(Answer):
    """How hard it was; None takes the answer away."""

    rpe: float | None = None


@dataclass(frozen=True, slots=True)
class AnswerKept(Answer):
    """All kept, lost on a breath, or the seconds kept."""

    all_kept: bool = False
    lost_on_breath: int | None = None
    kept_s: float | None = None


@dataclass(frozen=True, slots=True)
class AnswerHeld(Answer):
    """The seconds really held."""

    held_s: float = 0.0


@dataclass(frozen=True, slots=True)
class AnswerStoppedBy(Answer):
    """Why the hold ended early."""

    why: StoppedBy | None = None


@dataclass(frozen=True, slots=True)
class AnswerFelt(Answer):
    """All places where the stretch was felt."""

    felt: tuple[Felt, ...] = ()


@dataclass(frozen=True, slots=True)
class AnswerFeet(Answer):
    """How much of the weight the feet took."""

    feet: Feet | None = None


@dataclass(frozen=True, slots=True)
class AnswerNote(Answer):
    """A note in the person's own words."""

    note: str = ""


@dataclass(frozen=True, slots=True)
class AnswerPain(Answer):
    """A warning sign: strikes sets."""

    pain: Pain | None = None


class Effect:
    """Something for the shells to do."""

    __slots__ = ()


@dataclass(frozen=True, slots=True)
class Entered(Effect):
    """A phase began."""

    phase: Phase
    at_s: float
    index: int


@dataclass(frozen=True, slots=True)
class RecordHold(Effect):
    """Write a hold down: it has just ended, or something was said of it."""

    draft: HoldDraft


@dataclass(frozen=True, slots=True)
class TakeOutHold(Effect):
    """A hold counts for nothing after all."""

    serial: int


@dataclass(frozen=True, slots=True)
class Journal(Effect):
    """Note how far the hold under way has come."""

    draft: HoldDraft


@dataclass(frozen=True, slots=True)
class DropJournal(Effect):
    """The hold under way was none."""


@dataclass(frozen=True, slots=True)
class Said(Effect):
    """A sentence for the person."""

    text: str


@dataclass(frozen=True, slots=True)
class Finished(Effect):
    """The session is over."""

    at_s: float
    end: SessionEnd


class IllegalEventError(Exception):
    """An event that this state doesn't take. The state is unchanged."""

"""The session's state: where it is, what was held, what was said of it.

Plain data with its own small questions. What an event does to it is in
``machine.py``; so is which event is allowed where.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from trainer.core.model import EndedBy, Feet, Felt, Pain, StoppedBy
from trainer.core.session.program import ProgramSet, SessionProgram

NOT_YET_S = 30.0
"""What a key in set-up adds (our choice)."""
HEARD_AFTER_S = 0.2
"""How long after its key a sound comes that answers it (our choice: the player needs
a little more than a tenth of a second)."""
FALSE_START_S = 5.0
"""How long after its start a hold can still be called a false start (our choice)."""
ENTER_IS_HABIT_S = 1.0
"""Enter this soon after a hold that ended by itself is pressed out of habit and means
nothing (our choice)."""
NOBODY_HOLDS = 3
"""This many unconfirmed holds running pause the session (our choice)."""


class Phase(StrEnum):
    """Where a session is."""

    READY = "ready"
    WARM_UP = "warm-up"
    SET_UP = "set-up"
    HOLD = "hold"
    COME_OUT = "come-out"
    LOG_AND_REST = "log-and-rest"
    PAUSED = "paused"
    INTERRUPTED = "interrupted"
    DONE = "done"


class PauseReason(StrEnum):
    """Why a session stands still."""

    ASKED = "asked"
    GAP = "gap"
    NOBODY = "nobody"


class SessionEnd(StrEnum):
    """How a session came to its end."""

    COMPLETE = "complete"
    EARLY = "early"
    PAIN = "pain"
    DIZZY = "dizzy"


@dataclass(frozen=True, slots=True, kw_only=True)
class HoldDraft:
    """A hold of the running session, with what has been said of it so far."""

    serial: int
    """1 for the session's first hold; never used twice."""
    index: int
    """Which set of the program."""
    exercise: str
    set_number: int
    target_s: float
    began_at_s: float
    """On the session's clock."""
    held_s: float
    ended_by: EndedBy
    kept_s: float | None = None
    all_kept: bool = False
    """Kept was answered as *all*: it goes with held."""
    lost_on_breath: int | None = None
    key_s: float | None = None
    allowance_s: float | None = None
    stopped_by: StoppedBy | None = None
    confirmed: bool = False
    rpe: float | None = None
    pain: tuple[Pain, ...] = ()
    pain_overridden: bool = False
    felt: tuple[Felt, ...] = ()
    feet: Feet | None = None
    note: str = ""
    taken_out: bool = False


@dataclass(frozen=True, slots=True)
class Pause:
    """What was going on when the session was paused."""

    phase: Phase
    since_s: float
    gone_s: float
    """How much of the phase had gone by."""
    left_s: float
    reason: PauseReason


class UndoKind(StrEnum):
    """What the undo key would take back."""

    FALSE_START = "false start"
    COME_DOWN = "come-down"
    NOT_YET = "not yet"
    LOG = "last answer"
    TAKEN_OUT = "didn't happen"


@dataclass(frozen=True, slots=True)
class Undo:
    """One step that can be taken back."""

    kind: UndoKind
    drafts: tuple[HoldDraft, ...]
    """The drafts as they were (false start: as the come-down that it would be)."""
    struck: frozenset[int] = frozenset()


@dataclass(frozen=True, slots=True, kw_only=True)
class SessionState:
    """One moment of a session. Times are on the session's monotonic clock."""

    program: SessionProgram
    phase: Phase = Phase.READY
    index: int = 0
    """The set under way or, in a rest, the one just done."""
    move: int = 0
    """The warm-up's movement under way."""
    began_at_s: float = 0.0
    """When this phase began."""
    ends_at_s: float | None = None
    """When it ends by itself; None where it doesn't."""
    setup_began_at_s: float = 0.0
    not_yets: int = 0
    """How often this set-up was given more time."""
    not_yet_at_s: float | None = None
    """When that was last, to be heard; None where it was taken back."""
    hold_began_at_s: float | None = None
    hold_ended_at_s: float | None = None
    journaled_s: int = 0
    """Whole seconds of the hold under way that are in the journal."""
    holds: tuple[HoldDraft, ...] = ()
    next_serial: int = 1
    struck: frozenset[int] = frozenset()
    """Sets that pain took out."""
    skipped: frozenset[int] = frozenset()
    pause: Pause | None = None
    undo: Undo | None = None
    end: SessionEnd | None = None
    seen_serial: int = 0
    """The last hold up to which somebody is known to have been there."""

    @property
    def set(self) -> ProgramSet:
        """The set under way or just done."""
        return self.program.sets[self.index]

    @property
    def kept_holds(self) -> tuple[HoldDraft, ...]:
        """The holds that weren't taken out."""
        return tuple(draft for draft in self.holds if not draft.taken_out)

    @property
    def last_hold(self) -> HoldDraft | None:
        """The latest hold that wasn't taken out."""
        return next(iter(reversed(self.kept_holds)), None)

    @property
    def unconfirmed_running(self) -> tuple[HoldDraft, ...]:
        """The latest holds, running, of which nobody said anything."""
        running: list[HoldDraft] = []
        for draft in reversed(self.kept_holds):
            if draft.confirmed or draft.serial <= self.seen_serial:
                break
            running.append(draft)
        return tuple(running)

    def draft(self, serial: int) -> HoldDraft:
        """Look a hold up by its serial number.

        Raises:
            KeyError: there is none.
        """
        for draft in self.holds:
            if draft.serial == serial:
                return draft
        raise KeyError(serial)

    def remaining_s(self, now_s: float) -> float:
        """Seconds until this phase ends by itself, 0 where it doesn't."""
        return 0.0 if self.ends_at_s is None else max(0.0, self.ends_at_s - now_s)

    def held_so_far_s(self, now_s: float) -> float:
        """Seconds of the hold under way, 0 outside one."""
        if self.phase is not Phase.HOLD or self.hold_began_at_s is None:
            return 0.0
        return max(0.0, now_s - self.hold_began_at_s)

    @property
    def open_hold(self) -> HoldDraft | None:
        """The hold that the log is about: that of the set just done, if it counts."""
        draft = self.last_hold
        phase = self.phase if self.pause is None else self.pause.phase
        logging = phase in (Phase.COME_OUT, Phase.LOG_AND_REST, Phase.DONE)
        return draft if draft and logging and draft.index == self.index else None

    @property
    def to_come(self) -> tuple[int, ...]:
        """The sets that are neither done nor skipped nor struck, this one left out.

        A set that pain struck and that was put back in comes although later ones are
        done.
        """
        done = {
            draft.index
            for draft in self.holds
            if not draft.taken_out or draft.index != self.index
        }
        out = done | self.skipped | self.struck | {self.index}
        return tuple(i for i in range(len(self.program.sets)) if i not in out)

    def next_index(self) -> int | None:
        """Which set comes next, or None."""
        return self.to_come[0] if self.to_come else None

    def closes_exercise(self, draft: HoldDraft) -> bool:
        """Tell whether no set of the hold's exercise is still to come."""
        return not any(
            self.program.sets[index].exercise.id == draft.exercise
            for index in self.to_come
        )

    # What a key may do just now: asked by the machine and by every front end.

    def can_take_back(self, now_s: float) -> bool:
        """Tell whether there is a step that can be undone at NOW_S.

        A come-down only while the person comes out, and while the hold's time lasts;
        a false start only in the set-up that it led back to, *not yet* only in its own.
        """
        if self.undo is None or self.phase is Phase.HOLD:
            return False
        match self.undo.kind:
            case UndoKind.COME_DOWN:
                began_at_s = self.hold_began_at_s
                return (
                    self.phase is Phase.COME_OUT
                    and began_at_s is not None
                    and now_s < began_at_s + self.set.longest_s
                )
            case UndoKind.FALSE_START | UndoKind.NOT_YET:
                return self.phase is Phase.SET_UP
        return True

    def can_say_down_earlier(self, now_s: float) -> bool:
        """Tell whether a key at NOW_S still means that the hold ended before it seemed.

        Only for a hold that ended by itself, for as long as coming down takes.
        """
        draft = self.last_hold
        return (
            draft is not None
            and draft.index == self.index
            and draft.ended_by in (EndedBy.TARGET, EndedBy.LIMIT)
            and self.hold_ended_at_s is not None
            and now_s - self.hold_ended_at_s <= self.set.exercise.allowance_s
        )

    def enter_is_habit(self, now_s: float) -> bool:
        """Tell whether enter comes too soon after a hold that ended by itself.

        Any other key means *I was down earlier* from the first instant on.
        """
        ended_at_s = self.hold_ended_at_s
        return (
            self.can_say_down_earlier(now_s)
            and ended_at_s is not None
            and now_s - ended_at_s < ENTER_IS_HABIT_S
        )

    def can_be_false_start(self, now_s: float) -> bool:
        """Tell whether the hold under way can still be called a false start."""
        return self.phase is Phase.HOLD and self.held_so_far_s(now_s) < FALSE_START_S

    @property
    def can_override_pain(self) -> bool:
        """Whether pain left something out that can be put back."""
        left_out = bool(self.struck) or self.end in (SessionEnd.PAIN, SessionEnd.DIZZY)
        return left_out and self.phase not in (Phase.HOLD, Phase.INTERRUPTED)

    @property
    def holds_to_take_out(self) -> tuple[HoldDraft, ...]:
        """The holds that *didn't happen* is about.

        The one that the log is about; where nobody was there, all that nobody
        confirmed.
        """
        if self.pause is not None and self.pause.reason is PauseReason.NOBODY:
            return self.unconfirmed_running
        return () if self.open_hold is None else (self.open_hold,)

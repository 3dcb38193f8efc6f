"""The single moves of the session machine: each gives a new ``Step``.

A ``Step`` is a state and the effects gathered on the way to it. ``session.py`` decides
which move an event or a deadline makes; this file says what a move is.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from trainer.core.model import EndedBy
from trainer.core.session_events import (
    DropJournal,
    Effect,
    Entered,
    Finished,
    IllegalEventError,
    Journal,
    RecordHold,
    Said,
    TakeOutHold,
)
from trainer.core.session_log import to_tenth_s, with_held
from trainer.core.session_state import (
    NOBODY_HOLDS,
    HoldDraft,
    Pause,
    PauseReason,
    Phase,
    SessionEnd,
    SessionState,
    Undo,
    UndoKind,
)

_BY_PAIN = frozenset({SessionEnd.PAIN, SessionEnd.DIZZY})


@dataclass(frozen=True, slots=True)
class Step:
    """A state, and what the shells are to do because of how it came about."""

    state: SessionState
    effects: tuple[Effect, ...] = ()

    def result(self) -> tuple[SessionState, tuple[Effect, ...]]:
        """Give both parts."""
        return self.state, self.effects

    def change(self, state: SessionState) -> Step:
        """Give the step with another state."""
        return replace(self, state=state)

    def emit(self, *effects: Effect) -> Step:
        """Give the step with more effects."""
        return replace(self, effects=(*self.effects, *effects))

    # -- phases ---------------------------------------------------------------------

    def enter(self, phase: Phase, at_s: float, ends_at_s: float | None) -> Step:
        """Begin a phase."""
        undo = self.state.undo
        if undo is not None and undo.kind is UndoKind.COME_DOWN:
            # A knocked pedal is noticed at once; later nobody knows what was held.
            undo = undo if phase is Phase.COME_OUT else None
        state = replace(
            self.state,
            phase=phase,
            began_at_s=at_s,
            ends_at_s=ends_at_s,
            pause=None,
            undo=undo,
        )
        return self.change(state).emit(Entered(phase, at_s, state.index))

    def enter_warm_up(self, at_s: float, move: int = 0) -> Step:
        """Begin one movement of the warm-up."""
        length_s = self.state.program.warm_up[move].length_s
        moved = self.change(replace(self.state, move=move))
        return moved.enter(Phase.WARM_UP, at_s, at_s + length_s)

    def next_move(self, at_s: float) -> Step:
        """Go to the warm-up's next movement, or to the first set."""
        move = self.state.move + 1
        if move < len(self.state.program.warm_up):
            return self.enter_warm_up(at_s, move)
        return self.enter_set_up(0, at_s)

    def enter_set_up(self, index: int, at_s: float) -> Step:
        """Begin the set-up of a set."""
        state = replace(
            self.state,
            index=index,
            setup_began_at_s=at_s,
            hold_began_at_s=None,
            hold_ended_at_s=None,
            journaled_s=0,
        )
        length_s = state.program.sets[index].exercise.setup_s
        return self.change(state).enter(Phase.SET_UP, at_s, at_s + length_s)

    def enter_hold(self, at_s: float) -> Step:
        """Begin the hold."""
        state = replace(self.state, hold_began_at_s=at_s, journaled_s=0, undo=None)
        return self.change(state).enter(Phase.HOLD, at_s, at_s + state.set.longest_s)

    def next_set_up(self, at_s: float) -> Step:
        """Begin the next set that is still in play, or finish."""
        index = self.state.next_index()
        if index is not None:
            return self.enter_set_up(index, at_s)
        hurt = bool(self.state.struck)
        return self.finish(at_s, SessionEnd.PAIN if hurt else SessionEnd.COMPLETE)

    def enter_rest(self, at_s: float) -> Step:
        """Begin the rest, or finish where nothing is left to rest for."""
        if self.state.next_index() is None:
            return self.next_set_up(at_s)
        return self.enter(Phase.LOG_AND_REST, at_s, at_s + self.state.set.rest_s)

    def after_come_out(self, at_s: float) -> Step:
        """Go from the come-out to the rest, or to the end."""
        return self.enter_rest(at_s)

    def after_rest(self, at_s: float) -> Step:
        """Go on to the next set, unless nobody seems to be there."""
        watches = self.state.program.watches
        if watches and len(self.state.unconfirmed_running) >= NOBODY_HOLDS:
            return self.enter_pause(at_s, PauseReason.NOBODY).emit(
                Said(
                    f"{NOBODY_HOLDS} holds running ended by themselves and nobody"
                    " answered anything about them: paused"
                )
            )
        return self.next_set_up(at_s)

    def finish(self, at_s: float, end: SessionEnd) -> Step:
        """End the session; the log of the last hold stays open for corrections."""
        if self.state.phase is Phase.DONE:
            return self
        last = self.state.last_hold
        index = self.state.index if last is None else last.index
        ended = self.change(replace(self.state, end=end, index=index))
        return ended.enter(Phase.DONE, at_s, None).emit(Finished(at_s, end))

    # -- standing still ---------------------------------------------------------------

    def enter_pause(self, at_s: float, reason: PauseReason) -> Step:
        """Stand still; what was left of the phase is kept."""
        state = self.state
        ends_at_s = at_s if state.ends_at_s is None else state.ends_at_s
        pause = Pause(state.phase, at_s, max(0.0, ends_at_s - at_s), reason)
        paused = self.enter(Phase.PAUSED, at_s, None)
        return paused.change(replace(paused.state, pause=pause))

    def resume(self, at_s: float) -> Step:
        """Go on: a set-up starts again, everything else is shifted by the pause."""
        state, pause = self.state, self.state.pause
        if pause is None:
            raise IllegalEventError("nothing is paused")
        serial = state.next_serial - 1
        here = self.change(replace(state, seen_serial=serial, pause=None))
        if pause.phase is Phase.SET_UP:
            if state.index in state.struck:
                return here.next_set_up(at_s)
            return here.enter_set_up(state.index, at_s)
        if pause.phase is Phase.LOG_AND_REST and (
            pause.reason is PauseReason.NOBODY or state.next_index() is None
        ):
            return here.next_set_up(at_s)
        gone_s = pause.since_s - state.began_at_s
        back = here.enter(pause.phase, at_s, at_s + pause.left_s)
        # The phase began before the pause; what is drawn and heard counts from there.
        return back.change(replace(back.state, began_at_s=at_s - gone_s))

    # -- holds ------------------------------------------------------------------------

    def _under_way(self, held_s: float, ended_by: EndedBy) -> HoldDraft:
        state = self.state
        if state.hold_began_at_s is None:
            raise IllegalEventError("no hold is under way")
        planned = state.set
        return HoldDraft(
            serial=state.next_serial,
            index=state.index,
            exercise=planned.exercise.id,
            set_number=planned.set_number,
            target_s=planned.target_s,
            began_at_s=state.hold_began_at_s,
            held_s=held_s,
            ended_by=ended_by,
        )

    def journal(self, whole_s: int) -> Step:
        """Note a whole second of the hold under way."""
        draft = self._under_way(float(whole_s), EndedBy.CRASH)
        return self.change(replace(self.state, journaled_s=whole_s)).emit(
            Journal(draft)
        )

    def drop_journal(self) -> Step:
        """Forget the hold under way; its serial number is used up."""
        state = replace(self.state, next_serial=self.state.next_serial + 1)
        return self.change(state).emit(DropJournal())

    def record(self, draft: HoldDraft) -> Step:
        """Put a hold in the list, in the place of an earlier version of it."""
        known = [old.serial for old in self.state.holds]
        if draft.serial in known:
            holds = tuple(
                draft if old.serial == draft.serial else old for old in self.state.holds
            )
        else:
            holds = (*self.state.holds, draft)
        serial = max(self.state.next_serial, draft.serial + 1)
        state = replace(self.state, holds=holds, next_serial=serial)
        return self.change(state).emit(RecordHold(draft))

    def take_out(self, *drafts: HoldDraft) -> Step:
        """Let holds count for nothing."""
        serials = {draft.serial for draft in drafts}
        holds = tuple(
            replace(draft, taken_out=True) if draft.serial in serials else draft
            for draft in self.state.holds
        )
        return self.change(replace(self.state, holds=holds)).emit(
            *(TakeOutHold(serial) for serial in sorted(serials))
        )

    def end_hold(self, at_s: float, *, held_s: float, ended_by: EndedBy) -> Step:
        """End the hold by itself: it is recorded before anything else happens."""
        return self._come_out(self._under_way(held_s, ended_by), at_s)

    def come_down_draft(self, at_s: float) -> HoldDraft:
        """Give the hold as a key at AT_S ends it: less the come-down allowance."""
        draft = self._under_way(0.0, EndedBy.KEY)
        return self._with_key(draft, at_s)

    def _with_key(self, draft: HoldDraft, at_s: float) -> HoldDraft:
        planned = self.state.program.sets[draft.index]
        key_s = to_tenth_s(at_s - draft.began_at_s)
        allowance_s = planned.exercise.allowance_s
        held_s = to_tenth_s(key_s - allowance_s)
        kept_s = None if draft.kept_s is None else min(draft.kept_s, held_s)
        return replace(
            draft,
            held_s=held_s,
            kept_s=kept_s,
            ended_by=EndedBy.KEY,
            key_s=key_s,
            allowance_s=allowance_s,
            confirmed=True,
        )

    def come_down(self, at_s: float) -> Step:
        """End the hold by a key."""
        out = self._come_out(self.come_down_draft(at_s), at_s)
        return out.change(replace(out.state, undo=Undo(UndoKind.COME_DOWN, ())))

    def _come_out(self, draft: HoldDraft, at_s: float) -> Step:
        length_s = self.state.set.exercise.come_out_s
        state = replace(self.state, hold_ended_at_s=at_s)
        recorded = self.change(state).record(draft)
        return recorded.enter(Phase.COME_OUT, at_s, at_s + length_s)

    def down_earlier(self, at_s: float) -> Step:
        """Right after a hold that ended by itself: I was down earlier.

        Later, or with nothing to correct, the key belongs to the log.
        """
        state, draft = self.state, self.state.last_hold
        if (
            draft is None
            or draft.index != state.index
            or state.hold_ended_at_s is None
            or draft.ended_by not in (EndedBy.TARGET, EndedBy.LIMIT)
            or at_s - state.hold_ended_at_s
            > state.program.sets[draft.index].exercise.allowance_s
        ):
            return self
        undo = Undo(UndoKind.LOG, (draft,), state.struck)
        corrected = self._with_key(draft, at_s)
        return self.change(replace(state, undo=undo)).record(corrected)

    def interrupt(self, since_s: float) -> Step:
        """Stop counting where nobody watched any more; nothing is invented."""
        held_s = float(self.state.journaled_s)
        draft = self._under_way(held_s, EndedBy.INTERRUPTED)
        return self.record(draft).enter(Phase.INTERRUPTED, since_s, None)

    def resolve(self, held_s: float | None, at_s: float, *, asked: bool) -> Step:
        """Take the person's word for an interrupted hold, or take it out."""
        draft = self.state.last_hold
        if draft is None:
            raise IllegalEventError("no hold was interrupted")
        if held_s is None:
            return self.take_out(draft).enter_set_up(self.state.index, at_s)
        planned = self.state.program.sets[draft.index]
        changed = replace(with_held(draft, held_s, planned), confirmed=asked)
        return self.record(changed).enter_rest(at_s)

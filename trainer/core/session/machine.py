"""The session machine: events with their times in, a new state and effects out.

No I/O and no clock. Time passes in ``_advance``, deadline by deadline, so that one
large tick does what many small ones would. An event that its state doesn't list in
``TRANSITIONS`` raises ``IllegalEventError`` and leaves everything as it was.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from trainer.core.model import EndedBy, Pain, PainKind
from trainer.core.session.answers import answered, struck_by, to_tenth_s, with_held
from trainer.core.session.events import (
    Answer,
    AnswerPain,
    AnyKey,
    DidNotHappen,
    DropJournal,
    Effect,
    EndSession,
    Entered,
    Event,
    FalseStart,
    Finished,
    Gap,
    IllegalEventError,
    Journal,
    OverridePain,
    PauseSession,
    Ready,
    RecordHold,
    Resolve,
    Resume,
    Said,
    Skip,
    SkipWarmUp,
    Start,
    TakeBack,
    TakeOutHold,
    Tick,
)
from trainer.core.session.program import SessionProgram
from trainer.core.session.state import (
    HEARD_AFTER_S,
    NOBODY_HOLDS,
    NOT_YET_S,
    HoldDraft,
    Pause,
    PauseReason,
    Phase,
    SessionEnd,
    SessionState,
    Undo,
    UndoKind,
)

# The table of the session machine: state -> event -> the states that may follow.
#
# Everything that decides which event is allowed where lives in this file. An event
# that its state doesn't list is refused, and nothing changes.

_P = Phase
_Row = Mapping[type[Event], frozenset[Phase]]
_LOG: _Row = {
    Answer: frozenset({_P.SET_UP, _P.COME_OUT, _P.LOG_AND_REST, _P.PAUSED, _P.DONE})
}
_END: _Row = {EndSession: frozenset({_P.DONE})}

TRANSITIONS: Mapping[Phase, Mapping[type[Event], frozenset[Phase]]] = {
    _P.READY: {Start: frozenset({_P.WARM_UP, _P.SET_UP}), Tick: frozenset({_P.READY})},
    _P.WARM_UP: {
        Tick: frozenset({_P.WARM_UP, _P.SET_UP, _P.HOLD}),
        Skip: frozenset({_P.WARM_UP, _P.SET_UP}),
        SkipWarmUp: frozenset({_P.SET_UP}),
        PauseSession: frozenset({_P.PAUSED}),
        Gap: frozenset({_P.PAUSED}),
        **_END,
    },
    _P.SET_UP: {
        Tick: frozenset({_P.SET_UP, _P.HOLD}),
        AnyKey: frozenset({_P.SET_UP}),
        Ready: frozenset({_P.SET_UP}),
        Skip: frozenset({_P.SET_UP, _P.DONE}),
        PauseSession: frozenset({_P.PAUSED}),
        Gap: frozenset({_P.PAUSED}),
        TakeBack: frozenset({_P.SET_UP, _P.LOG_AND_REST, _P.DONE}),
        OverridePain: frozenset({_P.SET_UP}),
        **_LOG,
        **_END,
    },
    _P.HOLD: {
        Tick: frozenset({_P.HOLD, _P.COME_OUT}),
        AnyKey: frozenset({_P.COME_OUT}),
        FalseStart: frozenset({_P.SET_UP, _P.COME_OUT}),
        Gap: frozenset({_P.INTERRUPTED}),
        **_END,
    },
    _P.COME_OUT: {
        Tick: frozenset({_P.COME_OUT, _P.LOG_AND_REST, _P.DONE}),
        AnyKey: frozenset({_P.COME_OUT}),
        DidNotHappen: frozenset({_P.COME_OUT}),
        TakeBack: frozenset({_P.COME_OUT, _P.HOLD}),
        Gap: frozenset({_P.PAUSED}),
        OverridePain: frozenset({_P.COME_OUT}),
        **_LOG,
        **_END,
    },
    _P.LOG_AND_REST: {
        Tick: frozenset({_P.LOG_AND_REST, _P.SET_UP, _P.PAUSED}),
        AnyKey: frozenset({_P.LOG_AND_REST}),
        DidNotHappen: frozenset({_P.LOG_AND_REST}),
        TakeBack: frozenset({_P.LOG_AND_REST, _P.DONE}),
        Skip: frozenset({_P.SET_UP, _P.PAUSED}),
        PauseSession: frozenset({_P.PAUSED}),
        Gap: frozenset({_P.PAUSED}),
        OverridePain: frozenset({_P.LOG_AND_REST}),
        **_LOG,
        **_END,
    },
    _P.PAUSED: {
        Tick: frozenset({_P.PAUSED}),
        # Done: pain may have struck all that was left while it paused.
        Resume: frozenset(
            {_P.WARM_UP, _P.SET_UP, _P.COME_OUT, _P.LOG_AND_REST, _P.DONE}
        ),
        DidNotHappen: frozenset({_P.PAUSED}),
        TakeBack: frozenset({_P.PAUSED}),
        Gap: frozenset({_P.PAUSED}),
        OverridePain: frozenset({_P.PAUSED}),
        **_LOG,
        **_END,
    },
    _P.INTERRUPTED: {
        Tick: frozenset({_P.INTERRUPTED}),
        Resolve: frozenset({_P.LOG_AND_REST, _P.SET_UP, _P.DONE}),
        Gap: frozenset({_P.INTERRUPTED}),
        **_END,
    },
    _P.DONE: {
        Tick: frozenset({_P.DONE}),
        AnyKey: frozenset({_P.DONE}),
        TakeBack: frozenset({_P.LOG_AND_REST, _P.DONE}),
        DidNotHappen: frozenset({_P.DONE}),
        OverridePain: frozenset({_P.LOG_AND_REST, _P.DONE}),
        Gap: frozenset({_P.DONE}),
        **_LOG,
    },
}
"""State -> event -> the states it may lead to within one step of time."""


def allowed(phase: Phase, event: Event) -> bool:
    """Tell whether a phase takes an event of this kind."""
    return any(isinstance(event, kind) for kind in TRANSITIONS[phase])


# The single moves of the session machine: each gives a new ``Step``.
#
# A ``Step`` is a state and the effects gathered on the way to it. ``step`` decides
# which move an event or a deadline makes; this part says what a move is.

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
        undo = self.state.undo
        if undo is not None and undo.kind is UndoKind.NOT_YET:
            undo = None
        state = replace(
            self.state,
            undo=undo,
            not_yets=0,
            not_yet_at_s=None,
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
        pause = Pause(
            phase=state.phase,
            since_s=at_s,
            gone_s=at_s - state.began_at_s,
            left_s=max(0.0, ends_at_s - at_s),
            reason=reason,
        )
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
        back = here.enter(pause.phase, at_s, at_s + pause.left_s)
        # The phase began before the pause; what is drawn and heard counts from there.
        return back.change(replace(back.state, began_at_s=at_s - pause.gone_s))

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
        if draft is None or not state.can_say_down_earlier(at_s):
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


# Taking out, taking back, and what pain strikes: moves that look behind them.


def did_not_happen(now: Step) -> Step:
    """Take the last hold out; where nobody was there, all that nobody confirmed."""
    state, out = now.state, now.state.holds_to_take_out
    if not out:
        raise IllegalEventError("there is no hold to take out")
    undo = Undo(UndoKind.TAKEN_OUT, out, state.struck)
    return now.change(replace(state, undo=undo)).take_out(*out)


def take_back(now: Step, at_s: float) -> Step:
    """Undo the last step that can be undone."""
    undo = now.state.undo
    if undo is None:
        raise IllegalEventError("there is nothing to take back")
    cleared = now.change(replace(now.state, undo=None))
    match undo.kind:
        case UndoKind.COME_DOWN:
            return _hold_on(cleared, at_s)
        case UndoKind.NOT_YET:
            return _no_more_time(cleared, at_s)
        case UndoKind.FALSE_START:
            if now.state.phase is not Phase.SET_UP:
                raise IllegalEventError("go on first, then take it back")
            return cleared.record(undo.drafts[0]).enter_rest(at_s)
        case _:
            back = cleared.change(replace(cleared.state, struck=undo.struck))
            for draft in undo.drafts:
                back = back.record(draft)
            return leave_struck(_reopen(back, at_s), at_s)


def _no_more_time(now: Step, at_s: float) -> Step:
    """Take back the time that was given last; what is needed to go up stays."""
    state = now.state
    if state.phase is not Phase.SET_UP or state.ends_at_s is None:
        raise IllegalEventError("that set-up is over")
    left_s = state.ends_at_s - at_s
    least_s = min(left_s, state.set.exercise.go_up_lead_s + HEARD_AFTER_S)
    not_yets = state.not_yets - 1
    return now.change(
        replace(
            state,
            ends_at_s=at_s + max(least_s, left_s - NOT_YET_S),
            not_yets=not_yets,
            not_yet_at_s=None,
            undo=Undo(UndoKind.NOT_YET, ()) if not_yets else None,
        )
    )


def _hold_on(now: Step, at_s: float) -> Step:
    """Go on with a hold whose come-down was a mistake, while its time lasts."""
    state, draft = now.state, now.state.last_hold
    if draft is None or state.hold_began_at_s is None:
        raise IllegalEventError("the hold is gone")
    ends_at_s = state.hold_began_at_s + state.set.longest_s
    if at_s >= ends_at_s:
        raise IllegalEventError("the hold's time is over: correct the seconds instead")
    # In the journal before it is out of the log: at no moment is it in neither.
    whole_s = int(at_s - state.hold_began_at_s)
    out = now.journal(whole_s).take_out(draft)
    back = replace(out.state, hold_ended_at_s=None)
    held = out.change(back).enter(Phase.HOLD, at_s, ends_at_s)
    return held.change(replace(held.state, began_at_s=state.hold_began_at_s))


def strike(now: Step, draft: HoldDraft, pain: Pain, at_s: float) -> Step:
    """Take out the sets that a warning sign forbids."""
    state = now.state
    newly = struck_by(state, draft, pain)
    now = now.change(replace(state, struck=state.struck | newly))
    if not newly:
        return now
    names = sorted({state.program.sets[index].exercise.name for index in newly})
    count = "1 set" if len(newly) == 1 else f"{len(newly)} sets"
    now = now.emit(Said(f"{pain.kind} noted: {count} left out ({', '.join(names)})"))
    return leave_struck(now, at_s)


def leave_struck(now: Step, at_s: float) -> Step:
    """Go on from a set-up or a rest that pain has left without its set."""
    state = now.state
    if state.phase is Phase.SET_UP and state.index in state.struck:
        return now.next_set_up(at_s)
    if state.phase is Phase.LOG_AND_REST and state.next_index() is None:
        return now.finish(at_s, SessionEnd.PAIN)
    return now


def override_pain(now: Step, at_s: float) -> Step:
    """Put the struck sets back in; the hold keeps that it was overridden."""
    state = now.state
    if not state.can_override_pain:
        raise IllegalEventError("no set was left out for pain")
    hurt = [draft for draft in state.kept_holds if draft.pain][-1:]
    undo = Undo(UndoKind.LOG, tuple(hurt), state.struck)
    now = now.change(replace(state, struck=frozenset(), undo=undo))
    for draft in hurt:
        now = now.record(replace(draft, pain_overridden=True))
    return _reopen(now, at_s)


def _reopen(now: Step, at_s: float) -> Step:
    """Go on resting where a session that pain had ended has sets again."""
    state = now.state
    ended = state.phase is Phase.DONE and state.end in _BY_PAIN
    if not ended or state.next_index() is None:
        return now
    return now.change(replace(state, end=None)).enter_rest(at_s)


_ASLEEP = frozenset({Phase.READY, Phase.PAUSED, Phase.INTERRUPTED, Phase.DONE})
"""Phases that no passing of time ends."""


def begin(program: SessionProgram) -> SessionState:
    """Give a session that waits for its one key.

    Raises:
        ValueError: the program holds no set.
    """
    if not program.sets:
        raise ValueError("a session needs at least one set")
    return SessionState(program=program)


def step(
    state: SessionState, event: Event, now_s: float
) -> tuple[SessionState, tuple[Effect, ...]]:
    """Let EVENT happen at NOW_S.

    Time passes first: whatever was due before NOW_S happens before the event does.

    Raises:
        IllegalEventError: the state that NOW_S finds doesn't take the event.
        ValueError: an answer's figure is impossible.
    """
    if isinstance(event, Gap):
        advanced = _advance(Step(state), min(event.since_s, now_s))
        return _gap(advanced, event, now_s).result()
    advanced = _advance(Step(state), now_s)
    if isinstance(event, Tick):
        return advanced.result()
    if not allowed(advanced.state.phase, event):
        raise IllegalEventError(f"{type(event).__name__} in {advanced.state.phase}")
    return _happen(advanced, event, now_s).result()


def _advance(now: Step, until_s: float) -> Step:
    """Let time pass to UNTIL_S, one deadline after the other."""
    while now.state.phase not in _ASLEEP:
        state = now.state
        ends_at_s = math.inf if state.ends_at_s is None else state.ends_at_s
        if state.phase is Phase.HOLD and state.hold_began_at_s is not None:
            journal_at_s = state.hold_began_at_s + state.journaled_s + 1
            if journal_at_s < ends_at_s and journal_at_s <= until_s:
                now = now.journal(state.journaled_s + 1)
                continue
        if ends_at_s > until_s:
            break
        now = _phase_over(now, ends_at_s)
    return now


def _phase_over(now: Step, at_s: float) -> Step:
    """End the phase under way at its deadline."""
    state = now.state
    match state.phase:
        case Phase.WARM_UP:
            return now.next_move(at_s)
        case Phase.SET_UP:
            return now.enter_hold(at_s)
        case Phase.HOLD:
            planned = state.set
            ended_by = EndedBy.TARGET if planned.limit_s is None else EndedBy.LIMIT
            return now.end_hold(at_s, held_s=planned.longest_s, ended_by=ended_by)
        case Phase.COME_OUT:
            return now.after_come_out(at_s)
        case _:
            return now.after_rest(at_s)


def _happen(now: Step, event: Event, at_s: float) -> Step:
    state = now.state
    match event:
        case Start():
            return (
                now.enter_warm_up(at_s) if state.program.warm_up else _first(now, at_s)
            )
        case AnyKey():
            return _any_key(now, at_s)
        case FalseStart():
            return _false_start(now, at_s)
        case DidNotHappen():
            return did_not_happen(now)
        case TakeBack():
            return take_back(now, at_s)
        case Skip():
            return _skip(now, at_s)
        case SkipWarmUp():
            return _first(now, at_s)
        case Ready():
            return _ready(now, at_s)
        case EndSession():
            return _end_early(now, at_s)
        case PauseSession():
            return now.enter_pause(at_s, PauseReason.ASKED)
        case Resume():
            return now.resume(at_s)
        case Resolve(held_s=held_s, asked=asked):
            return now.resolve(held_s, at_s, asked=asked)
        case OverridePain():
            return override_pain(now, at_s)
        case Answer():
            return _answer(now, event, at_s)
    raise IllegalEventError(f"{type(event).__name__} in {state.phase}")


def _first(now: Step, at_s: float) -> Step:
    return now.enter_set_up(0, at_s)


def _any_key(now: Step, at_s: float) -> Step:
    state = now.state
    if state.phase is Phase.SET_UP and state.ends_at_s is not None:
        undo = state.undo
        if undo is None or undo.kind is not UndoKind.FALSE_START:
            undo = Undo(UndoKind.NOT_YET, ())
        return now.change(
            replace(
                state,
                ends_at_s=state.ends_at_s + NOT_YET_S,
                not_yets=state.not_yets + 1,
                not_yet_at_s=at_s,
                undo=undo,
            )
        )
    if state.phase is Phase.HOLD:
        return now.come_down(at_s)
    return now.down_earlier(at_s)


def _ready(now: Step, at_s: float) -> Step:
    """Go to the go-up cue, unless it has come."""
    state = now.state
    ends_at_s = at_s + HEARD_AFTER_S + state.set.exercise.go_up_lead_s
    if state.ends_at_s is None or state.ends_at_s <= ends_at_s:
        return now
    # The breath that leads to the hold begins now at the earliest.
    return now.change(replace(state, ends_at_s=ends_at_s, setup_began_at_s=at_s))


def _false_start(now: Step, at_s: float) -> Step:
    state = now.state
    if not state.can_be_false_start(at_s):
        return now.come_down(at_s)
    draft = now.come_down_draft(at_s)
    again = now.drop_journal().enter_set_up(state.index, at_s)
    undo = Undo(UndoKind.FALSE_START, (draft,))
    return again.change(replace(again.state, undo=undo))


def _skip(now: Step, at_s: float) -> Step:
    state = now.state
    match state.phase:
        case Phase.WARM_UP:
            return now.next_move(at_s)
        case Phase.SET_UP:
            left_out = replace(state, skipped=state.skipped | {state.index})
            return now.change(left_out).next_set_up(at_s)
        case _:
            # Whoever skips is there.
            seen = replace(state, seen_serial=state.next_serial - 1)
            return now.change(seen).after_rest(at_s)


def _end_early(now: Step, at_s: float) -> Step:
    if now.state.phase is Phase.HOLD:
        now = now.come_down(at_s)
    return now.finish(at_s, SessionEnd.EARLY)


def _gap(now: Step, event: Gap, at_s: float) -> Step:
    state = now.state
    if state.phase is Phase.HOLD:
        return now.interrupt(event.since_s)
    if state.phase in _ASLEEP:
        return now
    return now.enter_pause(event.since_s, PauseReason.GAP)


def _answer(now: Step, event: Answer, at_s: float) -> Step:
    """Change a hold as the answer says; a warning sign strikes sets."""
    state = now.state
    draft = state.open_hold
    if event.serial is not None:
        known = {each.serial: each for each in state.kept_holds}
        draft = known.get(event.serial)
    if draft is None:
        raise IllegalEventError("there is no hold to say anything of")
    changed = answered(draft, event, state.program.sets[draft.index])
    undo = Undo(UndoKind.LOG, (draft,), state.struck)
    now = now.change(replace(state, undo=undo)).record(changed)
    if isinstance(event, AnswerPain) and event.pain is not None:
        now = strike(now, changed, event.pain, at_s)
        if event.pain.kind is PainKind.DIZZY:
            return now.finish(at_s, SessionEnd.DIZZY)
    return now

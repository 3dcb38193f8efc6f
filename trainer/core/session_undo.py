"""Taking out, taking back, and what pain strikes: moves that look behind them."""

from __future__ import annotations

from dataclasses import replace

from trainer.core.model import Pain
from trainer.core.session_events import IllegalEventError, Said
from trainer.core.session_log import struck_by
from trainer.core.session_moves import Step
from trainer.core.session_state import (
    HoldDraft,
    PauseReason,
    Phase,
    SessionEnd,
    Undo,
    UndoKind,
)

_BY_PAIN = frozenset({SessionEnd.PAIN, SessionEnd.DIZZY})


def did_not_happen(now: Step) -> Step:
    """Take the last hold out; where nobody was there, all that nobody confirmed."""
    state, last = now.state, now.state.open_hold
    nobody = state.pause is not None and state.pause.reason is PauseReason.NOBODY
    one = () if last is None else (last,)
    out: tuple[HoldDraft, ...] = state.unconfirmed_running if nobody else one
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
        case UndoKind.FALSE_START:
            if now.state.phase is not Phase.SET_UP:
                raise IllegalEventError("go on first, then take it back")
            return cleared.record(undo.drafts[0]).enter_rest(at_s)
        case _:
            back = cleared.change(replace(cleared.state, struck=undo.struck))
            for draft in undo.drafts:
                back = back.record(draft)
            return leave_struck(_reopen(back, at_s), at_s)


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
    if not (state.struck or state.end in _BY_PAIN):
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

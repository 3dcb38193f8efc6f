"""The session machine: events with their times in, a new state and effects out.

No I/O and no clock. Time passes in ``_advance``, deadline by deadline, so that one
large tick does what many small ones would. An event that its state doesn't list in
``session_table.py`` raises ``IllegalEventError`` and leaves everything as it was.
"""

from __future__ import annotations

from dataclasses import replace

from trainer.core.model import EndedBy, PainKind
from trainer.core.program import SessionProgram
from trainer.core.session_events import (
    Answer,
    AnswerPain,
    AnyKey,
    DidNotHappen,
    Effect,
    EndSession,
    Event,
    FalseStart,
    Gap,
    IllegalEventError,
    OverridePain,
    PauseSession,
    Resolve,
    Resume,
    Skip,
    Start,
    TakeBack,
    Tick,
)
from trainer.core.session_log import answered
from trainer.core.session_moves import Step
from trainer.core.session_state import (
    FALSE_START_S,
    NOT_YET_S,
    PauseReason,
    Phase,
    SessionEnd,
    SessionState,
    Undo,
    UndoKind,
)
from trainer.core.session_table import allowed
from trainer.core.session_undo import (
    did_not_happen,
    override_pain,
    strike,
    take_back,
)

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
        ends_at_s = state.ends_at_s if state.ends_at_s is not None else until_s + 1
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
        later_s = state.ends_at_s + NOT_YET_S
        return now.change(replace(state, ends_at_s=later_s))
    if state.phase is Phase.HOLD:
        return now.come_down(at_s)
    return now.down_earlier(at_s)


def _false_start(now: Step, at_s: float) -> Step:
    state = now.state
    if state.held_so_far_s(at_s) >= FALSE_START_S:
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

"""What is to be heard of a session from now on: a pure function of its state.

The sheet covers the whole set under way, set-up to rest, on the session's clock. It
changes only where the session does, so a player can be told of it once and left alone.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from trainer.core.cues.cues import Cue, TimedCue
from trainer.core.cues.timeline import (
    BREATHS,
    come_out_cues,
    hold_cues,
    merge,
    rest_cues,
    setup_cues,
    warm_up_cues,
)
from trainer.core.exercises import Family
from trainer.core.model import EndedBy, SessionKind
from trainer.core.plan.first_day import breaths_left
from trainer.core.session.program import ProgramSet
from trainer.core.session.state import HEARD_AFTER_S, Phase, SessionState


def cue_sheet(state: SessionState) -> tuple[TimedCue, ...]:
    """Give every cue of what is under way, at its time on the session's clock."""
    match state.phase:
        case Phase.WARM_UP:
            moves = state.program.warm_up
            lengths_s = tuple(move.length_s for move in moves)
            started_s = state.began_at_s - sum(lengths_s[: state.move])
            return merge(_moved(warm_up_cues(lengths_s=lengths_s), started_s))
        case Phase.SET_UP:
            hold_at_s = state.ends_at_s or 0.0
            return merge(_set_up(state), _from_hold(state, hold_at_s))
        case Phase.HOLD:
            hold_at_s = state.hold_began_at_s or 0.0
            return _from_hold(state, hold_at_s)
        case Phase.COME_OUT | Phase.LOG_AND_REST | Phase.DONE:
            return _after_hold(state)
        case _:
            return ()


def _moved(cues: Iterable[TimedCue], by_s: float) -> list[TimedCue]:
    return [cue.moved(by_s) for cue in cues]


def _set_up(state: SessionState) -> list[TimedCue]:
    began_s, ends_s = state.setup_began_at_s, state.ends_at_s or 0.0
    cues = setup_cues(
        setup_s=ends_s - began_s,
        go_up_lead_s=state.set.exercise.go_up_lead_s,
        test_breaths=_test_breaths(state),
    )
    heard = []
    if state.not_yet_at_s is not None:
        heard.append(TimedCue(state.not_yet_at_s + HEARD_AFTER_S, Cue.NOT_YET))
    return [*_moved(cues, began_s), *heard]


def _test_breaths(state: SessionState) -> int:
    tests = state.program.kind is SessionKind.TEST
    return breaths_left(state.set.exercise) if tests else 0


def _hold(planned: ProgramSet, hold_at_s: float, test_breaths: int) -> list[TimedCue]:
    cues = hold_cues(
        target_s=planned.target_s,
        pattern=planned.pattern,
        end_of_hold=planned.end_of_hold,
        limit_s=planned.limit_s,
        press=planned.exercise.family is Family.PRESS,
        test_breaths=test_breaths,
    )
    return _moved(cues, hold_at_s)


def _from_hold(state: SessionState, hold_at_s: float) -> tuple[TimedCue, ...]:
    """The hold, its come-out and its rest, as they will be if nobody touches a key."""
    planned = state.set
    out_at_s = hold_at_s + planned.longest_s
    rest_at_s = out_at_s + planned.exercise.come_out_s
    last = state.next_index() is None
    return merge(
        _hold(planned, hold_at_s, _test_breaths(state)),
        _moved(
            come_out_cues(come_out_s=planned.exercise.come_out_s, early=False),
            out_at_s,
        ),
        _moved(rest_cues(rest_s=planned.rest_s, last=last), rest_at_s),
    )


def _after_hold(state: SessionState) -> tuple[TimedCue, ...]:
    planned, last = state.set, state.next_index() is None
    draft, ended_s = state.last_hold, state.hold_ended_at_s
    past: list[TimedCue] = []
    if ended_s is not None and state.hold_began_at_s is not None:
        by_itself = ended_s >= state.hold_began_at_s + planned.longest_s
        # What sounds on past the end of the hold is not to be cut off by it.
        held = _hold(planned, state.hold_began_at_s, _test_breaths(state))
        past = _cut(held, ended_s)
        out = come_out_cues(come_out_s=planned.exercise.come_out_s, early=not by_itself)
        past += _moved(out, ended_s)
    if state.phase is Phase.DONE:
        return merge(past, _moved(rest_cues(rest_s=0, last=True), state.began_at_s))
    rest_at_s = state.began_at_s
    rest_s = (state.ends_at_s or rest_at_s) - rest_at_s
    if state.phase is Phase.COME_OUT:
        rest_at_s, rest_s = state.ends_at_s or rest_at_s, planned.rest_s
    elif draft is not None and draft.ended_by is EndedBy.INTERRUPTED:
        past = []
    return merge(past, _moved(rest_cues(rest_s=rest_s, last=last), rest_at_s))


def _cut(cues: Iterable[TimedCue], at_s: float) -> list[TimedCue]:
    """Keep what began by AT_S, no breath lasting beyond it."""
    kept = []
    for cue in cues:
        if cue.at_s > at_s + 1e-6:
            continue
        if cue.cue in BREATHS and cue.at_s + cue.length_s > at_s:
            cue = replace(cue, length_s=at_s - cue.at_s)
        kept.append(cue)
    return kept

"""The table of the session machine: state -> event -> the states that may follow.

Everything that decides which event is allowed where lives in this file. An event
that its state doesn't list is refused, and nothing changes.
"""

from __future__ import annotations

from collections.abc import Mapping

from trainer.core.session_events import (
    Answer,
    AnyKey,
    DidNotHappen,
    EndSession,
    Event,
    FalseStart,
    Gap,
    OverridePain,
    PauseSession,
    Resolve,
    Resume,
    Skip,
    Start,
    TakeBack,
    Tick,
)
from trainer.core.session_state import Phase

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
        PauseSession: frozenset({_P.PAUSED}),
        Gap: frozenset({_P.PAUSED}),
        **_END,
    },
    _P.SET_UP: {
        Tick: frozenset({_P.SET_UP, _P.HOLD}),
        AnyKey: frozenset({_P.SET_UP}),
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
        Resume: frozenset({_P.WARM_UP, _P.SET_UP, _P.COME_OUT, _P.LOG_AND_REST}),
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

"""Makers of small programs for the session's tests."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TypeVar

from trainer.core.cues.breathing import Pattern
from trainer.core.exercises import BUILT_IN
from trainer.core.model import EndOfHold, SessionKind
from trainer.core.session.events import Effect, Event, Start, Tick
from trainer.core.session.machine import begin, step
from trainer.core.session.program import ProgramSet, SessionProgram, WarmUpMove
from trainer.core.session.state import SessionState


def program_set(
    exercise: str = "hang",
    *,
    target_s: float = 20,
    rest_s: float = 60,
    set_number: int = 1,
    limit_s: float | None = None,
) -> ProgramSet:
    return ProgramSet(
        exercise=BUILT_IN[exercise],
        set_number=set_number,
        sets=3,
        target_s=target_s,
        rest_s=rest_s,
        pattern=Pattern(),
        end_of_hold=EndOfHold.STOP if limit_s is None else EndOfHold.STAY,
        limit_s=limit_s,
    )


def program(*sets: ProgramSet, warm_up: tuple[WarmUpMove, ...] = ()) -> SessionProgram:
    return SessionProgram(
        kind=SessionKind.PLAN, sets=sets or (program_set(),), warm_up=warm_up
    )


_Kind = TypeVar("_Kind", bound=Effect)


class Led:
    """A session that is led by hand: every call says when it happens."""

    def __init__(self, made: SessionProgram, *, start_s: float = 100.0) -> None:
        self.state: SessionState = begin(made)
        self.now_s = start_s
        self.effects: list[Effect] = []
        self.send(Start())

    def send(self, event: Event, *, after_s: float = 0.0) -> SessionState:
        self.now_s += after_s
        self.state, effects = step(self.state, event, self.now_s)
        self.effects.extend(effects)
        return self.state

    def wait(self, seconds: float) -> SessionState:
        return self.send(Tick(), after_s=seconds)

    def of(self, kind: type[_Kind]) -> list[_Kind]:
        return [effect for effect in self.effects if isinstance(effect, kind)]


def run(
    made: SessionProgram, timed: Iterable[tuple[float, Event]]
) -> tuple[SessionState, list[Effect]]:
    """Lead a program through (time, event) pairs."""
    state = begin(made)
    effects: list[Effect] = []
    for at_s, event in timed:
        state, more = step(state, event, at_s)
        effects.extend(more)
    return state, effects

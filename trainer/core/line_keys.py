"""Keys of the line-by-line session: a key and what is being typed in, events out.

The letters are those of the full screen. Pure, so that every key can be tested without
a terminal; what a typed text means is left to a parser that is handed in.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from trainer.core.model import Feet, Felt, Pain, StoppedBy
from trainer.core.session_events import (
    AnswerFeet,
    AnswerFelt,
    AnswerHeld,
    AnswerKept,
    AnswerNote,
    AnswerPain,
    AnswerRpe,
    AnswerStoppedBy,
    AnyKey,
    DidNotHappen,
    EndSession,
    Event,
    FalseStart,
    OverridePain,
    PauseSession,
    Resolve,
    Resume,
    Skip,
    TakeBack,
)
from trainer.core.session_state import HoldDraft, Phase, SessionState

STOPPED_BY: Mapping[str, StoppedBy] = {
    "g": StoppedBy.GRIP,
    "s": StoppedBy.SHOULDER,
    "i": StoppedBy.POSITION,
    "b": StoppedBy.BREATH,
    "v": StoppedBy.NERVE,
    "o": StoppedBy.OTHER,
}
CONTROL: Mapping[str, type[Event]] = {
    "z": TakeBack,
    "j": Skip,
    "w": PauseSession,
    "a": OverridePain,
}
ENTER, ESCAPE, BACKSPACE = "enter", "escape", "backspace"
GO_ON = frozenset({ENTER, " "})


class Typing(StrEnum):
    """What a line is being typed for."""

    NOTHING = ""
    BREATH = "lost on breath"
    HELD = "seconds held"
    PAIN = "pain: site, or numb, or dizzy, or SITE=KIND"
    FELT = "felt: SITE[:SIDE][@MOMENT][=STRENGTH], more after commas"
    NOTE = "note"
    SURE = "q again ends the session"
    HAPPENED = "seconds held, enter for those noted, x if it didn't happen"


_OPENS: Mapping[str, Typing] = {
    "l": Typing.BREATH,
    "t": Typing.HELD,
    "p": Typing.PAIN,
    "f": Typing.FELT,
    "n": Typing.NOTE,
}


@dataclass(frozen=True, slots=True)
class Line:
    """What is being typed just now."""

    typing: Typing = Typing.NOTHING
    text: str = ""


@dataclass(frozen=True, slots=True)
class Pressed:
    """What a key led to."""

    line: Line
    events: tuple[Event, ...] = ()
    say: str = ""
    """A line for the person."""


@dataclass(frozen=True, slots=True)
class Parsers:
    """What typed texts mean. Each raises ``ValueError`` with a sentence."""

    felt: Callable[[str], Felt]
    pain: Callable[[str], Pain]


_NOT_TYPING = Line()


def press(key: str, state: SessionState, line: Line, parsers: Parsers) -> Pressed:
    """Tell what KEY means just now.

    Args:
        key: a character, or ``enter``, ``escape``, ``backspace``, or another name.
        state: where the session is.
        line: what is being typed.
        parsers: what typed texts mean.
    """
    if state.phase is Phase.HOLD:
        event = FalseStart() if key == "x" else AnyKey()
        return Pressed(_NOT_TYPING, (event,))
    if line.typing is Typing.SURE:
        ends = (EndSession(),) if key == "q" else ()
        return Pressed(_NOT_TYPING, ends, "" if ends else "going on")
    if state.phase is Phase.INTERRUPTED:
        line = Line(Typing.HAPPENED, line.text)
        if key == "x":
            return Pressed(_NOT_TYPING, (Resolve(None),))
    if line.typing is not Typing.NOTHING:
        return _typed(key, state, line, parsers)
    if key == "q" and state.phase is not Phase.DONE:
        return Pressed(Line(Typing.SURE), say=Typing.SURE.value)
    if key in CONTROL:
        return Pressed(line, (CONTROL[key](),))
    if state.phase is Phase.PAUSED and key in GO_ON:
        return Pressed(line, (Resume(),))
    if state.last_hold is not None and state.phase is not Phase.SET_UP:
        answer = _answered(key, state, state.last_hold)
        if answer is not None:
            return answer
    return Pressed(line, (AnyKey(),))


def _answered(key: str, state: SessionState, draft: HoldDraft) -> Pressed | None:
    """Give what a key of the log answers, or None if it is none."""
    if key.isdecimal() and len(key) == 1:
        return Pressed(_NOT_TYPING, (AnswerRpe(rpe=float(key) or 10.0),))
    if key == "." and draft.rpe is not None and draft.rpe + 0.5 <= 10:
        half = 0.5 if float(draft.rpe).is_integer() else -0.5
        return Pressed(_NOT_TYPING, (AnswerRpe(rpe=draft.rpe + half),))
    if key == "k":
        return Pressed(_NOT_TYPING, (AnswerKept(all_kept=True),))
    if key in "+-=" and key:
        by_s = -1.0 if key == "-" else 1.0
        return Pressed(_NOT_TYPING, (AnswerHeld(held_s=max(0, draft.held_s + by_s)),))
    if key == "x":
        return Pressed(_NOT_TYPING, (DidNotHappen(),))
    if key == "e":
        order: Sequence[Feet | None] = (None, *Feet)
        feet = order[(order.index(draft.feet) + 1) % len(order)]
        return Pressed(_NOT_TYPING, (AnswerFeet(feet=feet),))
    if key in STOPPED_BY:
        return Pressed(_NOT_TYPING, (AnswerStoppedBy(why=STOPPED_BY[key]),))
    if key in _OPENS:
        return Pressed(Line(_OPENS[key]), say=f"{_OPENS[key].value}?")
    return None


def _typed(key: str, state: SessionState, line: Line, parsers: Parsers) -> Pressed:
    """Take a key into the line that is being typed, or finish it."""
    if key == ESCAPE:
        return Pressed(_NOT_TYPING, say="nothing noted")
    if key == BACKSPACE:
        return Pressed(Line(line.typing, line.text[:-1]))
    if key != ENTER:
        return Pressed(Line(line.typing, line.text + key if len(key) == 1 else ""))
    try:
        event = _meant(line, state, parsers)
    except ValueError as error:
        return Pressed(_NOT_TYPING, say=str(error))
    return Pressed(_NOT_TYPING, (event,) if event is not None else ())


def _meant(line: Line, state: SessionState, parsers: Parsers) -> Event | None:
    """Give the event that a finished line stands for; None for an empty one."""
    text = line.text.strip()
    if line.typing is Typing.HAPPENED:
        noted_s = state.last_hold.held_s if state.last_hold is not None else 0.0
        return Resolve(_number(text) if text else noted_s)
    if not text:
        return None
    match line.typing:
        case Typing.BREATH:
            return AnswerKept(lost_on_breath=int(_number(text)))
        case Typing.HELD:
            return AnswerHeld(held_s=_number(text))
        case Typing.PAIN:
            return AnswerPain(pain=parsers.pain(text))
        case Typing.FELT:
            each = tuple(parsers.felt(part.strip()) for part in text.split(","))
            return AnswerFelt(felt=each)
        case _:
            return AnswerNote(note=text)


def _number(text: str) -> float:
    try:
        return float(text)
    except ValueError:
        raise ValueError(f"{text!r} is not a number") from None


def finish_at_set_up(line: Line) -> tuple[Line, tuple[Event, ...]]:
    """Give up the keys when a set-up begins: a half-typed note is kept."""
    if line.typing is Typing.NOTE and line.text.strip():
        return _NOT_TYPING, (AnswerNote(note=line.text),)
    return _NOT_TYPING, ()

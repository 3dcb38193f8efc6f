"""Keys of the line-by-line session: a key and what is being typed in, events out.

The letters are those of the full screen. Pure, so that every key can be tested without
a terminal; what a typed text means is left to a parser that is handed in.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from trainer.core.model import Feet, Felt, Pain, PainKind, StoppedBy
from trainer.core.session.events import (
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
from trainer.core.session.state import HoldDraft, Phase, SessionState

STOPPED_BY: Mapping[str, StoppedBy] = {why.letter: why for why in StoppedBy}
CONTROL: Mapping[str, type[Event]] = {
    "z": TakeBack,
    "j": Skip,
    "w": PauseSession,
    "a": OverridePain,
}
MOST_BREATHS = 600
"""No hold has more: the longest, at the fastest pattern."""
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
    SKIP = "j again leaves this set out"
    HAPPENED = "seconds held, enter for those noted, x if it didn't happen"


_ASKED_AGAIN: Mapping[Typing, tuple[str, Event]] = {
    Typing.SURE: ("q", EndSession()),
    Typing.SKIP: ("j", Skip()),
}
"""What is asked once: the key that says yes, and what it then does."""
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
    serial: int | None = None
    """The hold that it is about, where the session may go on meanwhile."""


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
    if line.typing in _ASKED_AGAIN:
        again, sure_event = _ASKED_AGAIN[line.typing]
        sure = (sure_event,) if key == again else ()
        return Pressed(_NOT_TYPING, sure, "" if sure else "going on")
    if state.phase is Phase.INTERRUPTED:
        line = Line(Typing.HAPPENED, line.text)
        if key == "x":
            return Pressed(_NOT_TYPING, (Resolve(None),))
    if line.typing is not Typing.NOTHING:
        return _typed(key, state, line, parsers)
    if key == "q" and state.phase is not Phase.DONE:
        return Pressed(Line(Typing.SURE), say=Typing.SURE.value)
    if key == "j" and state.phase is Phase.SET_UP:
        return Pressed(Line(Typing.SKIP), say=Typing.SKIP.value)
    if key in CONTROL:
        return Pressed(line, (CONTROL[key](),))
    if state.phase is Phase.PAUSED and key in GO_ON:
        return Pressed(line, (Resume(),))
    if key == "x" and state.pause is not None:
        return Pressed(line, (DidNotHappen(),))
    draft = state.open_hold
    if draft is not None:
        answer = _answered(key, draft)
        if answer is not None:
            return answer
    return Pressed(line, (AnyKey(),))


def _answered(key: str, draft: HoldDraft) -> Pressed | None:
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
        opened = Line(_OPENS[key], serial=draft.serial)
        return Pressed(opened, say=f"{opened.typing.value}?")
    return None


def _typed(key: str, state: SessionState, line: Line, parsers: Parsers) -> Pressed:
    """Take a key into the line that is being typed, or finish it."""
    if key == ESCAPE:
        return Pressed(_NOT_TYPING, say="nothing noted")
    if key == BACKSPACE:
        return Pressed(replace(line, text=line.text[:-1]))
    if key != ENTER:
        typed = key if len(key) == 1 else ""
        return Pressed(replace(line, text=line.text + typed))
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
            return AnswerKept(line.serial, lost_on_breath=_whole(text))
        case Typing.HELD:
            return AnswerHeld(line.serial, _number(text))
        case Typing.PAIN:
            return AnswerPain(line.serial, parsers.pain(text))
        case Typing.FELT:
            each = tuple(parsers.felt(part.strip()) for part in text.split(","))
            return AnswerFelt(line.serial, each)
        case _:
            return AnswerNote(line.serial, text)


def _number(text: str) -> float:
    try:
        number = float(text)
    except ValueError:
        raise ValueError(f"{text!r} is not a number") from None
    if not math.isfinite(number):
        raise ValueError(f"{text!r} is not a number of seconds")
    return number


def _whole(text: str) -> int:
    number = _number(text)
    if not (number.is_integer() and 1 <= number <= MOST_BREATHS):
        raise ValueError(f"{text!r} is not the number of a breath")
    return int(number)


def finish(line: Line, parsers: Parsers) -> tuple[Line, tuple[Event, ...]]:
    """Give up the keys as a set-up begins: what is half typed is kept if it can be.

    A note is kept as it stands. A pain that isn't typed to its end is still a pain, at
    no one site: a warning sign is never dropped.
    """
    text = line.text.strip()
    if line.typing is Typing.NOTE and text:
        return _NOT_TYPING, (AnswerNote(line.serial, text),)
    if line.typing is Typing.PAIN:
        try:
            pain = parsers.pain(text)
        except ValueError:
            pain = Pain(PainKind.PAIN)
        return _NOT_TYPING, (AnswerPain(line.serial, pain),)
    return _NOT_TYPING, ()

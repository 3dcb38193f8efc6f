"""Keys of the line-by-line session: a key and what is being typed in, events out.

The letters are those of the full screen. Pure, so that every key can be tested without
a terminal; what a typed text means is left to a parser that is handed in.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import TypeVar

from trainer.core.model import (
    FELT_SITES,
    PAIN_SITES,
    Feet,
    Felt,
    Moment,
    Pain,
    PainKind,
    Side,
    Site,
    StoppedBy,
)
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
    Ready,
    Resolve,
    Resume,
    Skip,
    SkipWarmUp,
    TakeBack,
)
from trainer.core.session.state import HoldDraft, Phase, SessionState

STOPPED_BY: Mapping[str, StoppedBy] = {why.letter: why for why in StoppedBy}
CONTROL: Mapping[str, type[Event]] = {
    "z": TakeBack,
    "j": Skip,
    "w": PauseSession,
}
ONLY_IN: Mapping[tuple[Phase, str], type[Event]] = {
    (Phase.WARM_UP, "o"): SkipWarmUp,
    (Phase.SET_UP, "g"): Ready,
}
"""Letters that mean something of their own in one phase."""
MOST_STRENGTH = 10
MOST_BREATHS = 600
"""No hold has more: the longest, at the fastest pattern."""
ENTER, ESCAPE, BACKSPACE = "enter", "escape", "backspace"
GO_ON = frozenset({ENTER, " "})


class Typing(StrEnum):
    """What a line is being typed for."""

    NOTHING = ""
    BREATH = "Lost on breath"
    HELD = "Seconds held"
    PAIN = "Pain: a number, or written as SITE:SIDE=KIND"
    FELT = "Felt: a number, or written as SITE:SIDE@MOMENT=STRENGTH, more after commas"
    NOTE = "Note"
    SURE = "q again ends the session"
    SKIP = "j again leaves this set out"
    ANYWAY = "there was pain: a again puts back the sets that it took out; it is kept"
    HAPPENED = "seconds held, enter for those noted, x if it didn't happen"


ASKED_AGAIN: Mapping[Typing, tuple[str, Event]] = {
    Typing.SURE: ("q", EndSession()),
    Typing.SKIP: ("j", Skip()),
    Typing.ANYWAY: ("a", OverridePain()),
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
class Pick:
    """One choice out of a numbered list."""

    asks: str
    choices: tuple[tuple[str, str], ...]
    """What is chosen, and how it reads; numbered from 1."""
    left_open: str
    """What Enter alone means."""
    spelled_out: bool = True
    """Whether the list needs to be read: figures speak for themselves."""

    def lines(self) -> tuple[str, ...]:
        """Give the question and its list, a line each."""
        if not self.spelled_out:
            return (f"{self.asks} Enter: {self.left_open}.",)
        listed = (
            f"  {n} {words}" for n, (_, words) in enumerate(self.choices, start=1)
        )
        return (f"{self.asks} Enter: {self.left_open}.", *listed)

    def numbered(self, text: str) -> tuple[str | None, bool]:
        """Give what a number chooses, and whether it may still become another one."""
        labels = [str(n + 1) for n in range(len(self.choices))]
        longer = any(each != text and each.startswith(text) for each in labels)
        if text in labels:
            return self.choices[labels.index(text)][0], longer
        return None, longer


_SIDES = Pick(
    "On which side?",
    ((Side.LEFT, "left"), (Side.RIGHT, "right"), (Side.BOTH, "both")),
    "not said",
)


def _places(sites: Sequence[Site]) -> tuple[tuple[str, str], ...]:
    return tuple((site, site.words) for site in sites)


PICKS: Mapping[Typing, tuple[Pick, ...]] = {
    Typing.PAIN: (
        Pick(
            "What is it?",
            (
                (PainKind.PAIN, "pain"),
                (PainKind.NUMB, "numb, or it tingles"),
                (PainKind.DIZZY, "dizzy, headache, changed sight: ends the session"),
            ),
            "nothing noted",
        ),
        Pick("Where does it hurt?", _places(PAIN_SITES), "in no one place"),
        _SIDES,
    ),
    Typing.FELT: (
        Pick("Where was the stretch?", _places(FELT_SITES), "nothing noted"),
        _SIDES,
        Pick(
            "When?",
            (
                (Moment.SETTLED, "all the time"),
                (Moment.EXHALE, "only with the long exhale"),
            ),
            "not said",
        ),
        Pick(
            f"How strong was it, 1 to {MOST_STRENGTH}?",
            tuple((str(n), f"strength {n}") for n in range(1, MOST_STRENGTH + 1)),
            "not said",
            spelled_out=False,
        ),
    ),
}
"""What is asked one after the other, each out of a numbered list."""


@dataclass(frozen=True, slots=True)
class Line:
    """What is being typed just now."""

    typing: Typing = Typing.NOTHING
    text: str = ""
    serial: int | None = None
    """The hold that it is about, where the session may go on meanwhile."""
    picked: tuple[str | None, ...] = ()
    """What was chosen from the numbered lists so far; None: left open."""


@dataclass(frozen=True, slots=True)
class Pressed:
    """What a key led to."""

    line: Line
    events: tuple[Event, ...] = ()
    say: tuple[str, ...] = ()
    """Lines for the person."""


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
    if line.typing in ASKED_AGAIN:
        again, sure_event = ASKED_AGAIN[line.typing]
        sure = (sure_event,) if key == again else ()
        return Pressed(_NOT_TYPING, sure, () if sure else ("Going on.",))
    if state.phase is Phase.INTERRUPTED:
        line = Line(Typing.HAPPENED, line.text)
        if key == "x":
            return Pressed(_NOT_TYPING, (Resolve(None),))
    if line.typing is not Typing.NOTHING:
        return _typed(key, state, line, parsers)
    if key == "q" and state.phase is not Phase.DONE:
        return Pressed(Line(Typing.SURE), say=(f"{Typing.SURE.value}.",))
    if key == "j" and state.phase is Phase.SET_UP:
        return Pressed(Line(Typing.SKIP), say=(f"{Typing.SKIP.value}.",))
    if key == "a":
        return Pressed(Line(Typing.ANYWAY), say=(f"{Typing.ANYWAY.value}.",))
    if (state.phase, key) in ONLY_IN:
        return Pressed(line, (ONLY_IN[state.phase, key](),))
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
        picks = PICKS.get(opened.typing)
        return Pressed(opened, say=() if picks is None else picks[0].lines())
    return None


def _picks(key: str, state: SessionState, line: Line) -> Pressed:
    """Take a key into the numbered list that is being asked."""
    picks = PICKS[line.typing]
    pick = picks[len(line.picked)]
    if key == ENTER and not line.text:
        if not line.picked:
            return Pressed(_NOT_TYPING, say=("Nothing noted.",))
        return _picked(state, line, None, pick.left_open)
    if key == BACKSPACE:
        return Pressed(replace(line, text=line.text[:-1]))
    if key != ENTER and not key.isdecimal():
        return Pressed(line, say=("A number of the list, Enter or Escape.",))
    text = line.text if key == ENTER else line.text + key
    chosen, longer = pick.numbered(text)
    if longer and key != ENTER:
        return Pressed(replace(line, text=text))
    if chosen is None:
        again = replace(line, text="")
        return Pressed(again, say=(f"There is no number {text} in the list.",))
    return _picked(state, line, chosen, dict(pick.choices)[chosen])


def _picked(state: SessionState, line: Line, chosen: str | None, words: str) -> Pressed:
    """Go on to the next list, or note what was chosen."""
    picked = (*line.picked, chosen)
    picks = PICKS[line.typing]
    said = f"{words[:1].upper()}{words[1:]}."
    placeless = len(picked) == 2 and chosen is None and line.typing is Typing.PAIN
    over = placeless or PainKind.DIZZY in picked or len(picked) == len(picks)
    if not over:
        more = picks[len(picked)].lines()
        return Pressed(replace(line, text="", picked=picked), say=(said, *more))
    event: Event
    if line.typing is Typing.PAIN:
        event = AnswerPain(line.serial, pain_picked(picked))
    else:
        event = AnswerFelt(line.serial, _felt_picked(state, line.serial, picked))
    return Pressed(_NOT_TYPING, (event,), (said,))


def pain_picked(picked: Sequence[str | None]) -> Pain:
    """Give the warning sign that was chosen so far; what wasn't asked is open."""
    kind, site, side = (*picked, None, None)[:3]
    return Pain(PainKind(kind or PainKind.PAIN), _as(Site, site), _as(Side, side))


def _felt_picked(
    state: SessionState, serial: int | None, picked: Sequence[str | None]
) -> tuple[Felt, ...]:
    """Give the places of a hold with the one that was chosen; the others stay."""
    site, side, moment, strength = picked
    made = Felt(
        Site(site or ""),
        _as(Side, side),
        _as(Moment, moment),
        None if strength is None else float(strength),
    )
    drafts = [each for each in state.kept_holds if each.serial == serial]
    before = drafts[0].felt if drafts else ()
    return (*(each for each in before if each.site is not made.site), made)


_Word = TypeVar("_Word", bound=StrEnum)


def _as(kind: type[_Word], word: str | None) -> _Word | None:
    return None if word is None else kind(word)


def _typed(key: str, state: SessionState, line: Line, parsers: Parsers) -> Pressed:
    """Take a key into the line that is being typed, or finish it."""
    if key == ESCAPE:
        return Pressed(_NOT_TYPING, say=("Nothing noted.",))
    if line.typing in PICKS and (line.picked or (line.text + key).isdecimal()):
        return _picks(key, state, line)
    if key == BACKSPACE:
        return Pressed(replace(line, text=line.text[:-1]))
    if key != ENTER:
        typed = key if len(key) == 1 else ""
        return Pressed(replace(line, text=line.text + typed))
    try:
        event = _meant(line, state, parsers)
    except ValueError as error:
        return Pressed(_NOT_TYPING, say=(f"{error}.",))
    if event is None:
        return Pressed(_NOT_TYPING, say=("Nothing noted.",))
    return Pressed(_NOT_TYPING, (event,))


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
        if line.picked:
            return _NOT_TYPING, (AnswerPain(line.serial, pain_picked(line.picked)),)
        try:
            pain = parsers.pain(text)
        except ValueError:
            pain = Pain(PainKind.PAIN)
        return _NOT_TYPING, (AnswerPain(line.serial, pain),)
    return _NOT_TYPING, ()

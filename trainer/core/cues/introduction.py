"""The six sounds of a hold, once each with its name, in half a minute.

Nobody explains a tone to somebody who hangs from a bar: they are heard beforehand, once
before the first session and whenever they are asked for.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from trainer.core.cues.cues import CUES, Cue, TimedCue
from trainer.core.model import History

HEARD_ANSWER = "sounds-heard"
"""The answer under which the day is kept on which they were heard, or left."""
INTRODUCTION_S = 30.0
"""How long it takes (our choice)."""


@dataclass(frozen=True, slots=True)
class Introduced:
    """One sound of a hold."""

    at_s: float
    """When it begins, from the start of the introduction."""
    name: str
    meaning: str
    cues: tuple[TimedCue, ...]
    """On the same axis."""


def _introduced(at_s: float, *cues: TimedCue) -> Introduced:
    kind = CUES[cues[0].cue]
    moved = tuple(cue.moved(at_s) for cue in cues)
    return Introduced(at_s, kind.label, kind.meaning, moved)


_BREATH = (TimedCue(0.0, Cue.IN, 3.0), TimedCue(3.0, Cue.OUT, 5.0))
_TICKS = tuple(TimedCue(3.0 - left, Cue.LAST_TICK, stride=left) for left in (3, 2, 1))

INTRODUCTION: tuple[Introduced, ...] = (
    _introduced(0.0, TimedCue(0.0, Cue.GO_UP)),
    _introduced(4.0, TimedCue(0.0, Cue.HOLD)),
    replace(
        _introduced(8.0, *_BREATH),
        name="breath",
        meaning="in as it rises, out for as long as it falls",
    ),
    _introduced(18.0, *_TICKS),
    _introduced(22.5, TimedCue(0.0, Cue.TARGET)),
    _introduced(25.5, TimedCue(0.0, Cue.IN_THEN_DOWN, 3.5)),
)
"""In the order in which a hold brings them."""


def introduction_sheet(start_s: float) -> tuple[TimedCue, ...]:
    """Give the cues of the introduction that begins at START_S."""
    return tuple(cue.moved(start_s) for each in INTRODUCTION for cue in each.cues)


def sounding(elapsed_s: float) -> int | None:
    """Give the place of the sound whose turn it is, or None before and after."""
    if elapsed_s >= INTRODUCTION_S:
        return None
    begun = [each for each in INTRODUCTION if each.at_s <= elapsed_s]
    return len(begun) - 1 if begun else None


def wants_introduction(answers: Mapping[str, str], history: History) -> bool:
    """Tell whether this person has neither heard the sounds nor trained yet."""
    return not answers.get(HEARD_ANSWER) and not history.sessions

"""The score: what every cue sounds like, in notes and in words.

The one place where pitches and lengths are declared. ``scripts/make_sounds.py`` renders
it into ``sounds/``, the sound process makes the breaths from it, and the tests hold the
clips to it. Everything lies within 300 to 3000 Hz, which laptop speakers carry; that
range and the notes are our choice.

Cues are told apart by rhythm, direction, pitch and length: any two differ in at least
two of these (``tests/sound/test_tones.py`` has the table).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from trainer.core.cues.cues import Cue

RATE_HZ = 22050
"""Half the usual rate: nothing here goes past 3 kHz, and a set of ten minutes then fits
into 26 MB of live buffer."""


@dataclass(frozen=True, slots=True)
class Note:
    """One tone, gliding evenly from one pitch to another, and the pause after it."""

    from_hz: float
    to_hz: float
    length_s: float
    rest_s: float = 0.0


def _level(hz: float, length_s: float, rest_s: float = 0.0) -> Note:
    return Note(hz, hz, length_s, rest_s)


# Equal temperament on A4 = 440 Hz (ISO 16), rounded to whole hertz.
_F4, _G4, _A4, _B4 = 349.0, 392.0, 440.0, 494.0
_C5, _D5, _E5, _G5, _A5 = 523.0, 587.0, 659.0, 784.0, 880.0
_C6, _D6, _E6, _G6 = 1047.0, 1175.0, 1319.0, 1568.0

NOTES: Mapping[Cue, tuple[Note, ...]] = {
    Cue.SETUP_TICK: (_level(_A4, 0.06),),
    Cue.GO_UP: (Note(_C5, _C6, 0.34),),
    Cue.HOLD: (_level(_C6, 0.45),),
    Cue.HALFWAY: (_level(_E5, 0.13, 0.09), _level(_E5, 0.13)),
    Cue.TEN_LEFT: tuple(_level(_D6, 0.06, 0.05) for _ in range(3)),
    Cue.LAST_TICK: (_level(_G6, 0.04, 0.03), _level(_G6, 0.05)),
    Cue.TEN_MORE: (_level(_G5, 0.07, 0.04), _level(_D6, 0.22)),
    Cue.PRESS_ON: (_level(_F4, 0.07, 0.05), _level(_F4, 0.07, 0.05), _level(_F4, 0.2)),
    Cue.TARGET: (
        _level(_C5, 0.08),
        _level(_E5, 0.08),
        _level(_G5, 0.08),
        _level(_C6, 0.22),
    ),
    Cue.REST: (_level(_E5, 0.2, 0.03), _level(_C5, 0.2, 0.03), _level(_G4, 0.4)),
    Cue.REST_NEARLY_OVER: (
        _level(_G5, 0.12, 0.06),
        _level(_D5, 0.12, 0.06),
        _level(_G5, 0.12, 0.06),
        _level(_D5, 0.3),
    ),
    Cue.NOT_YET: (Note(_E5, _A4, 0.18, 0.05), Note(_E5, _A4, 0.18)),
    Cue.NEXT_MOVE: (_level(_G4, 0.12, 0.04), _level(_B4, 0.12, 0.04), _level(_G4, 0.3)),
    Cue.TEST: (Note(_A4, _A5, 0.3), Note(_A5, _A4, 0.3)),
    Cue.DONE: (
        _level(_C6, 0.16, 0.02),
        _level(_G5, 0.16, 0.02),
        _level(_E5, 0.16, 0.02),
        _level(_G5, 0.16, 0.02),
        _level(_C5, 0.7),
    ),
}
"""Cues whose clips are made beforehand."""

BREATHS: Mapping[Cue, tuple[float, float]] = {
    Cue.IN: (494.0, 784.0),
    Cue.OUT: (620.0, 330.0),
}
"""Pitches that a breath begins and ends on; its length is what the timeline says."""

DOWN_HZ: tuple[float, ...] = (_G5, _E5, _C5, _F4)
"""The steps down of in-then-down; each is a step toward the floor."""
IN_SHARE = 0.4
"""The share of in-then-down that is the breath in, at the breath's own pitches."""

WORDS: Mapping[Cue, str] = {
    Cue.GO_UP: "go up now",
    Cue.HOLD: "and hold",
    Cue.IN: "breathe in",
    Cue.OUT: "breathe out",
    Cue.HALFWAY: "halfway",
    Cue.TEN_LEFT: "ten left",
    Cue.TEN_MORE: "ten more",
    Cue.PRESS_ON: "keep pressing",
    Cue.TARGET: "target",
    Cue.IN_THEN_DOWN: "breathe in, and come down",
    Cue.REST: "rest now",
    Cue.REST_NEARLY_OVER: "rest nearly over",
    Cue.NOT_YET: "not yet",
    Cue.NEXT_MOVE: "next",
    Cue.DONE: "all done",
}
"""What is said: phrases rather than single syllables, which a recogniser can't tell
apart under a tone (``scripts/hear_words.py``). A set-up tick has no word and ticks in
every voice."""

COUNTED: Mapping[Cue, Mapping[int, str]] = {
    Cue.LAST_TICK: {3: "three", 2: "two", 1: "one"},
    Cue.TEST: {1: "a test, one breath left", 2: "a test, two breaths left"},
}
"""What is said where the word is the count (``TimedCue.stride``)."""


def tone_file(cue: Cue) -> str:
    """Name the clip of CUE's tone."""
    return f"tone-{cue.value}.wav"


def word_file(word: str) -> str:
    """Name the clip of WORD."""
    letters = "".join(char if char.isalpha() else " " for char in word)
    return f"word-{'-'.join(letters.split())}.wav"


def word_for(cue: Cue, stride: int) -> str | None:
    """Give the word for CUE, or None where there is none."""
    if cue in COUNTED:
        return COUNTED[cue].get(stride)
    return WORDS.get(cue)


def all_words() -> tuple[str, ...]:
    """Give every word that is spoken, sorted."""
    counted = (word for words in COUNTED.values() for word in words.values())
    return tuple(sorted({*WORDS.values(), *counted}))

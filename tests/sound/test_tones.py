"""Told apart by ear alone: any two tones differ in at least two ways."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import combinations, pairwise

import pytest

from trainer.core.cues.cues import CUES, Cue
from trainer.sound.tones import (
    BREATHS,
    COUNTED,
    DOWN_HZ,
    NOTES,
    WORDS,
    Note,
    all_words,
    word_file,
)

SEMITONES = 2.5
"""Pitches further apart than this are told apart without a musician's ear (our
choice; well over the few per cent that untrained listeners can tell)."""
LONGER = 1.3
"""Lengths in at least this ratio differ (our choice; a Weber fraction of about 5 % for
short intervals is published, Front Psychol 2014, 5:1453)."""


@dataclass(frozen=True)
class Ear:
    """What an ear has to go by."""

    rhythm: str
    direction: str
    hz: float
    length_s: float

    def differs(self, other: Ear) -> set[str]:
        """Name the ways in which two sounds differ."""
        ways = set()
        if self.rhythm != other.rhythm:
            ways.add("rhythm")
        if self.direction != other.direction:
            ways.add("direction")
        if abs(12 * math.log2(self.hz / other.hz)) > SEMITONES:
            ways.add("pitch")
        lengths = sorted((self.length_s, other.length_s))
        if lengths[1] / lengths[0] >= LONGER:
            ways.add("length")
        return ways


def heard(notes: tuple[Note, ...]) -> Ear:
    """Say how NOTES sound."""
    longest = max(note.length_s for note in notes)
    rhythm = "".join("-" if n.length_s > 0.6 * longest else "." for n in notes)
    pitches = [hz for note in notes for hz in (note.from_hz, note.to_hz)]
    steps = [("=", "+", "-")[(b > a) - (b < a)] for a, b in pairwise(pitches)]
    turns = [step for step in steps if step != "="]
    direction = "".join(
        turn for index, turn in enumerate(turns) if [turn] != turns[index - 1 : index]
    )
    length_s = sum(note.length_s + note.rest_s for note in notes)
    weighed = sum(
        note.length_s * math.log2(math.sqrt(note.from_hz * note.to_hz))
        for note in notes
    )
    hz = 2 ** (weighed / sum(note.length_s for note in notes))
    return Ear(rhythm, direction or "=", hz, length_s)


def everything() -> dict[Cue, Ear]:
    """Give every tone cue as an ear has it, breaths at the default pattern."""
    table = {cue: heard(notes) for cue, notes in NOTES.items()}
    table[Cue.IN] = heard((Note(*BREATHS[Cue.IN], 4.0),))
    table[Cue.OUT] = heard((Note(*BREATHS[Cue.OUT], 6.0),))
    steps = tuple(Note(hz, hz, 0.36, 0.09) for hz in DOWN_HZ)
    table[Cue.IN_THEN_DOWN] = heard((Note(*BREATHS[Cue.IN], 1.2), *steps))
    return table


@pytest.mark.parametrize(("one", "other"), list(combinations(Cue, 2)))
def test_any_two_tones_differ_in_two_ways(one: Cue, other: Cue) -> None:
    """Rhythm, direction, pitch, length: at least two of the four are different."""
    table = everything()
    ways = table[one].differs(table[other])

    assert len(ways) >= 2, f"{one} {table[one]}, {other} {table[other]}: only {ways}"


def test_every_cue_has_a_tone_a_word_and_a_name() -> None:
    """No cue is silent in any voice: a last tick says its count,
    and a set-up only ticks."""
    assert set(Cue) == set(NOTES) | set(BREATHS) | {Cue.IN_THEN_DOWN}
    assert set(Cue) == set(WORDS) | set(COUNTED) | {Cue.SETUP_TICK}
    assert set(Cue) == set(CUES)


def test_words_are_told_apart() -> None:
    """No two cues say the same, and no two words share a file."""
    assert len(set(WORDS.values())) == len(WORDS)
    assert len({word_file(word) for word in all_words()}) == len(all_words())

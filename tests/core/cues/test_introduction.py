"""The six sounds of a hold, once each with its name."""

from __future__ import annotations

from itertools import pairwise

from trainer.core.cues.cues import Cue
from trainer.core.cues.introduction import (
    HEARD_ANSWER,
    INTRODUCTION,
    INTRODUCTION_S,
    introduction_sheet,
    sounding,
    wants_introduction,
)
from trainer.core.cues.timeline import merge
from trainer.core.model import History

IN_A_HOLD = {
    Cue.GO_UP,
    Cue.HOLD,
    Cue.IN,
    Cue.OUT,
    Cue.LAST_TICK,
    Cue.TARGET,
    Cue.IN_THEN_DOWN,
}


def test_six_sounds_have_half_a_minute() -> None:
    """Six names, all different, each with what it means, within thirty seconds."""
    ends_s = [cue.at_s + cue.length_s for each in INTRODUCTION for cue in each.cues]

    assert 6 == len({each.name for each in INTRODUCTION})
    assert 6 == len({each.meaning for each in INTRODUCTION})
    assert IN_A_HOLD == {cue.cue for each in INTRODUCTION for cue in each.cues}
    assert max(ends_s) < INTRODUCTION_S == 30


def test_no_two_sounds_meet() -> None:
    """Each has its time to itself, by the rule that a session goes by too, and the one
    before has been over for a second at least."""
    sheet = introduction_sheet(100.0)

    assert merge(sheet) == sheet
    assert 100.0 == sheet[0].at_s
    for before, after in pairwise(INTRODUCTION):
        assert max(c.at_s + c.length_s for c in before.cues) + 1 <= after.at_s


def test_the_one_whose_turn_it_is_is_known() -> None:
    """By the time that has gone by; none before the first, none at the end."""
    assert None is sounding(-0.1)
    assert 0 == sounding(0.0)
    assert 2 == sounding(INTRODUCTION[3].at_s - 0.1)
    assert 3 == sounding(INTRODUCTION[3].at_s)
    assert None is sounding(INTRODUCTION_S)


def test_it_is_for_whoever_has_neither_heard_them_nor_trained() -> None:
    """Once heard, or left, they don't come by themselves again."""
    assert wants_introduction({}, History())
    assert not wants_introduction({HEARD_ANSWER: "2026-03-09"}, History())

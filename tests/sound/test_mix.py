"""From a sheet to samples: cuts, joins, late cues, words that find no room."""

from __future__ import annotations

import math
from array import array
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.core.cues.breathing import OFFERED, Pattern
from trainer.core.cues.cues import Cue, TimedCue
from trainer.core.cues.settings import SoundSettings, Voice
from trainer.core.cues.timeline import BREATHS, hold_cues
from trainer.core.model import EndOfHold
from trainer.sound import clips
from trainer.sound.mix import FADE_S, Placed, Voicing, place, render
from trainer.sound.synth import made_to_length, samples_of
from trainer.sound.tones import RATE_HZ, tone_file, word_file

CLIPS = clips.load()
TONES = Voicing(CLIPS, SoundSettings(voice=Voice.TONES))
BREATH = TimedCue(1.0, Cue.OUT, 4.0)
TICK = TimedCue(3.0, Cue.LAST_TICK, stride=1)


def laid(
    *sheet: TimedCue,
    before: tuple[Placed, ...] = (),
    edit_s: float = 0.0,
    voicing: Voicing = TONES,
) -> tuple[Placed, ...]:
    """Lay SHEET into a stream that begins at 0."""
    edit = samples_of(edit_s)
    return place(sheet, before=before, voicing=voicing, zero_s=0, edit=edit)


def sounded(placed: tuple[Placed, ...], start_s: float, stop_s: float) -> array[int]:
    """Give what is to be heard between two times."""
    return array("h", render(placed, samples_of(start_s), samples_of(stop_s)))


def test_a_cue_lies_where_its_time_says() -> None:
    """A clip's first sample is at its cue's time, to the sample, amid silence."""
    clip = CLIPS[tone_file(Cue.LAST_TICK)]
    heard = sounded(laid(TICK), 2.0, 4.0)

    assert [0] * RATE_HZ == list(heard[:RATE_HZ])
    assert clip == heard[RATE_HZ : RATE_HZ + len(clip)]
    assert not any(heard[RATE_HZ + len(clip) :])


@given(cuts=st.lists(st.floats(0.0, 8.0), max_size=6))
def test_rendering_in_pieces_is_rendering_at_once(cuts: list[float]) -> None:
    """Where a stream is cut into pieces leaves no trace in it."""
    placed = laid(BREATH, TICK, TimedCue(2.0, Cue.TEN_LEFT))
    edges = [0.0, *sorted(cuts), 8.0]
    pieces = array("h")
    for start_s, stop_s in pairwise(edges):
        pieces.extend(sounded(placed, start_s, stop_s))

    assert sounded(placed, 0.0, 8.0) == pieces


def test_sounds_that_meet_add_up() -> None:
    """A tick over a breath is the sum of both, not one in place of the other."""
    both = sounded(laid(BREATH, TICK), 3.0, 3.1)
    breath = sounded(laid(BREATH), 3.0, 3.1)
    tick = sounded(laid(TICK), 3.0, 3.1)

    assert [a + b for a, b in zip(breath, tick, strict=True)] == list(both)


@given(edit_s=st.floats(0.0, 6.0))
def test_nothing_before_the_edit_is_changed(edit_s: float) -> None:
    """Whatever comes, what may already be on its way stays as it was."""
    before = laid(BREATH, TICK)
    after = laid(TimedCue(0.5, Cue.TARGET), before=before, edit_s=edit_s)

    just_before_s = max(0.0, edit_s - 0.5)
    kept = sounded(before, just_before_s, edit_s)
    assert kept == sounded(after, just_before_s, edit_s)


@given(edit_s=st.floats(0.0, 6.0))
def test_the_same_sheet_again_changes_nothing(edit_s: float) -> None:
    """A cue in progress that is still wanted goes on unbroken, to the sample."""
    before = laid(BREATH, TICK)
    after = laid(BREATH, TICK, before=before, edit_s=edit_s)

    assert sounded(before, edit_s, 8) == sounded(after, edit_s, 8)


def test_a_sound_no_longer_wanted_is_gone_behind_a_fade() -> None:
    """Eight milliseconds after the edit there is silence, and no step on the way is
    larger than those of the sound itself."""
    before = laid(BREATH)
    after = sounded(laid(before=before, edit_s=3.0), 2.5, 4.0)
    natural = sounded(before, 2.5, 4.0)
    gone = samples_of(0.5 + FADE_S)

    assert not any(after[gone:])
    assert any(after[: gone - 20])
    steps = [abs(b - a) for a, b in pairwise(after)]
    assert max(steps) <= 1.2 * max(abs(b - a) for a, b in pairwise(natural))


def test_an_event_due_just_now_sounds_at_once() -> None:
    """The key's own sound comes at the edit, a tenth of a second late, not never."""
    late = TimedCue(2.95, Cue.TARGET)
    clip = CLIPS[tone_file(Cue.TARGET)]

    assert clip == sounded(laid(late, edit_s=3.0), 3.0, 4.0)[: len(clip)]


def test_no_burst_of_late_cues() -> None:
    """What is past is dropped: after a gap only what is due now is heard."""
    past = [TimedCue(at_s, Cue.LAST_TICK) for at_s in (0.5, 1.0, 1.5, 2.0, 2.5)]

    assert not any(sounded(laid(*past, edit_s=3.0), 0, 6))


def test_a_breath_under_way_is_joined_and_ends_in_time() -> None:
    """After a restart the breath goes on where it would be, behind a fade."""
    whole = made_to_length(Cue.OUT, samples_of(4.0))
    heard = sounded(laid(BREATH, edit_s=3.0), 3.0, 6.0)

    assert heard[0] == 0
    assert whole[samples_of(2.5) :] == heard[samples_of(0.5) : samples_of(2.0)]
    assert not any(heard[samples_of(2.0) :])


def test_a_sheet_sent_again_repeats_nothing() -> None:
    """A tick that has just ended is known, and isn't sounded a second time."""
    before = laid(TICK)
    after = laid(TICK, before=before, edit_s=3.25)

    assert not any(sounded(after, 3.2, 5.0))


def test_muted_cues_are_left_out_and_volume_scales() -> None:
    """Each kind can be turned off; what is heard goes by the square of the volume."""
    tones = Voice.TONES
    muted = Voicing(CLIPS, SoundSettings(voice=tones, muted=frozenset({Cue.OUT})))
    half = Voicing(CLIPS, SoundSettings(voice=tones, volume=0.5))
    tick = sounded(laid(TICK), 3.0, 3.1)

    assert sounded(laid(TICK), 0, 6) == sounded(laid(BREATH, TICK, voicing=muted), 0, 6)
    quarter = sounded(laid(TICK, voicing=half), 3.0, 3.1)
    assert [round(value * 0.25) for value in tick] == list(quarter)
    off = Voicing(CLIPS, SoundSettings(volume=0))
    assert not any(sounded(laid(TICK, voicing=off), 0, 6))


@pytest.mark.parametrize(
    ("voice", "word_at_s"),
    [
        (Voice.WORDS, 3.0),
        (Voice.BOTH, 3.0 + len(CLIPS["tone-last-tick.wav"]) / RATE_HZ),
    ],
)
def test_a_word_takes_the_tones_place_or_follows_it(
    voice: Voice, word_at_s: float
) -> None:
    """In words the count is spoken on its second; in both right after the tick."""
    voicing = Voicing(CLIPS, SoundSettings(voice=voice))
    heard = sounded(laid(TICK, voicing=voicing), word_at_s, 5.0)
    word = CLIPS[word_file("one")]

    assert word == heard[: len(word)]


def test_a_breaths_word_gives_way_to_an_event() -> None:
    """A hold and a breath in begin together: the hold is said, and nothing over it."""
    voicing = Voicing(CLIPS, SoundSettings(voice=Voice.WORDS))
    hold, breath = TimedCue(3.0, Cue.HOLD), TimedCue(3.0, Cue.IN, 4.0)

    alone = sounded(laid(hold, voicing=voicing), 0, 8)
    assert alone == sounded(laid(hold, breath, voicing=voicing), 0, 8)
    later = TimedCue(5.0, Cue.IN, 4.0)
    assert alone != sounded(laid(hold, later, voicing=voicing), 0, 8)


def test_a_word_that_would_run_into_the_next_event_is_left_out() -> None:
    """The tone alone then: nothing is spoken over a last tick."""
    both = Voicing(CLIPS, SoundSettings(voice=Voice.BOTH))
    hold = TimedCue(3.0, Cue.HOLD)
    spoken = CLIPS[word_file("and hold")]
    at_s = 3.0 + len(CLIPS[tone_file(Cue.HOLD)]) / RATE_HZ
    alone = laid(hold, voicing=both)
    followed = laid(hold, TimedCue(4.1, Cue.LAST_TICK, stride=1), voicing=both)

    assert spoken == sounded(alone, at_s, 6.0)[: len(spoken)]
    assert sounded(laid(hold), 0, 4.1) == sounded(followed, 0, 4.1)


@given(
    target_s=st.floats(1.0, 60.0),
    press=st.booleans(),
    pattern=st.sampled_from(OFFERED),
    voice=st.sampled_from([Voice.WORDS, Voice.BOTH]),
)
def test_no_word_is_spoken_over_an_event(
    target_s: float, press: bool, pattern: Pattern, voice: Voice
) -> None:
    """In no hold does a word begin before the last event is over, or last into the
    next one."""
    sheet = hold_cues(
        target_s=target_s,
        pattern=pattern,
        end_of_hold=EndOfHold.STOP,
        limit_s=None,
        press=press,
    )
    placed = laid(*sheet, voicing=Voicing(CLIPS, SoundSettings(voice=voice)))
    events = [one for one in placed if one.cue.cue not in BREATHS]
    words = [(one, s) for one in placed for s in one.sounds if s.spoken]
    met = [
        (one.cue, event.cue)
        for one, word in words
        for event in events
        if event is not one and word.start < event.end and event.start < word.end
    ]

    assert [] == met


def test_a_breath_is_quieter_under_a_word_and_only_there() -> None:
    """Fifteen decibels less while the word is spoken, all of it before and after."""
    voicing = Voicing(CLIPS, SoundSettings(voice=Voice.BOTH, muted=frozenset({Cue.IN})))
    breath, event = TimedCue(1.0, Cue.OUT, 6.0), TimedCue(4.0, Cue.TARGET)
    placed = laid(breath, event, voicing=voicing)
    tone, _ = next(one for one in placed if one.cue is breath).sounds
    word = next(one for one in placed if one.cue is event).sounds[1]
    under = array("h", render([Placed(breath, tone.start, (tone,))], 0, 7 * RATE_HZ))
    whole = made_to_length(Cue.OUT, samples_of(6.0))
    first, last = word.start + samples_of(0.03), word.end - samples_of(0.03)
    loudest = max(map(abs, whole[first - RATE_HZ : last - RATE_HZ]))

    own = samples_of(2.0)  # until then its own word is spoken over it
    assert whole[own - RATE_HZ : word.start - RATE_HZ] == under[own : word.start]
    after = word.end + samples_of(0.03)
    assert whole[after - RATE_HZ :] == under[after : 7 * RATE_HZ]
    heard = max(map(abs, under[first:last]))
    assert pytest.approx(-15, abs=0.1) == 20 * math.log10(heard / loudest)


def test_a_missing_clip_is_a_silence_and_no_fault() -> None:
    """A damaged installation still leads the breath, which needs no file."""
    bare = Voicing({}, SoundSettings())

    assert not any(sounded(laid(TICK, voicing=bare), 0, 6))
    assert any(sounded(laid(BREATH, voicing=bare), 0, 6))

"""The clips: rebuilt to the byte, measured against published values."""

from __future__ import annotations

import importlib
import math
import struct
from array import array
from typing import Any

import numpy as np
import pytest

from tests.references import in_one_worker, pyloudnorm, signal
from trainer.core.cues.breathing import OFFERED, lay
from trainer.core.cues.cues import Cue, TimedCue
from trainer.core.cues.settings import SoundSettings, Voice
from trainer.core.cues.timeline import BREATHS, ROOM_S
from trainer.sound import clips
from trainer.sound.mix import Voicing, place, render
from trainer.sound.synth import TAIL_S, made_to_length, samples_of
from trainer.sound.tones import (
    NOTES,
    RATE_HZ,
    all_words,
    tone_file,
    word_file,
)

pytestmark = in_one_worker
make_sounds: Any = importlib.import_module("make_sounds")
loudness: Any = importlib.import_module("_loudness")
CLIPS = clips.load()
TONES = [tone_file(cue) for cue in NOTES]
WORDS = [word_file(word) for word in all_words()]


def full_scale(samples: array[int]) -> Any:
    """Give SAMPLES as floats, full scale 1."""
    return np.array(samples, dtype=float) / 32768


def metered(samples: array[int]) -> float:
    """Meter one clip by the reference library, repeated to three seconds."""
    once = full_scale(samples)
    times = max(1, math.ceil(3 * RATE_HZ / len(once)))
    return float(pyloudnorm.Meter(RATE_HZ).integrated_loudness(np.tile(once, times)))


def test_tones_are_rebuilt_to_the_byte() -> None:
    """What lies in ``sounds/`` is what the score gives, to the byte."""
    folder = clips.sounds_dir()
    assert folder is not None
    on_disk = {name: (folder / name).read_bytes() for name in TONES}

    assert make_sounds.tone_files() == on_disk


def test_every_clip_is_there_and_small() -> None:
    """No cue lacks its clip, nothing lies about besides, and all is under 2 MB."""
    folder = clips.sounds_dir()
    assert folder is not None
    found = sorted(path.name for path in folder.glob("*.wav"))

    assert sorted(clips.expected_files()) == found
    assert sum(path.stat().st_size for path in folder.iterdir()) < 2_000_000


@pytest.mark.parametrize("name", [*TONES, *WORDS])
def test_wav_headers_byte_by_byte(name: str) -> None:
    """Headers are those of the canonical PCM layout (RIFF/WAVE, little-endian: sizes at
    4 and 40, PCM 1 at 20, channels 22, rate 24, byte rate 28, block 32, bits 34)."""
    folder = clips.sounds_dir()
    assert folder is not None
    content = (folder / name).read_bytes()
    size = len(content)

    assert b"RIFF" + struct.pack("<I", size - 8) + b"WAVEfmt " == content[:16]
    assert struct.pack("<IHHIIHH", 16, 1, 1, 22050, 44100, 2, 16) == content[16:36]
    assert b"data" + struct.pack("<I", size - 44) == content[36:44]
    assert size % 2 == 0


def test_the_meters_read_the_published_value() -> None:
    """A 997 Hz sine of full scale in one channel reads -3.01 LKFS (ITU-R BS.1770-4,
    Annex 1), on the generator's own meter, and within the 0.1 LU that meters are
    allowed (EBU Tech 3341, from memory) on the reference library."""
    time = np.arange(48_000 * 4) / 48_000
    sine = np.sin(2 * np.pi * 997 * time)

    reference = pyloudnorm.Meter(48_000).integrated_loudness(sine)
    assert pytest.approx(-3.01, abs=0.1) == reference
    own = loudness.integrated_lufs(sine.tolist(), 48_000)
    assert pytest.approx(-3.01, abs=0.01) == own


def test_the_generators_filters_are_the_published_ones() -> None:
    """At 48 kHz the filters are those of the tables in ITU-R BS.1770-4, Annex 1."""
    shelf, high_pass = loudness.k_weighting(48_000)

    assert (
        pytest.approx(
            (
                1.53512485958697,
                -2.69169618940638,
                1.19839281085285,
                -1.69065929318241,
                0.73248077421585,
            ),
            abs=1e-9,
        )
        == shelf
    )
    assert (
        pytest.approx((1.0, -2.0, 1.0, -1.99004745483398, 0.99007225036621), abs=1e-9)
        == high_pass
    )


@pytest.mark.parametrize("names", [TONES, WORDS], ids=["tones", "words"])
def test_clips_of_a_kind_are_equally_loud(names: list[str]) -> None:
    """Integrated loudness (ITU-R BS.1770, by pyloudnorm) is within ±1 LU per kind."""
    measured = {name: metered(CLIPS[name]) for name in names}
    middle = (max(measured.values()) + min(measured.values())) / 2

    assert {} == {n: lufs for n, lufs in measured.items() if abs(lufs - middle) > 1}


def test_breaths_are_equally_loud_at_every_length() -> None:
    """In and out of every offered pattern are within ±1 LU of each other."""
    measured = []
    for pattern in OFFERED:
        breaths = lay(30, pattern)
        assert breaths is not None
        for cue, length_s in ((Cue.IN, breaths.in_s), (Cue.OUT, breaths.out_s)):
            measured.append(metered(made_to_length(cue, samples_of(length_s))))

    assert max(measured) - min(measured) <= 2


@pytest.mark.parametrize("cue", list(Cue), ids=str)
def test_the_energy_of_tones_is_where_laptops_can_play_it(cue: Cue) -> None:
    """At least 99 % of a tone's energy lies within 300 to 3000 Hz."""
    signal = full_scale(tone_of(cue))
    power = np.abs(np.fft.rfft(signal)) ** 2
    hz = np.fft.rfftfreq(len(signal), 1 / RATE_HZ)

    assert power[(hz >= 300) & (hz <= 3000)].sum() >= 0.99 * power.sum()


@pytest.mark.parametrize("cue", list(Cue), ids=str)
def test_tones_begin_and_end_at_zero(cue: Cue) -> None:
    """Nothing clicks: the ends are zero and no step in the first or last 2 ms is more
    than a hundredth of full scale."""
    signal = full_scale(tone_of(cue))
    edge = samples_of(0.002)

    assert signal[0] == 0
    assert abs(signal[-1]) < 1e-3
    assert np.abs(np.diff(signal[:edge])).max() < 0.03
    assert np.abs(np.diff(signal[-edge:])).max() < 0.03


@pytest.mark.parametrize("name", WORDS)
def test_words_begin_and_end_at_zero(name: str) -> None:
    """The fades that trimming left are there."""
    signal = full_scale(CLIPS[name])

    assert abs(signal[0]) < 1e-3
    assert signal[-1] == 0


@pytest.mark.parametrize("cue", list(NOTES), ids=str)
def test_the_notes_are_those_of_the_score(cue: Cue) -> None:
    """By Fourier transform, each note sounds at the pitch that the score declares, in
    the middle of its declared time."""
    signal = full_scale(CLIPS[tone_file(cue)])
    at = 0
    for note in NOTES[cue]:
        count = samples_of(note.length_s)
        glides = note.from_hz != note.to_hz
        window = count // 8 if glides else count
        first = at + (count - window) // 2
        piece = signal[first : first + window] * np.hanning(window)
        spectrum = np.abs(np.fft.rfft(piece, 1 << 17))
        peak_hz = float(np.argmax(spectrum)) * RATE_HZ / (1 << 17)
        declared_hz = math.sqrt(note.from_hz * note.to_hz)
        assert pytest.approx(declared_hz, rel=0.02) == peak_hz
        at += count + samples_of(note.rest_s)
    assert len(signal) == at + samples_of(TAIL_S)


@pytest.mark.parametrize("cue", sorted(BREATHS), ids=str)
@pytest.mark.parametrize("length_s", [1.0, 3.37, 6.0, 11.0])
def test_a_breath_lasts_as_long_as_it_is_asked_to(cue: Cue, length_s: float) -> None:
    """A breath's sound is as long as the breath to the sample, sounds to its end, and
    goes one way only: up for in, down for out."""
    signal = full_scale(made_to_length(cue, samples_of(length_s)))
    assert samples_of(length_s) == len(signal)

    eighth = len(signal) // 8
    pitches = []
    for part in range(8):
        piece = signal[part * eighth : (part + 1) * eighth]
        assert np.sqrt(np.mean(piece**2)) > 0.02
        spectrum = np.abs(np.fft.rfft(piece * np.hanning(len(piece)), 1 << 16))
        pitches.append(float(np.argmax(spectrum)))
    ordered = sorted(pitches, reverse=cue is Cue.OUT)
    assert ordered == pitches
    assert len(set(pitches)) == len(pitches)


@pytest.mark.parametrize("cue", list(ROOM_S), ids=str)
def test_a_tone_fits_into_the_room_of_its_cue(cue: Cue) -> None:
    """So no tone ever covers another, whatever the voice."""
    tone = CLIPS.get(tone_file(cue), array("h"))

    assert len(tone) / RATE_HZ <= ROOM_S[cue]


@pytest.mark.parametrize("cue", list(ROOM_S), ids=str)
@pytest.mark.parametrize("breath", sorted(BREATHS), ids=str)
def test_the_loudest_collision_has_headroom(cue: Cue, breath: Cue) -> None:
    """An event with its word over a breath with its own stays under -3 dBFS of true
    peak (four times oversampled, as in ITU-R BS.1770-4, Annex 2)."""
    voicing = Voicing(CLIPS, SoundSettings(voice=Voice.BOTH))
    sheet = (
        TimedCue(0, breath, 4),
        TimedCue(0.7, cue, 3.0 if cue is Cue.IN_THEN_DOWN else 0.0),
    )
    placed = place(sheet, before=(), voicing=voicing, zero_s=0, edit=0)
    mixed = array("h", render(placed, 0, samples_of(4.5)))
    peak = np.abs(signal.resample_poly(full_scale(mixed), 4, 1)).max()

    assert 20 * math.log10(peak) <= -3


def tone_of(cue: Cue) -> array[int]:
    """Give CUE's tone at full volume; four seconds of those made to length."""
    clip = Voicing(CLIPS, SoundSettings()).tone(TimedCue(0, cue, 4.0))
    assert clip is not None
    return clip.samples

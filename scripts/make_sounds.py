"""Make the clips in ``sounds/`` from the score.

    make_sounds.py            render the tones
    make_sounds.py --check    render them and compare with what is there, byte by byte
    make_sounds.py --words    speak the words too (needs flite, once, here only)

Tones need the standard library alone and come out the same to the byte. Words depend on
the version of the speech engine, so they are rendered once and kept.
"""

from __future__ import annotations

import argparse
import io
import math
import shutil
import subprocess
import sys
import tempfile
import wave
from array import array
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT), str(ROOT / "scripts")]

from _loudness import integrated_lufs  # noqa: E402 - needs the path above

from trainer.sound.synth import FULL, tones  # noqa: E402
from trainer.sound.tones import (  # noqa: E402
    NOTES,
    RATE_HZ,
    Note,
    all_words,
    tone_file,
    word_file,
)

SOUNDS = ROOT / "sounds"
TONE_LUFS = -17.0
WORD_LUFS = -18.5
"""A little under the tones, for speech has higher peaks; both leave room for a breath
under them (our choice)."""
METERED_S = 3.0
"""Short clips are repeated to this before they are metered: a block takes 0.4 s."""
TRIM_LEVEL = 0.01
"""Speech under this, of its own peak, at either end is cut off, but for ``MARGIN_S``:
soft consonants are what tells *three* from *two*."""
MARGIN_S = 0.02
FADE_S = 0.01
WORD_PEAK = 0.64
"""Peaks of speech over this are pressed down, so that a breath fits on top."""
VOICE = ("flite", "-voice", "slt")
"""The voice that a recogniser understands best, with ``hear_words.py`` beside it."""
TAPS = 16
"""Samples on either side that one resampled sample is made of."""


def lufs_of(samples: array[int]) -> float:
    """Meter one clip, repeated to three seconds."""
    times = max(1, -(-round(METERED_S * RATE_HZ) // len(samples)))
    return integrated_lufs([value / (FULL + 1) for value in samples] * times, RATE_HZ)


def tone_clip(notes: tuple[Note, ...]) -> array[int]:
    """Render NOTES at the level that gives them the tones' loudness."""
    level = 0.25
    quieter_lu = TONE_LUFS - lufs_of(tones(notes, level=level))
    # Three digits: no difference in the last place of a float can reach the bytes.
    return tones(notes, level=round(level * 10 ** (quieter_lu / 20), 3))


def wav_bytes(samples: array[int]) -> bytes:
    """Put SAMPLES into a WAV file: one channel, 16 bits, little-endian."""
    data = array("h", samples)
    if sys.byteorder == "big":
        data.byteswap()
    out = io.BytesIO()
    with wave.open(out, "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(RATE_HZ)
        file.writeframes(data.tobytes())
    return out.getvalue()


def tone_files() -> dict[str, bytes]:
    """Render every tone."""
    return {tone_file(cue): wav_bytes(tone_clip(notes)) for cue, notes in NOTES.items()}


def word_clip(word: str) -> array[int]:
    """Speak WORD, cut off the silence around it, and level it."""
    samples = _trimmed(_resampled(*_spoken(word)))
    for _ in range(4):  # pressing peaks down makes it quieter: level and press again
        gain = 10 ** ((WORD_LUFS - lufs_of(samples)) / 20)
        samples = array("h", (_pressed(value * gain / FULL) for value in samples))
    fade = round(FADE_S * RATE_HZ)
    for index in range(fade):
        samples[index] = round(samples[index] * index / fade)
        samples[-1 - index] = round(samples[-1 - index] * index / fade)
    samples.extend([0] * fade)
    return samples


def _spoken(word: str) -> tuple[array[int], int]:
    """Let the engine speak WORD; give its samples and their rate (Hz)."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "word.wav"
        subprocess.run([*VOICE, "-t", word, "-o", str(path)], check=True)
        with wave.open(str(path), "rb") as file:
            samples = array("h", file.readframes(file.getnframes()))
            rate_hz = file.getframerate()
    if sys.byteorder == "big":
        samples.byteswap()
    return samples, rate_hz


def _resampled(samples: array[int], rate_hz: int) -> array[int]:
    """Bring SAMPLES from a lower rate to ours, by a sinc under a raised cosine."""
    step = rate_hz / RATE_HZ
    padded = [0] * TAPS + list(samples) + [0] * (TAPS + 1)
    resampled = array("h")
    for index in range(int(len(samples) / step)):
        at = index * step
        first = int(at)
        total = 0.0
        for tap in range(1 - TAPS, TAPS + 1):
            away = at - first - tap
            window = 0.5 + 0.5 * math.cos(math.pi * away / (TAPS + 1))
            total += padded[first + tap + TAPS] * window * _sinc(away)
        resampled.append(max(-FULL, min(FULL, round(total))))
    return resampled


def _sinc(x: float) -> float:
    return math.sin(math.pi * x) / (math.pi * x) if x else 1.0


def _trimmed(samples: array[int]) -> array[int]:
    least = TRIM_LEVEL * max(map(abs, samples))
    loud = [index for index, value in enumerate(samples) if abs(value) > least]
    margin = round(MARGIN_S * RATE_HZ)
    return samples[max(0, loud[0] - margin) : loud[-1] + 1 + margin]


def _pressed(value: float) -> int:
    """Press what is over the knee down, smoothly, to stay under WORD_PEAK."""
    knee = 0.6 * WORD_PEAK
    size = abs(value)
    if size > knee:
        over = (size - knee) / (WORD_PEAK - knee)
        size = knee + (WORD_PEAK - knee) * over / (1 + over)
    return round(FULL * (size if value >= 0 else -size))


def main() -> int:
    """Do what the arguments say; 1 if a clip on disk is not what the score gives."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--check", action="store_true", help="compare, write nothing")
    parser.add_argument("--words", action="store_true", help="speak the words too")
    chosen = parser.parse_args()
    files = tone_files()
    if chosen.check:
        wrong = [
            name
            for name, content in files.items()
            if not (SOUNDS / name).is_file() or (SOUNDS / name).read_bytes() != content
        ]
        for name in wrong:
            print(f"make_sounds: {name} is not what the score gives", file=sys.stderr)
        return 1 if wrong else 0
    if chosen.words:
        if shutil.which(VOICE[0]) is None:
            print("make_sounds: the words need flite", file=sys.stderr)
            return 1
        files |= {word_file(word): wav_bytes(word_clip(word)) for word in all_words()}
        for old in SOUNDS.glob("word-*.wav"):
            if old.name not in files:
                old.unlink()
    SOUNDS.mkdir(exist_ok=True)
    for name, content in files.items():
        (SOUNDS / name).write_bytes(content)
    print(f"{len(files)} clips, {sum(map(len, files.values())) / 1000:.0f} kB")
    return 0


if __name__ == "__main__":
    sys.exit(main())

"""Samples out of notes: pure arithmetic on the standard library.

Samples are signed 16-bit in an ``array('h')``, one channel at ``score.RATE_HZ``.
Every tone begins and ends at zero behind a raised-cosine fade, so that none clicks.
"""

from __future__ import annotations

import math
from array import array
from collections.abc import Sequence
from functools import lru_cache

from trainer.core.cues.cues import Cue
from trainer.sound.tones import BREATHS, DOWN_HZ, IN_SHARE, RATE_HZ, Note

FULL = 32767
FADE_S = 0.006
"""Of a note's start and end (our choice: short enough to hear its onset sharply)."""
BREATH_FADE_S = 0.12
"""Of a breath's start and end: soft, and still short beside an exhale."""
TAIL_S = 0.03
"""Silence at the end of every clip."""
PARTIALS = ((1, 1.0), (2, 0.35), (3, 0.15))
"""Multiples of the pitch and their strengths: a bare sine is hard to place by ear."""
BREATH_PARTIALS = ((1, 1.0), (2, 0.12))
HIGHEST_HZ = 2900.0
"""Partials above this are left out, to stay within 300 to 3000 Hz."""
BREATH_LEVEL = 0.12
"""Peak of a breath's first partial, of full scale: well under any other cue."""


def samples_of(seconds: float) -> int:
    """Count the samples in SECONDS."""
    return round(seconds * RATE_HZ)


def tones(notes: Sequence[Note], *, level: float) -> array[int]:
    """Render NOTES one after the other, their first partial peaking at LEVEL (0-1)."""
    rendered = array("h")
    for note in notes:
        rendered.extend(_tone(note, level=level, fade_s=FADE_S, partials=PARTIALS))
        rendered.extend(silence(note.rest_s))
    rendered.extend(silence(TAIL_S))
    return rendered


def silence(seconds: float) -> array[int]:
    """Give SECONDS of zeros."""
    return array("h", bytes(2 * samples_of(seconds)))


@lru_cache(maxsize=32)
def made_to_length(cue: Cue, count: int) -> array[int]:
    """Make a breath, or in-then-down, that lasts COUNT samples. Don't change it."""
    if cue is Cue.IN_THEN_DOWN:
        return _in_then_down(count)
    from_hz, to_hz = BREATHS[cue]
    note = Note(from_hz, to_hz, count / RATE_HZ)
    return _tone(
        note, level=BREATH_LEVEL, fade_s=BREATH_FADE_S, partials=BREATH_PARTIALS
    )


def _in_then_down(count: int) -> array[int]:
    """A breath in, then as many steps down as there are, louder than a breath."""
    breath = round(count * IN_SHARE)
    rendered = array("h", made_to_length(Cue.IN, breath))
    step_s = (count - breath) / len(DOWN_HZ) / RATE_HZ
    for hz in DOWN_HZ:
        step = Note(hz, hz, step_s * 0.8, step_s * 0.2)
        rendered.extend(
            _tone(step, level=2 * BREATH_LEVEL, fade_s=FADE_S, partials=PARTIALS)
        )
        rendered.extend(silence(step.rest_s))
    del rendered[count:]
    rendered.extend(array("h", bytes(2 * (count - len(rendered)))))
    return rendered


def _tone(
    note: Note,
    *,
    level: float,
    fade_s: float,
    partials: Sequence[tuple[int, float]],
) -> array[int]:
    """Render one note; its pitch goes evenly (by ear) from start to end.

    With pitch f(t) = a·(b/a)^(t/T) the phase is the integral, 2π·a·T/ln(b/a)·((b/a)^
    (t/T) − 1); a level note is its limit.
    """
    count = samples_of(note.length_s)
    if count <= 0:
        return array("h")
    highest_hz = max(note.from_hz, note.to_hz)
    heard = [(n, part) for n, part in partials if n * highest_hz <= HIGHEST_HZ]
    fade = max(1, min(samples_of(fade_s), count // 2))
    phases, sine = _phases(note, count), math.sin
    values = [0.0] * count
    for number, part in heard:
        values = [
            value + part * sine(number * phase)
            for value, phase in zip(values, phases, strict=True)
        ]
    for edge in range(fade):
        gain = 0.5 - 0.5 * math.cos(math.pi * edge / fade)
        values[edge] *= gain
        values[-1 - edge] *= gain
    scale = level * FULL
    return array("h", [round(scale * value) for value in values])


def _phases(note: Note, count: int) -> list[float]:
    turn = 2 * math.pi * note.from_hz / RATE_HZ
    if note.from_hz == note.to_hz:
        return [turn * index for index in range(count)]
    ratio = note.to_hz / note.from_hz
    scale = turn * count / math.log(ratio)
    growth = ratio ** (1 / count)
    phases = []
    grown = 1.0
    for _ in range(count):
        phases.append(scale * (grown - 1))
        grown *= growth
    return phases

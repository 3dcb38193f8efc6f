"""From a sheet to samples: which clips sound, where they lie, and how they add up.

No device, no clock, no files: what the sound process decides is decided here, so that
it can be tested with numbers. Times come in as sample positions on the axis of one
stream.
"""

from __future__ import annotations

import sys
from array import array
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from operator import add

from trainer.core.cues.cues import Cue, TimedCue
from trainer.core.cues.settings import SoundSettings, Voice
from trainer.core.cues.timeline import BREATHS
from trainer.sound.synth import made_to_length, samples_of
from trainer.sound.tones import RATE_HZ, tone_file, word_file, word_for

FADE_S = 0.008
"""Behind which a sound that is no longer wanted goes (set by the design)."""
LATE_S = 0.3
"""A cue due this little ago sounds at once, an older one is dropped: a burst of late
cues would say nothing true (our choice)."""
SAME_S = 0.02
"""Two cues closer than this, in start and in length, are one and the same."""
SHORTEST_JOINED_S = 0.5
"""A breath that is under way is joined if at least this much of it is left."""
KNOWN_S = 1.0
"""For how long a sound that has ended is remembered; more than ``LATE_S``."""
DIP = 10 ** (-15 / 20)
"""What is left of a tone that lasts while a word is spoken over it (our choice): a
breath is hardly quieter than speech, and of the two it is the word that has to be
made out."""
DIP_RAMP_S = 0.02
"""How quickly it goes down, and comes back up after the word."""
MADE = BREATHS | {Cue.IN_THEN_DOWN}
"""Cues whose tone is made to length."""


class Clip:
    """Samples that may still have to be made when they are first needed.

    A breath takes longer to make than a cut-over may take, and most are heard later.
    """

    def __init__(self, length: int, maker: Callable[[], array[int]]) -> None:
        self.length = length
        self._maker = maker
        self._samples: array[int] | None = None

    @property
    def made(self) -> bool:
        """Whether the samples are there already."""
        return self._samples is not None

    def make(self) -> array[int]:
        """Make the samples, unless they are there; give them."""
        if self._samples is None:
            self._samples = self._maker()
        return self._samples

    @property
    def samples(self) -> array[int]:
        """The samples. Don't change them."""
        return self.make()


@dataclass(frozen=True, slots=True)
class Sound:
    """One clip at its place in the stream."""

    start: int
    """Position of the clip's first sample."""
    clip: Clip
    skip: int = 0
    """Samples at the front that are not heard (a breath joined midway)."""
    until: int | None = None
    """Position at which it is gone, behind a fade; None for its whole length."""
    spoken: bool = False
    """Whether it is a word."""
    dips: tuple[tuple[int, int], ...] = ()
    """Where each word begins and ends that is spoken over it."""

    @property
    def end(self) -> int:
        """Position after its last sample."""
        end = self.start + self.clip.length
        return end if self.until is None else min(end, self.until)


@dataclass(frozen=True, slots=True)
class Placed:
    """A cue with the sounds that it became."""

    cue: TimedCue
    start: int
    sounds: tuple[Sound, ...]

    @property
    def end(self) -> int:
        """Position after its last sample."""
        return max((sound.end for sound in self.sounds), default=self.start)

    def same_as(self, cue: TimedCue) -> bool:
        """Tell whether CUE is this one, give or take a rounding."""
        return (
            cue.cue is self.cue.cue
            and cue.stride == self.cue.stride
            and abs(cue.at_s - self.cue.at_s) < SAME_S
            and abs(cue.length_s - self.cue.length_s) < SAME_S
        )


class Voicing:
    """Turns cues into clips by the person's settings.

    Args:
        clips: samples by file name.
        settings: voice, volume and muted cues.
        making: called before a breath is made, which takes a while.
    """

    def __init__(
        self,
        clips: Mapping[str, array[int]],
        settings: SoundSettings,
        making: Callable[[], None] = lambda: None,
    ) -> None:
        self._files = clips
        self._settings = settings
        self._making = making
        self._gain = settings.volume**2
        self._clips: dict[str | tuple[Cue, int], Clip] = {}

    def tone(self, cue: TimedCue) -> Clip | None:
        """Give the tone of CUE, or None where there is none to be heard."""
        if not self._heard(cue) or (
            self._settings.voice is Voice.WORDS and self._spoken(cue) is not None
        ):
            return None
        if cue.cue not in MADE:
            return self._from_file(tone_file(cue.cue))
        count = samples_of(cue.length_s)
        key = (cue.cue, count)
        if key not in self._clips:
            self._clips[key] = Clip(count, lambda: self._to_length(cue.cue, count))
        return self._clips[key]

    def word(self, cue: TimedCue) -> Clip | None:
        """Give the word of CUE, or None where there is none to be heard."""
        if not self._heard(cue) or self._settings.voice is Voice.TONES:
            return None
        return self._spoken(cue)

    def _heard(self, cue: TimedCue) -> bool:
        return self._settings.audible(cue.cue) and self._gain > 0

    def _spoken(self, cue: TimedCue) -> Clip | None:
        word = word_for(cue.cue, cue.stride)
        return None if word is None else self._from_file(word_file(word))

    def _to_length(self, cue: Cue, count: int) -> array[int]:
        self._making()
        return scaled(made_to_length(cue, count), self._gain)

    def _from_file(self, name: str) -> Clip | None:
        if name not in self._clips and name in self._files:
            samples = scaled(self._files[name], self._gain)
            self._clips[name] = clip = Clip(len(samples), lambda: samples)
            clip.make()
        return self._clips.get(name)


def scaled(samples: array[int], gain: float) -> array[int]:
    """Give SAMPLES times GAIN (0 to 1)."""
    if gain == 1:
        return samples
    return array("h", [round(value * gain) for value in samples])


def place(
    sheet: Sequence[TimedCue],
    *,
    before: Iterable[Placed],
    voicing: Voicing,
    zero_s: float,
    edit: int,
) -> tuple[Placed, ...]:
    """Lay SHEET into a stream that has BEFORE in it, changing nothing before EDIT.

    Args:
        sheet: all that is to sound from now on.
        before: what was placed until now.
        voicing: makes the sounds.
        zero_s: the clock's time of the stream's sample 0.
        edit: the first position that may still be changed.
    """
    # What has ended stays known for a while, so that a sheet that is sent again
    # doesn't sound it again.
    known_from = edit - samples_of(KNOWN_S)
    begun = [old for old in before if old.start < edit and old.end > known_from]
    events = [
        _Span.of(cue, voicing=voicing, zero_s=zero_s)
        for cue in sheet
        if cue.cue not in BREATHS
    ]
    kept = []
    fresh = []
    for cue in sheet:
        same = next((old for old in begun if old.same_as(cue)), None)
        if same is not None:
            begun.remove(same)
            kept.append(same)
            continue
        start = round((cue.at_s - zero_s) * RATE_HZ)
        sounds_of = _breath_sounds if cue.cue in BREATHS else _event_sounds
        sounds = sounds_of(cue, start, voicing, edit=edit, events=events)
        if sounds:
            fresh.append(Placed(cue, min(sound.start for sound in sounds), sounds))
    gone = [_faded(old, edit) for old in begun]
    return _dipped((*gone, *kept, *fresh))


@dataclass(frozen=True, slots=True)
class _Span:
    """Where an event sounds, with its word."""

    cue: TimedCue
    start: int
    end: int

    @classmethod
    def of(cls, cue: TimedCue, *, voicing: Voicing, zero_s: float) -> _Span:
        start = round((cue.at_s - zero_s) * RATE_HZ)
        word = voicing.word(cue)
        spoken = 0 if word is None else _until_word(cue, voicing) + word.length
        tone = voicing.tone(cue)
        return cls(cue, start, start + max(spoken, 0 if tone is None else tone.length))


def _until_word(cue: TimedCue, voicing: Voicing) -> int:
    """How long after its cue a word begins: over a sound that is made to length, after
    one that is not."""
    tone = voicing.tone(cue)
    return 0 if tone is None or cue.cue in MADE else tone.length


def _event_sounds(
    cue: TimedCue,
    start: int,
    voicing: Voicing,
    *,
    edit: int,
    events: Iterable[_Span],
) -> tuple[Sound, ...]:
    """A tone always sounds; a word that would run into the next event is left out."""
    if start < edit - samples_of(LATE_S):
        return ()
    start = max(start, edit)
    tone, word = voicing.tone(cue), voicing.word(cue)
    sounds = []
    if tone is not None:
        sounds.append(Sound(start, tone))
    if word is not None:
        at = start + _until_word(cue, voicing)
        end = at + word.length
        if not any(start < other.start < end for other in events if other.cue != cue):
            sounds.append(Sound(at, word, spoken=True))
    return tuple(sounds)


def _breath_sounds(
    cue: TimedCue,
    start: int,
    voicing: Voicing,
    *,
    edit: int,
    events: Iterable[_Span],
) -> tuple[Sound, ...]:
    """A breath that is late or under way is joined: its end has to stay in place.

    Its word gives way to every event, and is left out where it would outlast it.
    """
    end = start + samples_of(cue.length_s)
    if start < edit and end - edit < samples_of(SHORTEST_JOINED_S):
        return ()
    sounds = []
    tone, word = voicing.tone(cue), voicing.word(cue)
    if tone is not None:
        sounds.append(Sound(start, tone, skip=max(0, edit - start)))
    at = max(start, edit)
    if word is not None and start >= edit - samples_of(LATE_S):
        until = at + word.length
        met = any(event.start < until and at < event.end for event in events)
        if until <= end and not met:
            sounds.append(Sound(at, word, spoken=True))
    return tuple(sounds)


def _dipped(everything: tuple[Placed, ...]) -> tuple[Placed, ...]:
    """Make what lasts quieter under what is spoken."""
    words = [
        (sound.start, sound.end)
        for placed in everything
        for sound in placed.sounds
        if sound.spoken
    ]
    return tuple(
        replace(placed, sounds=tuple(_under(sound, words) for sound in placed.sounds))
        if placed.cue.cue in MADE
        else placed
        for placed in everything
    )


def _under(sound: Sound, words: Iterable[tuple[int, int]]) -> Sound:
    if sound.spoken:
        return sound
    dips = [word for word in words if word[0] < sound.end and word[1] > sound.start]
    return replace(sound, dips=tuple(sorted(dips)))


def _faded(old: Placed, edit: int) -> Placed:
    until = edit + samples_of(FADE_S)
    sounds = tuple(
        replace(sound, until=min(sound.end, until))
        for sound in old.sounds
        if sound.start < edit
    )
    return Placed(old.cue, old.start, sounds)


def render(placed: Iterable[Placed], start: int, stop: int) -> bytes:
    """Add up what PLACED sounds between two positions, as little-endian samples."""
    mixed = array("h", bytes(2 * (stop - start)))
    filled: list[tuple[int, int]] = []
    for sound in (sound for one in placed for sound in one.sounds):
        a, b = max(start, sound.start + sound.skip), min(stop, sound.end)
        if a >= b:
            continue
        piece = _piece(sound, a, b)
        if any(a < stop_ and start_ < b for start_, stop_ in filled):
            under = mixed[a - start : b - start]
            try:
                piece = array("h", map(add, under, piece))
            except OverflowError:  # together louder than full scale, somewhere
                piece = array("h", map(_added, under, piece))
        mixed[a - start : b - start] = piece
        filled.append((a, b))
    if sys.byteorder == "big":
        mixed.byteswap()
    return mixed.tobytes()


def _added(one: int, other: int) -> int:
    return max(-32768, min(32767, one + other))


def _piece(sound: Sound, a: int, b: int) -> array[int]:
    """Cut SOUND between two positions, with its fades, and its dips under words."""
    piece = sound.clip.samples[a - sound.start : b - sound.start]
    fade = samples_of(FADE_S)
    if sound.skip:
        began = sound.start + sound.skip
        for position in range(a, min(b, began + fade)):
            piece[position - a] = piece[position - a] * (position - began) // fade
    if sound.until is not None and sound.start + sound.clip.length > sound.until:
        for position in range(max(a, sound.until - fade), b):
            left = sound.until - 1 - position
            piece[position - a] = piece[position - a] * left // fade
    ramp = samples_of(DIP_RAMP_S)
    for began, ended in sound.dips:
        for position in range(max(a, began), min(b, ended + ramp)):
            depth = min(
                1.0, (position - began) / ramp, (ended + ramp - position) / ramp
            )
            gain = 1 - (1 - DIP) * depth
            piece[position - a] = round(piece[position - a] * gain)
    return piece

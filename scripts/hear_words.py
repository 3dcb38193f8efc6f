"""What a recogniser makes of the spoken words: a table for people.

    hear_words.py

It knows the phrases that are spoken and no others, and hears each of them four times:
as its clip; through 300 to 3000 Hz, which is what a small speaker gives; and cut out of
what is played in the voice ``both``, over the tone of a breath out and over that of a
breath in. The goals stand under the table. Needs pocketsphinx (its wheel brings an
English model), numpy and scipy.
"""

from __future__ import annotations

import contextlib
import sys
import tempfile
from array import array
from collections.abc import Callable, Iterator, Mapping
from importlib.util import find_spec
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT)]

# scipy and pocketsphinx are loaded where they are used: they take a second, for which
# nobody is to wait who only reads this file.
with contextlib.suppress(ImportError):  # ``missing`` says so before it is needed
    import numpy as np

from trainer.core.cues.cues import Cue, TimedCue  # noqa: E402
from trainer.core.cues.settings import SoundSettings, Voice  # noqa: E402
from trainer.core.cues.timeline import BREATHS  # noqa: E402
from trainer.sound import clips  # noqa: E402
from trainer.sound.mix import Voicing, place, render  # noqa: E402
from trainer.sound.synth import samples_of  # noqa: E402
from trainer.sound.tones import (  # noqa: E402
    COUNTED,
    RATE_HZ,
    WORDS,
    all_words,
    word_file,
)

RECOGNISER_HZ = 16_000
"""What its model was trained on."""
AROUND_S = 0.35
"""Silence on either side of what it is given: it expects some."""
MARGIN_S = 0.02
"""How much more than the word is cut out of the mix. More of the tone before it, and
the recogniser, which knows no tones, takes their beginning for a consonant."""
BAND_HZ = (300, 3000)
BREATH_S, WORD_AT_S, IN_THEN_DOWN_S = 6.0, 1.5, 3.0

ACTS: Mapping[Cue, str] = {
    Cue.HOLD: "hold",
    Cue.OUT: "out",
    Cue.PRESS_ON: "press",
    Cue.IN_THEN_DOWN: "down",
}
"""Cues that ask for an act; to take another word for one of them would do harm."""

GOALS: Mapping[str, int] = {"clip": 19, "band": 18, "over out": 17, "over in": 17}
"""How many have to be taken for what they are, by the way in which they are heard."""

Samples = Any
"""An array of numbers, full scale 1."""


def missing() -> str:
    """Say why there can be no recognising here; empty if there can."""
    for package in ("pocketsphinx", "numpy", "scipy"):
        if find_spec(package) is None:
            return f"no {package} here to understand the words with"
    return ""


def plain(phrase: str) -> str:
    """Give PHRASE as the recogniser writes it."""
    return phrase.replace(",", "")


class Recogniser:
    """Knows every phrase that is spoken, and nothing else."""

    def __init__(self) -> None:
        import pocketsphinx

        phrases = " | ".join(map(plain, all_words()))
        with tempfile.TemporaryDirectory() as folder:
            grammar = Path(folder) / "words.gram"
            grammar.write_text(
                f"#JSGF V1.0;\ngrammar words;\npublic <word> = {phrases};\n"
            )
            self._decoder = pocketsphinx.Decoder(
                jsgf=str(grammar),
                samprate=RECOGNISER_HZ,
                # Levels from the word itself: no word hangs on what came before it.
                cmn="batch",
                loglevel="FATAL",
            )

    def hears(self, samples: Samples) -> str:
        """Give the phrase that SAMPLES are taken for; empty for none."""
        from scipy.signal import resample_poly

        at_its_rate = resample_poly(samples, RECOGNISER_HZ // 50, RATE_HZ // 50)
        quiet = np.zeros(round(AROUND_S * RECOGNISER_HZ))
        padded = np.concatenate([quiet, at_its_rate, quiet]).clip(-1, 1)
        self._decoder.start_utt()
        self._decoder.process_raw(
            (padded * 32767).astype("<i2").tobytes(), no_search=False, full_utt=True
        )
        self._decoder.end_utt()
        found = self._decoder.hyp()
        return "" if found is None else str(found.hypstr)


def as_clip(phrase: str) -> Samples:
    """Give PHRASE as it lies in ``sounds/``."""
    return np.array(CLIPS[word_file(phrase)], dtype=float) / 32768


def in_band(phrase: str) -> Samples:
    """Give PHRASE as a small speaker would (Butterworth, forth and back)."""
    from scipy.signal import butter, sosfiltfilt

    band = butter(4, BAND_HZ, "bandpass", fs=RATE_HZ, output="sos")
    return sosfiltfilt(band, as_clip(phrase))


def in_mix(phrase: str, breath: Cue) -> Samples:
    """Cut PHRASE out of what is played, over the tone of BREATH.

    The words of breaths are spoken over their own tone, and so is the way down.
    """
    cue, stride = cue_of(phrase)
    if cue in BREATHS:
        sheet = [TimedCue(WORD_AT_S, cue, BREATH_S)]
    else:
        length_s = IN_THEN_DOWN_S if cue is Cue.IN_THEN_DOWN else 0.0
        sheet = [
            TimedCue(0.0, breath, BREATH_S),
            TimedCue(WORD_AT_S, cue, length_s, stride),
        ]
    voicing = Voicing(CLIPS, SoundSettings(voice=Voice.BOTH))
    placed = place(sheet, before=(), voicing=voicing, zero_s=0.0, edit=0)
    own = next(one for one in placed if one.cue.cue is cue)
    word = next(sound for sound in own.sounds if sound.spoken)
    margin = samples_of(MARGIN_S)
    played = render(placed, word.start - margin, word.end + margin)
    return np.frombuffer(played, dtype="<i2") / 32768


WAYS: Mapping[str, Callable[[str], Samples]] = {
    "clip": as_clip,
    "band": in_band,
    "over out": lambda phrase: in_mix(phrase, Cue.OUT),
    "over in": lambda phrase: in_mix(phrase, Cue.IN),
}
"""How each phrase is heard."""

CLIPS: Mapping[str, array[int]] = clips.load()


def cue_of(phrase: str) -> tuple[Cue, int]:
    """Give the cue that PHRASE belongs to, and which of several in a row."""
    for cue, word in WORDS.items():
        if word == phrase:
            return cue, 0
    for cue, counted in COUNTED.items():
        for stride, word in counted.items():
            if word == phrase:
                return cue, stride
    raise ValueError(f"nothing says {phrase!r}")


def harmful(phrase: str, heard: str) -> bool:
    """Tell whether PHRASE, taken for HEARD, asks for another act than it means."""
    acts = {plain(word): ACTS.get(cue_of(word)[0]) for word in all_words()}
    return heard in acts and acts[heard] not in (None, acts[plain(phrase)])


def rows() -> Iterator[tuple[str, Mapping[str, str]]]:
    """Give every phrase with what it was taken for in each way."""
    recogniser = Recogniser()
    for phrase in all_words():
        yield (
            phrase,
            {way: recogniser.hears(given(phrase)) for way, given in WAYS.items()},
        )


def main() -> int:
    """Print the table; 1 where it falls short of a goal."""
    if why := missing():
        print(f"hear_words: {why}", file=sys.stderr)
        return 1
    print(f"{'':<28}" + "".join(f"{way:<28}" for way in WAYS))
    understood = dict.fromkeys(WAYS, 0)
    harm = 0
    for phrase, heard in rows():
        told = {}
        for way, taken_for in heard.items():
            right = taken_for == plain(phrase)
            understood[way] += right
            harm += harmful(phrase, taken_for)
            told[way] = "yes" if right else taken_for or "(nothing)"
        print(f"{phrase:<28}" + "".join(f"{told[way]:<28}" for way in WAYS))
    print(
        f"{f'of {len(all_words())}':<28}"
        + "".join(f"{n:<28}" for n in understood.values())
    )
    print(f"{'goal':<28}" + "".join(f"{GOALS[way]:<28}" for way in WAYS))
    print(f"taken for another act: {harm} (goal: none)")
    short = any(understood[way] < GOALS[way] for way in WAYS)
    return 1 if short or harm else 0


if __name__ == "__main__":
    sys.exit(main())

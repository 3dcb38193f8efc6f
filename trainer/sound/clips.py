"""The clips on disk: where they are, and how they are read.

In a checkout they lie in ``sounds/`` beside the package, in an installed program in
``trainer/_sounds`` (the wheel maps one onto the other).
"""

from __future__ import annotations

import sys
import wave
from array import array
from collections.abc import Mapping
from pathlib import Path

import trainer
from trainer.sound.tones import NOTES, RATE_HZ, all_words, tone_file, word_file

PACKAGE_DIR = Path(trainer.__file__).resolve().parent


def sounds_dir() -> Path | None:
    """Find the folder with the clips, or None."""
    for folder in (PACKAGE_DIR / "_sounds", PACKAGE_DIR.parent / "sounds"):
        if any(folder.glob("tone-*.wav")):
            return folder
    return None


def expected_files() -> tuple[str, ...]:
    """Name every clip that there should be."""
    return (*map(tone_file, NOTES), *map(word_file, all_words()))


def missing_files() -> tuple[str, ...]:
    """Name the clips that can't be found."""
    folder = sounds_dir()
    if folder is None:
        return expected_files()
    return tuple(name for name in expected_files() if not (folder / name).is_file())


def load() -> Mapping[str, array[int]]:
    """Read every clip that is there; one that isn't, or is damaged, is left out."""
    folder = sounds_dir()
    clips: dict[str, array[int]] = {}
    for name in expected_files() if folder is not None else ():
        try:
            clips[name] = read(Path(folder or ".") / name)
        except (OSError, EOFError, ValueError, wave.Error):
            continue
    return clips


def read(path: Path) -> array[int]:
    """Read one clip.

    Raises:
        ValueError: it isn't one channel of 16 bits at our rate.
    """
    with wave.open(str(path), "rb") as file:
        form = (file.getnchannels(), file.getsampwidth(), file.getframerate())
        if form != (1, 2, RATE_HZ):
            raise ValueError(f"{path.name}: {form}")
        samples = array("h", file.readframes(file.getnframes()))
    if sys.byteorder == "big":
        samples.byteswap()
    return samples

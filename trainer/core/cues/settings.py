"""What a person chose about sound."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from trainer.core.cues.cues import Cue


class Voice(StrEnum):
    """What cues sound like."""

    TONES = "tones"
    WORDS = "words"
    BOTH = "both"
    """A tone, then the word."""


class Backend(StrEnum):
    """What plays the sound. The later ones are what the earlier ones fall back to."""

    AUTO = "auto"
    """The first that works."""
    SIMPLEAUDIO = "simpleaudio"
    MINIAUDIO = "miniaudio"
    SYSTEM = "system"
    """The system's own player."""
    BELL = "bell"
    """The terminal bell."""
    SILENT = "silent"


@dataclass(frozen=True, slots=True, kw_only=True)
class SoundSettings:
    """How a session sounds.

    Raises:
        ValueError: the volume is not within 0 to 1.
    """

    voice: Voice = Voice.BOTH
    """Tones carry the time, words say what it is."""
    volume: float = 1.0
    """0 is silence, 1 as loud as the clips are; what is heard goes by its square."""
    muted: frozenset[Cue] = frozenset()
    """Kinds of cue that are left out."""
    backend: Backend = Backend.AUTO

    def __post_init__(self) -> None:
        if not 0 <= self.volume <= 1:
            raise ValueError(f"a volume of {self.volume:g}: 0 to 1, please")

    def audible(self, cue: Cue) -> bool:
        """Tell whether CUE is to be heard at all."""
        return cue not in self.muted

"""What a session needs of sound, whoever makes it.

``opening.open_player`` is the only door. A player is told the sheet of the current set
each time that anything changes, and is polled about ten times a second. Nothing that
goes wrong with sound is ever raised: it becomes a notice, and the session goes on.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

from trainer.core.cues.cues import TimedCue
from trainer.core.cues.settings import Backend, SoundSettings


class Player(Protocol):
    """Somebody who sounds cues at their times."""

    @property
    def name(self) -> str:
        """The backend in use just now, for people."""
        ...

    def play(self, sheet: Sequence[TimedCue]) -> None:
        """Sound SHEET, in seconds of the system's monotonic clock, from now on.

        It replaces all that was to come: a cue in progress goes on unbroken if it is
        still in the sheet and fades within 150 ms if it is not; a cue due just now
        sounds at once; one that is past is dropped.
        """
        ...

    def silence(self) -> None:
        """Fade whatever sounds and forget the sheet."""
        ...

    def change(self, settings: SoundSettings) -> None:
        """Take the voice, volume and muted cues of SETTINGS from the next sheet on."""
        ...

    def poll(self) -> tuple[str, ...]:
        """Do what is due; give notices for people, each said once.

        Called about ten times a second. Watches over the process that makes the
        sound, starts it again, falls back, rings the bell.
        """
        ...

    def close(self) -> None:
        """Stop and leave no process behind. May be called twice."""
        ...


class SilentPlayer:
    """Plays nothing: for people who want it so, and as the last fallback."""

    name = Backend.SILENT.value

    def play(self, sheet: Sequence[TimedCue]) -> None:
        """Do nothing."""

    def silence(self) -> None:
        """Do nothing."""

    def change(self, settings: SoundSettings) -> None:
        """Do nothing."""

    def poll(self) -> tuple[str, ...]:
        """Have nothing to say."""
        return ()

    def close(self) -> None:
        """Do nothing."""


class RecordingPlayer(SilentPlayer):
    """Keeps every sheet that it was given: for tests of whoever uses a player."""

    name = "recording"

    def __init__(self) -> None:
        self.sheets: list[tuple[TimedCue, ...]] = []
        """One per ``play``; a ``silence`` is an empty one."""
        self.notices: list[str] = []
        """What the next ``poll`` is to say."""
        self.closed = False

    def play(self, sheet: Sequence[TimedCue]) -> None:
        """Keep the sheet."""
        self.sheets.append(tuple(sheet))

    def silence(self) -> None:
        """Keep an empty sheet."""
        self.sheets.append(())

    def poll(self) -> tuple[str, ...]:
        """Say what the test put into ``notices``, once."""
        notices, self.notices = tuple(self.notices), []
        return notices

    def close(self) -> None:
        """Note that it was closed."""
        self.closed = True

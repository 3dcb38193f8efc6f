"""What a session needs of the sound and of the data file, whoever provides it."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Protocol

from trainer.core.cues import TimedCue
from trainer.core.model import Hold, Session


class Player(Protocol):
    """What a session needs of the sound."""

    def play(self, sheet: Sequence[TimedCue]) -> None:
        """Let SHEET be what is heard from now on; times on the monotonic clock."""

    def poll(self) -> tuple[str, ...]:
        """Look after the sound; give sentences for the person, each once."""


class SessionLog(Protocol):
    """What a session needs of the data file."""

    def begin_session(self, session: Session) -> None:
        """Write a session down."""

    def end_session(self, uid: str, *, ended_at: datetime) -> None:
        """Note when it ended."""

    def take_out_session(self, uid: str) -> None:
        """Let a session in which nothing was held leave no trace."""

    def save_hold(self, session_uid: str, hold: Hold) -> None:
        """Write a hold down, or over its earlier version."""

    def take_out_hold(self, uid: str) -> None:
        """Let a hold count for nothing; it can be put back."""

    def put_back_hold(self, uid: str) -> None:
        """Let a hold that was taken out count again."""

    def journal(self, session_uid: str, hold: Hold) -> None:
        """Note how far the hold under way has come."""

    def drop_unfinished(self) -> None:
        """Forget the hold under way."""

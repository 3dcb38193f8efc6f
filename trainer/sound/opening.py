"""Opening the player that the settings ask for, with no more loaded than it needs."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from trainer.core.clock import Clock
from trainer.core.cues.settings import Backend, SoundSettings
from trainer.sound.player import Player, SilentPlayer


def open_player(
    settings: SoundSettings,
    *,
    clock: Clock,
    state_dir: Path,
    ring: Callable[[], None] | None = None,
) -> Player:
    """Open the player that SETTINGS ask for. Never raises, never waits for a device.

    Args:
        settings: voice, volume, muted cues and backend.
        clock: the clock on whose ``now_s`` the sheets' times are.
        state_dir: where the sound process writes its log; made if it isn't there.
        ring: rings the terminal's bell once; by default a byte to the terminal.
    """
    from trainer.sound.bell import BellPlayer, ring_terminal

    if settings.backend is Backend.SILENT:
        return SilentPlayer()
    bell = BellPlayer(settings, clock=clock, ring=ring or ring_terminal)
    if settings.backend is Backend.BELL:
        return bell
    from trainer.sound.process import process_player

    return process_player(settings, clock=clock, state_dir=state_dir, last=bell)

"""What the program and its sound process say to each other: one JSON object a line.

To the process: ``{"op": "sheet", "cues": [[at_s, cue, length_s, stride], …]}`` and
``{"op": "settings", …}``. From it: ``{"say": "beat" | "busy" | "open" | "failed"}``,
the last with a ``why``.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any

from trainer.core.cues.cues import Cue, TimedCue
from trainer.core.cues.settings import SoundSettings, Voice

BEAT, BUSY, OPEN, FAILED = "beat", "busy", "open", "failed"
"""Alive; about to be out of touch for a while; a device is open; can't go on."""


def line(message: dict[str, Any]) -> bytes:
    """Give MESSAGE as one line."""
    return json.dumps(message, separators=(",", ":")).encode() + b"\n"


def sheet_line(sheet: Iterable[TimedCue]) -> bytes:
    """Give SHEET as one line."""
    cues = [[cue.at_s, cue.cue.value, cue.length_s, cue.stride] for cue in sheet]
    return line({"op": "sheet", "cues": cues})


def settings_line(settings: SoundSettings) -> bytes:
    """Give what the process needs of SETTINGS as one line."""
    return line(
        {
            "op": "settings",
            "voice": settings.voice.value,
            "volume": settings.volume,
            "muted": sorted(cue.value for cue in settings.muted),
        }
    )


def read(text: bytes) -> dict[str, Any] | None:
    """Read one line; None for anything that isn't ours (a library that prints)."""
    try:
        message = json.loads(text)
    except ValueError:
        return None
    return message if isinstance(message, dict) else None


def sheet_of(message: dict[str, Any]) -> tuple[TimedCue, ...]:
    """Give the sheet in MESSAGE, in order."""
    return tuple(
        sorted(
            TimedCue(at_s, Cue(cue), length_s, stride)
            for at_s, cue, length_s, stride in message["cues"]
        )
    )


def settings_of(message: dict[str, Any]) -> SoundSettings:
    """Give the settings in MESSAGE."""
    return SoundSettings(
        voice=Voice(message["voice"]),
        volume=message["volume"],
        muted=frozenset(map(Cue, message["muted"])),
    )

"""The versions of the program and of what it stands on, without importing it."""

from __future__ import annotations

import platform
from importlib.metadata import PackageNotFoundError, version


def versions() -> str:
    """Give one line of versions."""
    import sqlite3

    import trainer

    parts = [
        f"Python {platform.python_version()}",
        f"SQLite {sqlite3.sqlite_version}",
        *(f"{name} {_version(name) or 'missing'}" for name in ("textual", "click")),
        f"sqlite-utils {_version('sqlite-utils') or 'missing'}",
        f"sound: {sound_package() or 'not installed'}",
    ]
    return f"trainer {trainer.__version__} ({', '.join(parts)})"


def sound_package() -> str | None:
    """Give name and version of the installed simpleaudio, patched or not."""
    for name in ("simpleaudio-patched", "simpleaudio"):
        found = _version(name)
        if found is not None:
            return f"{name} {found}"
    return None


def _version(name: str) -> str | None:
    try:
        return version(name)
    except PackageNotFoundError:
        return None

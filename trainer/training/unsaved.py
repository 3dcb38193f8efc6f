"""The last resort: a session that the data file doesn't take, in a file of its own.

``trainer data import`` takes that file. The ids are the session's own, so what had
been saved before is there once all the same.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path

from trainer.errors import TrainerError
from trainer.settings.settings import write_atomically


class UnsavedFolder:
    """Where sessions are kept that could not be written."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def keep(self, uid: str, document: Mapping[str, object]) -> Path | None:
        """Write the session UID as it stands now, in place of how it stood before.

        Gives the file, or None where that fails too.
        """
        path = self._path(uid)
        text = json.dumps(document, ensure_ascii=False, default=str)  # dates, as ISO
        try:
            write_atomically(path, text)
        except (OSError, TrainerError):
            return None
        return path

    def drop(self, uid: str) -> None:
        """Take the file away: the data file has all of it."""
        # One that can't be taken away is imported once more, which changes nothing.
        try:
            self._path(uid).unlink(missing_ok=True)
        except OSError:
            return

    def left_behind(self) -> tuple[str, ...]:
        """Say, a sentence each, which sessions still wait to be taken in."""
        try:
            found = sorted(self.folder.glob("unsaved-*.json"))
        except OSError:  # nobody may look there: that keeps nobody from training
            return ()
        return tuple(
            f"A session that could not be written is kept in {path}. Take it in with:"
            f" trainer data import {path}, then delete that file."
            for path in found
        )

    def _path(self, uid: str) -> Path:
        return self.folder / f"unsaved-{uid}.json"

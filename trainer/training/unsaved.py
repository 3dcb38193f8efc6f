"""The last resort: a session that the data file doesn't take, kept in a file beside it.

``trainer data import`` takes that file. The ids are the session's own, so what had
been saved before is there once all the same.
"""

from __future__ import annotations

import json
from pathlib import Path

from trainer.errors import TrainerError
from trainer.settings.settings import write_atomically
from trainer.training.runner import SessionRunner


def left_behind(folder: Path) -> tuple[str, ...]:
    """Say, a sentence each, which sessions still wait to be taken in."""
    return tuple(
        f"A session that could not be written is kept in {path}. Take it in with:"
        f" trainer data import {path}, then delete that file."
        for path in sorted(folder.glob("unsaved-*.json"))
    )


def keep_beside(runner: SessionRunner, folder: Path) -> Path | None:
    """Write RUNNER's session into FOLDER; give the file, or None where that fails too.

    A session that is kept again replaces its earlier file.
    """
    path = folder / f"unsaved-{runner.session_uid}.json"
    try:
        write_atomically(path, json.dumps(runner.rescue(), ensure_ascii=False))
    except (OSError, TrainerError):
        return None
    return path

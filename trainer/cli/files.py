"""Files that the person named to be written: asked for, whole, for their owner only."""

from __future__ import annotations

from pathlib import Path

from trainer.errors import ConfigError, UsageError


def may_write(path: Path, *, replace: bool) -> None:
    """Refuse what isn't a file, and a file that is there unless REPLACE says so.

    Raises:
        UsageError: PATH must not be written.
    """
    if not path.exists():
        return
    if not path.is_file():
        raise UsageError(f"{path} is there and is no file", "Name a file")
    if not replace:
        raise UsageError(f"{path} is there already", "Add --yes to replace it")


def write_file(path: Path, text: str, *, replace: bool) -> None:
    """Put TEXT into the file, at once and as a whole, readable by its owner alone.

    Raises:
        UsageError: it must not, or can't, be written; what was there is untouched.
    """
    from trainer.config import write_atomically

    may_write(path, replace=replace)
    try:
        write_atomically(path, text)
    except ConfigError as fault:
        raise UsageError(fault.message, fault.hint) from None

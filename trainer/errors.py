"""Every fault that a person can cause or meet, with what to do next.

A ``TrainerError`` is for people: the command line prints ``message`` and ``hint`` as
one line and leaves with ``exit_code``; the screens show the same two sentences.
Anything else that escapes is a defect of ours.
"""

from __future__ import annotations

from collections.abc import Sequence
from enum import IntEnum


class ExitCode(IntEnum):
    """What the process says when it ends; part of the command line's contract."""

    DONE = 0
    FAILED = 1
    USAGE = 2
    DATA = 3
    INTERRUPTED = 130


class TrainerError(Exception):
    """Something went wrong that a person can understand and act on.

    Args:
        message: what happened, and to which thing. A sentence without its full stop.
        hint: what to do next. A sentence without its full stop, or empty.
    """

    exit_code = ExitCode.FAILED

    def __init__(self, message: str, hint: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.hint = hint

    def __str__(self) -> str:
        """Give both sentences, each with one full stop or question mark."""
        parts = (part.strip() for part in (self.message, self.hint))
        return " ".join(
            part if part.endswith((".", "?", ":")) else f"{part}."
            for part in parts
            if part
        )


class UsageError(TrainerError):
    """A value or a combination of options that makes no sense."""

    exit_code = ExitCode.USAGE


class ConfigError(TrainerError):
    """The settings file or a plan file says something that can't be used."""

    exit_code = ExitCode.USAGE


class ManyConfigError(ConfigError):
    """Several faults of one file, each with its own line: said all at once."""

    def __init__(self, faults: Sequence[ConfigError]) -> None:
        super().__init__(" ".join(map(str, faults)))
        self.faults = tuple(faults)


class DataError(TrainerError):
    """The data file can't be opened, read or trusted."""

    exit_code = ExitCode.DATA


class DataBusyError(DataError):
    """Another process is writing to the data file, for longer than we wait."""


class DataWriteError(DataError):
    """The data file can't be written just now: full disk, read-only, gone."""


class DataGoneError(DataWriteError):
    """What lies on the path is no longer the file that was opened; it isn't touched."""


class DataDamagedError(DataError):
    """The content of the data file can't be trusted."""

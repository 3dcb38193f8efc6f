"""What the system tells the program, noted and looked at in between."""

from __future__ import annotations

import math
import signal
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType, TracebackType
from typing import Self

from trainer.cli.plain.terminal import Keys

LOOKS_EVERY_S = 0.1
"""How soon somebody who is asked something can leave by ctrl+c (our choice)."""


class Told:
    """What the system told the program, noted and looked at between two ticks.

    A handler that raised would break off whatever is under way, a write among it.
    """

    stop: signal.Signals | None = None
    """The first signal that came; None: none did."""

    def note(self, number: int, _frame: FrameType | None) -> None:
        """Be the handler."""
        self.stop = self.stop or signal.Signals(number)

    def obey(self) -> None:
        """Break off where nothing is under way that would suffer from it.

        Raises:
            KeyboardInterrupt: the program was told to stop.
        """
        if self.stop is not None:
            raise KeyboardInterrupt


@contextmanager
def stop_signals() -> Iterator[Told]:
    """Note the signals that ask for an end; a second one changes nothing.

    Once told to stop, the program is on its way out, and no later signal keeps it from
    tidying up or changes the exit code: from here on they are ignored. A handler of
    Python's would not do, since the interpreter takes those away while it ends.
    """
    told = Told()
    # SIGBREAK: ctrl+break on Windows, and its console being closed.
    names = ("SIGINT", "SIGTERM", "SIGHUP", "SIGBREAK")
    numbers = [getattr(signal, name) for name in names if hasattr(signal, name)]
    before = [signal.signal(number, told.note) for number in numbers]
    try:
        yield told
    finally:
        for number, handler in zip(numbers, before, strict=True):
            signal.signal(number, handler if told.stop is None else signal.SIG_IGN)


class Asking:
    """Keys for questions: who tells the program to stop at one needn't answer it."""

    def __init__(self, keys: Keys, told: Told) -> None:
        self._keys, self._told = keys, told

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        """Leave the terminal to whoever opened it."""

    def wait(self, seconds: float) -> list[str]:
        """Wait that long at most; give the keys that came.

        Raises:
            KeyboardInterrupt: the program was told to stop.
            EOFError: the terminal is gone.
        """
        for _ in range(max(1, math.ceil(seconds / LOOKS_EVERY_S))):
            self._told.obey()
            keys = self._keys.wait(min(seconds, LOOKS_EVERY_S))
            if keys:
                return keys
        return []

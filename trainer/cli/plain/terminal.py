"""A terminal read key by key, without waiting and without a screen.

Where stdin is no terminal there are no keys at all: nothing is asked, and the end of
input is no key.
"""

from __future__ import annotations

import os
import sys
import time
from contextlib import suppress
from types import TracebackType
from typing import Protocol, Self

from trainer.cli.plain.keys import BACKSPACE, ENTER, ESCAPE

OTHER = "other"
"""A key that has no character: an arrow, a page key, a function key."""


class Keys(Protocol):
    """Where keys come from."""

    def __enter__(self) -> Self:
        """Begin to read."""

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        """Leave the terminal as it was."""

    def wait(self, seconds: float) -> list[str]:
        """Wait that long at most; give the keys that came.

        Raises:
            EOFError: the terminal is gone, with or without a hang-up signal.
        """
        ...


class NoKeys:
    """No terminal: only time passes."""

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        """End."""

    def wait(self, seconds: float) -> list[str]:
        """Wait."""
        time.sleep(seconds)
        return []


def named(data: str) -> list[str]:
    """Name the keys in what a terminal sent: one name for a whole escape sequence."""
    keys: list[str] = []
    index = 0
    while index < len(data):
        char = data[index]
        if char == "\x1b":
            end = index + 1
            if end < len(data) and data[end] in "[O":
                end += 1
                while end < len(data) and not ("@" <= data[end] <= "~"):
                    end += 1
                keys.append(OTHER)
                index = end + 1
                continue
            keys.append(ESCAPE)
        elif char in "\r\n":
            keys.append(ENTER)
        elif char in "\x7f\b":
            keys.append(BACKSPACE)
        elif char.isprintable():
            keys.append(char)
        index += 1
    return keys


def open_keys() -> Keys:
    """Read this process's terminal if stdin is one."""
    if not sys.stdin.isatty():
        return NoKeys()
    if sys.platform == "win32":
        return _WindowsKeys()
    return _PosixKeys()


if sys.platform == "win32":
    import msvcrt

    class _WindowsKeys(NoKeys):
        def wait(self, seconds: float) -> list[str]:
            data = ""
            for _ in range(max(1, int(seconds / 0.01))):
                while msvcrt.kbhit():
                    char = msvcrt.getwch()
                    if char in "\x00\xe0":
                        msvcrt.getwch()
                        return [OTHER]
                    data += char
                if data:
                    break
                time.sleep(0.01)
            return named(data)

else:
    import select
    import termios
    import tty

    class _PosixKeys:
        """The terminal in its key-by-key mode; ctrl+c still interrupts."""

        def __enter__(self) -> Self:
            self._fd = sys.stdin.fileno()
            self._before = termios.tcgetattr(self._fd)
            tty.setcbreak(self._fd)
            return self

        def __exit__(self, *_: object) -> None:
            with suppress(termios.error):  # a terminal that is gone needs no mending
                termios.tcsetattr(self._fd, termios.TCSADRAIN, self._before)

        def wait(self, seconds: float) -> list[str]:
            ready, _, _ = select.select([self._fd], [], [], seconds)
            if not ready:
                return []
            try:
                data = os.read(self._fd, 1024)
            except OSError:
                data = b""
            if not data:
                raise EOFError("the terminal is gone")
            return named(data.decode("utf-8", errors="replace"))

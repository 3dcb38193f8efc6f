"""The only writer to stdout: lines for people, one JSON document for programs.

Whatever a person typed once is cleaned again on its way out. What only some commands
need is imported where it is used: ``--help`` waits for this module.
"""

from __future__ import annotations

import contextlib
import io
import os
import sys
from collections.abc import Iterator
from functools import cache
from typing import TYPE_CHECKING, Any, TextIO

from trainer.core.text import clean
from trainer.errors import TrainerError

if TYPE_CHECKING:
    import queue

    from trainer.core.alphabet import Alphabet

WIDEST = 88
"""Columns of the longest line of a sentence (our choice)."""
LAST_WORDS_S = 1.0
"""How long the end of a session waits for a terminal that is held (our choice)."""
LONGEST_LINE = 100_000
"""Characters of a line at which something must be wrong (our choice)."""

_STREAMS = {"stdin": "r", "stdout": "w", "stderr": "w"}


class OutputError(TrainerError):
    """Standard output doesn't take what was asked for."""


def prepare() -> None:
    """Make stdout able to take every character; what is left becomes ``?``.

    Streams that were closed before the program began get a place that can't be written,
    so that no file of ours is opened under their number.
    """
    for number in (0, 1, 2):
        try:
            os.fstat(number)
        except OSError:
            # stderr into the void: there is nobody to be told that it is closed.
            os.open(os.devnull, os.O_WRONLY if number == 2 else os.O_RDONLY)
    for number, (name, mode) in enumerate(_STREAMS.items()):
        if getattr(sys, name) is None:
            # For as long as the program runs.
            setattr(sys, name, open(number, mode, closefd=False))  # noqa: SIM115
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors="replace")


def letters(stream: TextIO | None = None) -> Alphabet | None:
    """Tell which characters a stream (stdout) can show; None: all that we write.

    What goes into a file is read elsewhere: there only the encoding counts.
    """
    from trainer.core.alphabet import alphabet

    stream = stream or sys.stdout
    environ = os.environ if stream.isatty() else {}
    return alphabet(stream.encoding, environ)


def readable(text: str, stream: TextIO | None = None) -> str:
    """Give TEXT in characters that whoever reads the stream (stdout) can be shown."""
    if text.isascii():
        return text
    known = letters(stream)
    return text if known is None else known.spell(text)


def is_terminal() -> bool:
    """Tell whether somebody sees stdout as it is written."""
    return sys.stdout.isatty()


@contextlib.contextmanager
def _said_if_it_fails() -> Iterator[None]:
    """Turn what a full or closed output says into a sentence; not a reader's leaving.

    Raises:
        OutputError: stdout can't be written; nothing more goes there.
    """
    try:
        yield
    except BrokenPipeError:
        raise
    except OSError as error:
        hush()
        reason = error.strerror or str(error)
        raise OutputError(
            f"Standard output can't be written ({reason})",
            "What is missing there is no fault of the data",
        ) from None


def _print(text: str, *, end: str = "\n", flush: bool = False) -> None:
    with _said_if_it_fails():
        print(text, end=end, flush=flush)


def _show(text: str, *, end: str = "\n", flush: bool = False) -> None:
    """Write what people read, in characters that they can be shown."""
    _print(readable(text), end=end, flush=flush)


def line(text: str = "") -> None:
    """Write one line."""
    lead = len(text) - len(text.lstrip(" "))
    _show(" " * lead + clean(text, limit=LONGEST_LINE))


def part(text: str) -> None:
    """Write a piece of a line at once: what somebody is typing."""
    _show(clean(text, limit=LONGEST_LINE) or " " * len(text), end="", flush=True)


def exactly(text: str) -> None:
    """Write one line for another program to the letter; tamed on a terminal."""
    _print(clean(text, limit=LONGEST_LINE) if is_terminal() else text)


def paragraph(text: str, *, indent: str = "  ") -> None:
    """Write a sentence or two; on a terminal, broken at words to fit it."""
    if not is_terminal():
        line(indent + text)
        return
    import shutil
    import textwrap

    width = min(shutil.get_terminal_size().columns, WIDEST)
    for row in textwrap.wrap(
        clean(text),
        width=max(20, width - 1),
        initial_indent=indent,
        subsequent_indent=indent + "  ",
    ):
        _show(row)


def text(lines: str) -> None:
    """Write a text of several lines as it is: one that we made ourselves."""
    _show(lines, end="" if lines.endswith("\n") else "\n")


def file_text(content: str) -> None:
    """Write what belongs in a file (FILE is -): UTF-8 and to the byte, like the file.

    On a terminal somebody only looks at it: there it is shown as what people read.
    """
    binary = None if is_terminal() else getattr(sys.stdout, "buffer", None)
    if binary is None:
        text(content)
        return
    with _said_if_it_fails():
        sys.stdout.flush()
        binary.write(content.encode())


@cache
def _escapes() -> dict[int, str]:
    """Return how JSON writes what it may hold as it is and a terminal obeys, or no
    encoding takes: C1 controls, direction controls, line separators, unpaired
    surrogates."""
    codes = (
        *range(0x7F, 0xA0),
        *(0x061C, 0x200E, 0x200F, 0x2028, 0x2029),
        *range(0x202A, 0x202F),
        *range(0x2066, 0x206A),
        *range(0xD800, 0xE000),
    )
    return {code: f"\\u{code:04x}" for code in codes}


def document(value: Any) -> None:
    """Write one JSON document: as readable as the output's characters let it be."""
    import json

    everything = letters() is None
    dumped = json.dumps(value, ensure_ascii=not everything, indent=2, allow_nan=False)
    _print(dumped.translate(_escapes()))


def flush() -> None:
    """Let everything out before something is said on the other stream."""
    with _said_if_it_fails():
        sys.stdout.flush()


def hush() -> None:
    """Drop what is still to come: the reader has gone (``trainer next | head -1``)."""
    with contextlib.suppress(OSError):
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, sys.stdout.fileno())


@contextlib.contextmanager
def outlived() -> Iterator[Outlived]:
    """Let a block go on, whatever becomes of its output.

    A terminal that is held (ctrl+s), a log whose disk is full, a reader that has gone:
    none of them stops what happens in the block, or makes it late.
    """
    real = sys.stdout
    real.flush()
    stand_in = Outlived(real)
    sys.stdout = stand_in
    try:
        yield stand_in
    finally:
        sys.stdout = real
        if not stand_in.let_out():
            hush()


class Outlived(io.TextIOBase):
    """A stand-in for stdout that a thread of its own empties; writing never waits."""

    def __init__(self, real: TextIO) -> None:
        import queue
        import threading

        self._real = real
        self._descriptor = _descriptor_of(real)
        self._waiting: queue.SimpleQueue[str | None] = queue.SimpleQueue()
        self.fault: OSError | None = None
        """Why nothing more can be written, once that is so."""
        self._thread = threading.Thread(target=self._empty, daemon=True)
        self._thread.start()

    @property
    def encoding(self) -> str:  # type: ignore[override] # read only there too
        """The encoding of what is written."""
        return self._real.encoding

    def isatty(self) -> bool:
        """Tell whether somebody sees it as it is written."""
        return self._real.isatty()

    def write(self, text: str) -> int:
        """Take a text to be written soon."""
        if self._descriptor is None:
            return self._real.write(text)
        self._waiting.put(text)
        return len(text)

    def let_out(self) -> bool:
        """Wait a moment for the last words; False where they can't get out."""
        self._waiting.put(None)
        self._thread.join(LAST_WORDS_S)
        return self.fault is None and not self._thread.is_alive()

    def _empty(self) -> None:
        # Not through the real stream's buffer: a thread that waits in it for a terminal
        # would hold its lock when the program ends.
        while (text := self._waiting.get()) is not None:
            if self.fault is not None or self._descriptor is None:
                continue
            left = text.encode(self._real.encoding, errors="replace")
            try:
                while left:
                    left = left[os.write(self._descriptor, left) :]
            except OSError as error:
                self.fault = error


def _descriptor_of(stream: TextIO) -> int | None:
    """Give a stream's descriptor; None for one that is only in memory."""
    try:
        return stream.fileno()
    except OSError:
        return None

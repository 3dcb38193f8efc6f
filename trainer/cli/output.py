"""The only writer to stdout: lines for people, one JSON document for programs.

Whatever a person typed once is cleaned again on its way out. What only some commands
need is imported where it is used: ``--help`` waits for this module.
"""

from __future__ import annotations

import contextlib
import os
import sys
from typing import Any

from trainer.core.text import clean

WIDEST = 88
"""Columns of the longest line of a sentence (our choice)."""
LONGEST_LINE = 100_000
"""Characters of a line at which something must be wrong (our choice)."""
_ESCAPED = {
    code: f"\\u{code:04x}"
    for code in (
        *range(0x7F, 0xA0),
        *(0x061C, 0x200E, 0x200F, 0x2028, 0x2029),
        *range(0x202A, 0x202F),
        *range(0x2066, 0x206A),
        *range(0xD800, 0xE000),
    )
}
"""What JSON may hold as it is and a terminal obeys, or no encoding takes: C1 controls,
direction controls, line separators, unpaired surrogates."""


def prepare() -> None:
    """Make stdout able to take every character; what it can't show becomes ``?``."""
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors="replace")


def is_terminal() -> bool:
    """Tell whether somebody sees stdout as it is written."""
    return sys.stdout.isatty()


def line(text: str = "") -> None:
    """Write one line."""
    lead = len(text) - len(text.lstrip(" "))
    print(" " * lead + clean(text, limit=LONGEST_LINE))


def part(text: str) -> None:
    """Write a piece of a line at once: what somebody is typing."""
    print(clean(text, limit=LONGEST_LINE) or " " * len(text), end="", flush=True)


def exactly(text: str) -> None:
    """Write one line for another program to the letter; tamed on a terminal."""
    print(clean(text, limit=LONGEST_LINE) if is_terminal() else text)


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
        print(row)


def text(lines: str) -> None:
    """Write a text of several lines as it is: one that we made ourselves."""
    print(lines, end="" if lines.endswith("\n") else "\n")


def document(value: Any) -> None:
    """Write one JSON document: as readable as the output's encoding lets it be."""
    import json

    utf8 = (sys.stdout.encoding or "").lower().replace("-", "") == "utf8"
    dumped = json.dumps(value, ensure_ascii=not utf8, indent=2, allow_nan=False)
    print(dumped.translate(_ESCAPED))


def flush() -> None:
    """Let everything out before something is said on the other stream."""
    sys.stdout.flush()


def hush() -> None:
    """Drop what is still to come: the reader has gone (``trainer next | head -1``)."""
    with contextlib.suppress(OSError):
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, sys.stdout.fileno())

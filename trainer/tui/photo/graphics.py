"""A picture by the terminal's own graphics, where it is known to have them.

Nothing is asked of the terminal. Its answer would come by way of the keyboard, and a
key pressed meanwhile would be lost or the answer be taken for keys. So the environment
says which terminal it is, the system says how large a cell is, and on any doubt the
photo is drawn in half blocks, which every terminal has.

Two protocols, both of PNG files in base64:

======  =========================  ====================================================
kitty   kitty, Ghostty             the picture is sent under a number, and cells of text
                                   name the part of it that they show (kitty's "Unicode
                                   placeholders"), so that a question may lie over it
inline  iTerm2, WezTerm            the picture is drawn into the cells at the cursor and
                                   lasts until something is written there
======  =========================  ====================================================

https://sw.kovidgoyal.net/kitty/graphics-protocol/,
https://iterm2.com/documentation-images.html, https://wezterm.org/imgcat.html.
"""

from __future__ import annotations

import base64
import os
import struct
import sys
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING, Any

from trainer.settings.settings import Photos

if TYPE_CHECKING:
    from textual.app import App

MOST_DOT_PX = 12
"""Pixels of a half block that are drawn at most (our choice)."""
LONGEST_SIDE_PX = 960
"""Of the picture that is sent at each key (our choice: about 10 ms of work)."""
USUAL_CELL_PX = (8, 16)
"""Where a protocol is set by hand and the system knows no size of a cell."""
CHUNK = 4096
"""Bytes of base64 in one command (kitty's protocol: "Remote client")."""
PLACEHOLDER = "\U0010eeee"
BETWEEN = ("TMUX", "STY", "ZELLIJ")
"""Programs between us and the terminal that pass no pictures on by themselves."""
OTHERS = (
    "ALACRITTY_WINDOW_ID",
    "KITTY_WINDOW_ID",
    "KONSOLE_VERSION",
    "VTE_VERSION",
    "WT_SESSION",
    "XTERM_VERSION",
)
"""Set by other terminals: one that was started from ours hands our own name on."""


class Protocol(StrEnum):
    """How a picture is sent."""

    KITTY = "kitty"
    INLINE = "inline"


@dataclass(frozen=True, slots=True)
class Graphics:
    """What the terminal can draw."""

    protocol: Protocol
    cell_px: tuple[int, int]

    def dot_px(self, columns: int, rows: int) -> int:
        """Return the pixels of a half block in a picture of so many cells."""
        width, height = self.cell_px
        fits = LONGEST_SIDE_PX // max(columns, 2 * rows, 1)
        return max(1, min(width, round(height / 2), MOST_DOT_PX, fits))


def protocol_of(environ: Mapping[str, str]) -> Protocol | None:
    """Return what the terminal is known to understand; None on any doubt."""
    term = environ.get("TERM", "")
    between = any(environ.get(name) for name in BETWEEN)
    if between or term.startswith(("screen", "tmux")) or term in ("", "dumb", "linux"):
        return None
    if term in ("xterm-kitty", "xterm-ghostty"):
        # The cells' colour names the picture, so it must arrive as it is.
        true = environ.get("COLORTERM") in ("truecolor", "24bit")
        return Protocol.KITTY if true else None
    named = environ.get("TERM_PROGRAM") in ("iTerm.app", "WezTerm")
    if named and not any(environ.get(name) for name in OTHERS):
        return Protocol.INLINE
    return None


def graphics_of(
    environ: Mapping[str, str], wanted: Photos, cell_px: tuple[int, int] | None
) -> Graphics | None:
    """Return what to draw photos with; None: half blocks.

    Args:
        environ: the environment.
        wanted: what the settings say.
        cell_px: of a cell, where the system knows.
    """
    if wanted is Photos.BLOCKS or environ.get("NO_COLOR"):
        return None
    if wanted is not Photos.AUTO:
        return Graphics(Protocol(wanted), cell_px or USUAL_CELL_PX)
    protocol = protocol_of(environ)
    if protocol is None or cell_px is None:
        return None
    return Graphics(protocol, cell_px)


def cell_px() -> tuple[int, int] | None:
    """Return a cell's pixels as the system knows them; None where it doesn't.

    This asks the kernel, not the terminal: nothing is written and nothing is read.
    """
    if sys.platform == "win32" or sys.__stderr__ is None:
        return None
    import fcntl
    import termios

    try:
        # Textual draws on the standard error.
        said = fcntl.ioctl(sys.__stderr__.fileno(), termios.TIOCGWINSZ, bytes(8))
    except (OSError, ValueError):
        return None
    rows, columns, across, down = struct.unpack("HHHH", said)
    if not (rows and columns and across >= 2 * columns and down >= 4 * rows):
        return None
    return across // columns, down // rows


def graphics_here(app: App[Any], wanted: Photos) -> Graphics | None:
    """Return what APP's terminal draws photos with; None: half blocks."""
    if app.is_headless or app.is_web:
        return None
    return graphics_of(os.environ, wanted, cell_px())


def kitty_picture(number: int, png: bytes, columns: int, rows: int) -> str:
    """Return what sends a picture under NUMBER, for cells that name it.

    A picture that was sent under it before is replaced. ``q=2``: no answer is wanted.
    """
    head = f"a=T,U=1,i={number},f=100,c={columns},r={rows},q=2,"
    return "".join(
        f"\x1b_G{'' if index else head}m={int(more)};{part}\x1b\\"
        for index, (part, more) in enumerate(_chunks(png))
    )


def kitty_gone(number: int) -> str:
    """Return what removes a picture from the terminal's memory."""
    return f"\x1b_Ga=d,d=I,i={number},q=2\x1b\\"


def kitty_cells(row: int, columns: int) -> str:
    """Return a line of cells, each of which shows its own part of a picture."""
    mark = DIACRITICS[row]
    return "".join(
        f"{PLACEHOLDER}{mark}{DIACRITICS[column]}" for column in range(columns)
    )


def number_as_rgb(number: int) -> tuple[int, int, int]:
    """Return the colour by which cells name a picture of under 2²⁴."""
    return number >> 16 & 255, number >> 8 & 255, number & 255


def inline_picture(png: bytes, columns: int, rows: int, *, left: int, top: int) -> str:
    """Return what draws a picture over cells; the cursor goes back to where it was.

    Args:
        png: the file.
        columns: cells across.
        rows: cells down.
        left: cells to the left of it.
        top: cells above it.
    """
    said = (
        f"inline=1;size={len(png)};width={columns};height={rows}"
        ";preserveAspectRatio=0;doNotMoveCursor=1"
    )
    body = base64.b64encode(png).decode("ascii")
    return f"\x1b7\x1b[{top + 1};{left + 1}H\x1b]1337;File={said}:{body}\x07\x1b8"


def _chunks(png: bytes) -> Iterator[tuple[str, bool]]:
    """Yield a file's base64 in parts, and whether more come."""
    body = base64.b64encode(png).decode("ascii")
    for start in range(0, len(body), CHUNK):
        yield body[start : start + CHUNK], start + CHUNK < len(body)


def _marks(ranges: str) -> tuple[str, ...]:
    marks: list[str] = []
    for each in ranges.split():
        first, _, last = each.partition("-")
        marks += map(chr, range(int(first, 16), int(last or first, 16) + 1))
    return tuple(marks)


DIACRITICS = _marks(
    """
    0305 030d-030e 0310 0312 033d-033f 0346 034a-034c 0350-0352 0357 035b 0363-036f
    0483-0487 0592-0595 0597-0599 059c-05a1 05a8-05a9 05ab-05ac 05af 05c4 0610-0617
    0657-065b 065d-065e 06d6-06dc 06df-06e2 06e4 06e7-06e8 06eb-06ec 0730 0732-0733
    0735-0736 073a 073d 073f-0741 0743 0745 0747 0749-074a 07eb-07f1 07f3 0816-0819
    081b-0823 0825-0827 0829-082d 0951 0953-0954 0f82-0f83 0f86-0f87 135d-135f 17dd
    193a 1a17 1a75-1a7c 1b6b 1b6d-1b73 1cd0-1cd2 1cda-1cdb 1ce0 1dc0-1dc1 1dc3-1dc9
    1dcb-1dcc 1dd1-1de6 1dfe 20d0-20d1 20d4-20d7 20db-20dc 20e1 20e7 20e9 20f0
    2cef-2cf1 2de0-2dff a66f a67c-a67d a6f0-a6f1 a8e0-a8f1 aab0 aab2-aab3 aab7-aab8
    aabe-aabf aac1 fe20-fe26 10a0f 10a38 1d185-1d189 1d1aa-1d1ad 1d242-1d244
    """
)
"""Kitty's table of the combining marks that count rows and columns, in its order (its
documentation, "Unicode placeholders"; they are those of combining class 230 without a
decomposition in Unicode 6.0)."""
MOST_CELLS = len(DIACRITICS)
"""Columns or rows beyond which a picture can't be named by its cells."""

"""What a terminal can show, and how everything else is spelt for it.

Most terminals show all of Unicode that we write. The kernel's console has a font of 256
characters, and an output that isn't UTF-8 takes what its encoding has. There a letter
stays if the terminal has it, and every other character becomes ASCII: on the command
line as it reads best, on the screen in as many cells as it had.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

_SPELT = {
    "×": "x",
    "–": "-",
    "−": "-",
    "…": "...",
    "≤": "<=",
    "≥": ">=",
    "±": "+/-",
    "°": " deg",
    "½": "1/2",
    "·": "|",
    "→": "->",
    "←": "<-",
    "“": '"',
    "”": '"',
    "‘": "'",
    "’": "'",
}
"""Our own signs, and what people type with, as they read best."""
_CELLS = {
    **{sign: spelt for sign, spelt in _SPELT.items() if len(spelt) == 1},
    **dict.fromkeys("…", "."),
    **dict.fromkeys("°", "*"),
    **dict.fromkeys("±≈", "~"),
    **dict.fromkeys("→▸▶›≥", ">"),
    **dict.fromkeys("←◂◀‹≤", "<"),
    **dict.fromkeys("↑▲", "^"),
    **dict.fromkeys("↓▼", "v"),
    **dict.fromkeys("●○◉•", "o"),
    **dict.fromkeys("╌╍┄┅┈┉", "."),  # a dashed line stays told from a whole one
    **dict.fromkeys("═", "="),
    **dict.fromkeys("━", "#"),
    **dict.fromkeys("▔▀", "-"),
    **dict.fromkeys("▁▂▃▄", "_"),
    **dict.fromkeys("▏▎▍▌▐▕", "|"),
    **dict.fromkeys("▅▆▇█▊▉▋▓▙▛▜▟", "#"),
    **dict.fromkeys("░▒", ":"),
    **dict.fromkeys("▖▗", "."),
    **dict.fromkeys("▘▝", "'"),
    **dict.fromkeys("▚▞", "%"),
    **dict.fromkeys("╳✗", "x"),
}
"""One cell each, for a place whose width is settled."""
_C_LOCALES = ("C", "POSIX")
_COERCED = "C.UTF-8"
"""What Python itself puts into ``LC_CTYPE`` where ``LANG`` says C (PEP 538)."""
UNKNOWN = "?"
CONSOLE = "cp437"
"""What the kernel's own font on a PC holds (drivers/tty/vt/cp437.uni in Linux)."""


@dataclass(frozen=True, slots=True)
class Alphabet:
    """ASCII and the letters of one encoding."""

    codec: str

    def spell(self, text: str) -> str:
        """Give TEXT as it reads best."""
        if text.isascii():
            return text
        return "".join(_SPELT.get(char) or self._cell(char) for char in _composed(text))

    def cells(self, text: str) -> str:
        """Give TEXT in as many cells as it had."""
        if text.isascii():
            return text
        return "".join(self._cell(char) for char in _composed(text))

    def _cell(self, char: str) -> str:
        return _in_one_cell(char, self.codec)


def alphabet(encoding: str | None, environ: Mapping[str, str]) -> Alphabet | None:
    """Tell which characters an output can show; None: all that we write.

    Args:
        encoding: the stream's.
        environ: ``TERM`` names the kernel's console, and one that is called dumb; the
            locale that is called C or POSIX promises ASCII alone, though Python writes
            UTF-8 in it (PEP 540).
    """
    spoken = (encoding or "ascii").lower().replace("_", "-")
    terminal = environ.get("TERM", "")
    if _locale(environ) in _C_LOCALES:
        return Alphabet("ascii")
    if spoken.replace("-", "") not in ("utf8", "utf8sig", "cp65001"):
        return Alphabet(spoken)
    if terminal == "linux":
        return Alphabet(CONSOLE)
    return Alphabet("utf-8") if terminal == "dumb" else None


def _locale(environ: Mapping[str, str]) -> str:
    """Give the locale of characters by the order that POSIX sets."""
    said = [environ.get(name, "") for name in ("LC_ALL", "LC_CTYPE", "LANG")]
    if said[1] == _COERCED and said[2] in _C_LOCALES:
        del said[1]
    return next(filter(None, said), "")


def _composed(text: str) -> str:
    """Put a letter and its accents into one character where there is one."""
    return unicodedata.normalize("NFC", text)


@lru_cache(maxsize=1024)
def _in_one_cell(char: str, codec: str) -> str:
    if char.isascii():
        return char
    if char.isalpha() and _has(codec, char):
        return char
    if unicodedata.combining(char):
        return ""
    wide = unicodedata.east_asian_width(char) in ("W", "F")
    if char not in _CELLS and "\u2800" <= char <= "\u28ff":  # Braille, as drawn dots
        return " " if char == "\u2800" else ":"
    if char not in _CELLS and "\u2500" <= char <= "\u257f":
        return _box(unicodedata.name(char))
    base = unicodedata.normalize("NFKD", char).encode("ascii", "ignore").decode()
    spelt = _CELLS.get(char) or (base if len(base) == 1 else UNKNOWN)
    return spelt.ljust(2, UNKNOWN) if wide else spelt


def _box(name: str) -> str:
    """Give a line, or a corner of lines, by the name that Unicode has for it."""
    across = any(word in name for word in ("HORIZONTAL", "LEFT", "RIGHT"))
    down = any(word in name for word in ("VERTICAL", "UP", "DOWN"))
    return "+" if across and down else "-" if across else "|" if down else UNKNOWN


def _has(codec: str, char: str) -> bool:
    try:
        char.encode(codec)
    except (UnicodeEncodeError, LookupError):
        return False
    return True

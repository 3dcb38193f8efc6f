"""User text is data: cleaned here, at every edge where it comes in or goes out."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable

# The nearest of the valid words, for somebody who mistyped one.

NEAR_ENOUGH = 0.5
"""Likeness (0 to 1, difflib's ratio) from which a word is worth offering."""


def nearest(word: str, valid: Iterable[str]) -> str | None:
    """Give the valid word most like WORD, or None if none is like it."""
    import difflib

    by_lower = {choice.lower(): choice for choice in valid}
    close = difflib.get_close_matches(word.lower(), by_lower, 1, NEAR_ENOUGH)
    return by_lower[close[0]] if close else None


def did_you_mean(word: str, valid: Iterable[str]) -> str:
    """Give the sentence that helps: the nearest word, or else all of them."""
    choices = list(valid)
    near = nearest(word, choices)
    if near is not None:
        return f"Did you mean {near}?"
    return f"It is one of: {', '.join(choices)}"


NOTE_LIMIT = 2000
"""Characters kept of a note (our choice)."""

_BIDI = frozenset(
    "\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
)


def clean(text: str, *, limit: int = NOTE_LIMIT) -> str:
    """Give TEXT on one line, without control or direction characters.

    A terminal obeys escape sequences wherever they come from, so C0, C1 and the
    bidirectional controls go; tabs and line ends become spaces. Printable characters,
    square brackets among them, stay as they were typed.
    """
    kept = []
    for char in text:
        if char in "\t\n\r\v\f\u2028\u2029":
            kept.append(" ")
        elif char in _BIDI or unicodedata.category(char) in ("Cc", "Cs"):
            continue
        else:
            kept.append(char)
    return "".join(kept).strip()[:limit]

"""The nearest of the valid words, for somebody who mistyped one."""

from __future__ import annotations

from collections.abc import Iterable

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

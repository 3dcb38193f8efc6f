"""What a terminal can show, and how the rest is spelt for it."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.texts import any_text
from trainer.core.alphabet import Alphabet, alphabet

ASCII = Alphabet("ascii")
CODECS = ("ascii", "cp437", "latin-1", "cp1252")


@pytest.mark.parametrize(
    ("encoding", "environ", "codec"),
    [
        ("utf-8", {"TERM": "xterm-256color"}, None),
        ("UTF8", {}, None),
        ("utf-8", {"LANG": "de_DE.UTF-8"}, None),
        ("utf-8", {"TERM": "linux"}, "cp437"),
        ("utf-8", {"TERM": "dumb"}, "utf-8"),
        ("iso-8859-1", {"TERM": "xterm"}, "iso-8859-1"),
        ("cp1252", {}, "cp1252"),
        (None, {"TERM": "xterm"}, "ascii"),
        ("utf-8", {"LC_ALL": "C"}, "ascii"),
        ("utf-8", {"LANG": "POSIX"}, "ascii"),
        ("utf-8", {"LC_ALL": "C.UTF-8", "LANG": "C"}, None),
        ("utf-8", {"LC_CTYPE": "C.UTF-8", "LANG": "C"}, "ascii"),
        ("utf-8", {"LC_CTYPE": "C.UTF-8"}, None),
    ],
)
def test_what_a_terminal_has(
    encoding: str | None, environ: dict[str, str], codec: str | None
) -> None:
    """By its encoding, its name and its locale; Python's own LC_CTYPE says nothing."""
    found = alphabet(encoding, environ)

    assert codec == (None if found is None else found.codec)


@pytest.mark.parametrize(
    ("text", "spelt", "cells"),
    [
        ("3 × 30 s, 0–10", "3 x 30 s, 0-10", "3 x 30 s, 0-10"),
        ("158° ± 9.5°", "158 deg +/- 9.5 deg", "158* ~ 9.5*"),
        ("30 → 35 s …", "30 -> 35 s ...", "30 > 35 s ."),
        ("Mon · Wed", "Mon | Wed", "Mon | Wed"),
        ("Zoë, “très bien”", 'Zoe, "tres bien"', 'Zoe, "tres bien"'),
        ("‹on›  ◂ now", "<on>  < now", "<on>  < now"),
        ("██ ░ ─┐╔╍━", "## : -++.#", "## : -++.#"),
        ("日本", "????", "????"),
    ],
)
def test_it_reads_as_it_was_meant(text: str, spelt: str, cells: str) -> None:
    """As a sentence it may grow; on the screen it keeps its place."""
    assert (spelt, cells) == (ASCII.spell(text), ASCII.cells(text))


def test_a_letter_stays_where_the_terminal_has_it() -> None:
    """Somebody's own language isn't taken from them; signs are spelt all the same."""
    assert "Zoë x 3" == Alphabet("cp437").spell("Zoë × 3")
    assert "Łucja" == Alphabet("utf-8").spell("Łucja")
    assert "?ucja" == Alphabet("cp437").spell("Łucja")


@given(text=any_text(), codec=st.sampled_from(CODECS))
def test_whatever_was_typed_can_be_written(text: str, codec: str) -> None:
    """No character is left that the terminal lacks."""
    letters = Alphabet(codec)

    letters.spell(text).encode(codec)
    letters.cells(text).encode(codec)


def _width(text: str) -> int:
    return sum(
        0
        if unicodedata.combining(char)
        else 2
        if unicodedata.east_asian_width(char) in "WF"
        else 1
        for char in text
    )


@given(text=st.text(st.characters(categories=["L", "N", "P", "S", "Zs"])))
def test_what_has_its_place_keeps_it(text: str) -> None:
    """In place, a text is as wide as it was (UAX 11 for wide characters)."""
    composed = unicodedata.normalize("NFC", text)

    assert _width(composed) == len(ASCII.cells(text))

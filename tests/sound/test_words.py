"""Words that are understood: heard by a recogniser that knows them and no others.

The whole table is in ``scripts/hear_words.py``.
"""

from __future__ import annotations

import importlib
from typing import Any

import pytest

from tests.references import in_one_worker

hear: Any = importlib.import_module("hear_words")
WHY = hear.missing()
pytestmark = [
    pytest.mark.skipif(bool(WHY), reason=WHY or "-"),
    in_one_worker,  # and heard once
]


@pytest.fixture(scope="module")
def heard() -> dict[str, dict[str, str]]:
    """Let every phrase be heard in every way."""
    return dict(hear.rows())


@pytest.mark.parametrize("way", list(hear.GOALS))
def test_the_words_are_understood(heard: dict[str, dict[str, str]], way: str) -> None:
    """By pocketsphinx and its own English model, a recogniser that had no part in
    making them: as clips, through a small speaker's band, and over a breath's tone."""
    right = [word for word, ways in heard.items() if ways[way] == hear.plain(word)]

    assert 20 == len(heard)
    assert len(right) >= hear.GOALS[way], set(heard) - set(right)


def test_no_word_is_taken_for_one_that_asks_for_another_act(
    heard: dict[str, dict[str, str]],
) -> None:
    """Whatever is misheard, nobody is told to hold, to breathe out, to press or to come
    down who wasn't."""
    taken = {
        (word, way): what
        for word, ways in heard.items()
        for way, what in ways.items()
        if hear.harmful(word, what)
    }

    assert {} == taken


def test_what_is_harmful_is_known() -> None:
    """The check above can fail: some mistakes count, others don't."""
    assert hear.harmful("go up now", "and hold")
    assert hear.harmful("breathe in", "breathe in and come down")
    assert not hear.harmful("keep pressing", "keep pressing")
    assert not hear.harmful("and hold", "halfway")
    assert not hear.harmful("two", "")

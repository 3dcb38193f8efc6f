"""Documents are bounded before they are parsed."""

from __future__ import annotations

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.texts import any_text
from trainer.core.bounds import DEEPEST, LARGEST_MB, LONGEST_TEXT, why_not_parsed

ANY_JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | any_text(max_size=20),
    lambda inner: (
        st.lists(inner, max_size=4)
        | st.dictionaries(any_text(max_size=8), inner, max_size=4)
    ),
    max_leaves=20,
)


@pytest.mark.parametrize(
    ("raw", "said"),
    [
        (b" " * (LARGEST_MB * 1_000_000 + 1), f"larger than {LARGEST_MB} MB"),
        (b"[" * (DEEPEST + 1), f"more than {DEEPEST} deep"),
        (b'{"a":' * 100_000, f"more than {DEEPEST} deep"),
        (b'"' + b"n" * (LONGEST_TEXT + 1) + b'"', f"more than {LONGEST_TEXT} bytes"),
        (b'"' + b'\\"' * 1_000_000, f"more than {LONGEST_TEXT} bytes"),
        (b'"' + b"n" * 5_000_000, f"more than {LONGEST_TEXT} bytes"),
    ],
)
def test_what_is_out_of_bounds_is_said_with_the_bound(raw: bytes, said: str) -> None:
    """Size, depth and the length of a text, also of one that never ends."""
    assert said in why_not_parsed(raw)


@pytest.mark.parametrize(
    "raw",
    [
        b"[" * DEEPEST + b"]" * DEEPEST,
        b'["' + b"n" * LONGEST_TEXT + b'"]',
        b"[" + b"[]," * 1000 + b"[]]",
        json.dumps("[{" * 100 + '"\\').encode(),
    ],
)
def test_what_is_within_them_is_parsed(raw: bytes) -> None:
    """Up to the bound; brackets and quotes within a text are none."""
    assert "" == why_not_parsed(raw)


@given(value=ANY_JSON)
def test_no_document_of_ordinary_size_is_refused(value: object) -> None:
    """Whatever is in its texts, however they are escaped."""
    for ensure_ascii in (True, False):
        raw = json.dumps(value, ensure_ascii=ensure_ascii).encode("utf-8", "replace")

        assert "" == why_not_parsed(raw) or raw.count(b"[") + raw.count(b"{") > DEEPEST

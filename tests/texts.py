"""Any text at all, for Hypothesis."""

from __future__ import annotations

from hypothesis import strategies as st

# What UTF-8 can write is everything but surrogates. Asked for as an encoding, which is
# what a text without an alphabet asks for, it is found out by encoding a million
# characters: two seconds in each worker of a fresh checkout.
ANY_CHARACTER = st.characters(exclude_categories=["Cs"])


def any_text(*, max_size: int | None = None) -> st.SearchStrategy[str]:
    """Give texts of any characters that can be written, of MAX_SIZE at most."""
    return st.text(ANY_CHARACTER, max_size=max_size)

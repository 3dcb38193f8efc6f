"""What a document may be before it is parsed: bounds that no export of ours comes near.

A parser takes what it is given into memory, some of it many times over; these are
looked at on the bytes, in one pass.
"""

from __future__ import annotations

import re

LARGEST_MB = 64
"""Ten years of three sessions a week export to about 8 MB (our choice)."""
DEEPEST = 32
"""Objects and lists within each other; an export has 8 (our choice)."""
LONGEST_TEXT = 20_000
"""Bytes of one text; a note has at most 2000 characters (our choice)."""

# A text that is never closed goes to the end, so that no byte is looked at twice.
_TOKEN = re.compile(rb'"(?:[^"\\]++|\\.)*+(?:"|\\?\Z)|[\[{]|[\]}]', re.DOTALL)


def why_not_parsed(raw: bytes) -> str:
    """Say, as the rest of a sentence, why JSON isn't parsed; empty where it may be."""
    if len(raw) > LARGEST_MB * 1_000_000:
        return f"is larger than {LARGEST_MB} MB"
    depth = 0
    for match in _TOKEN.finditer(raw):
        first = raw[match.start()]
        if first == 0x22:  # a quote
            if match.end() - match.start() - 2 > LONGEST_TEXT:
                return f"has a text of more than {LONGEST_TEXT} bytes"
        elif first in b"[{":
            depth += 1
            if depth > DEEPEST:
                return f"nests more than {DEEPEST} deep"
        else:
            depth -= 1
    return ""

"""Figures and dates as words for sentences: the same everywhere, in any locale."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import date

_MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)


def seconds(value_s: float) -> str:
    """Say a number of seconds, to the tenth below."""
    return f"{math.floor(value_s * 10 + 1e-6) / 10:g} s"


def day(when: date) -> str:
    """Say a date, such as 4 March 2026."""
    return f"{when.day} {_MONTHS[when.month - 1]} {when.year}"


def percent(share: float) -> str:
    """Say a share in per cent, to the tenth: 1/6 is 16.7 %."""
    return f"{round(100 * share, 1):g} %"


def chance(share: float) -> str:
    """Say a chance in whole per cent, never as a certainty."""
    return f"{min(99, max(1, round(100 * share)))} %"


def count(number: int, thing: str) -> str:
    """Say how many: 1 set, 3 sets."""
    return f"{number} {thing}" if number == 1 else f"{number} {thing}s"


def listed(items: Sequence[str]) -> str:
    """Join with commas and an ``and``."""
    if len(items) < 2:
        return "".join(items)
    return f"{', '.join(items[:-1])} and {items[-1]}"

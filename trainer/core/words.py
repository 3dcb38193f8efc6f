"""Figures, dates and weeks in words: the same everywhere, in any locale.

What is shown as a figure is rounded down to whole seconds (``whole_seconds``), so that
nobody reads more than was held; a sentence that reckons says tenths (``seconds``).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import date

MONTHS = (
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


DAY_NAMES = (
    "Monday",
    "Tuesday",
    "Wednesday",
    "Thursday",
    "Friday",
    "Saturday",
    "Sunday",
)
SHORT_DAY_NAMES = tuple(name[:3] for name in DAY_NAMES)
"""``Mon`` to ``Sun``, as ISO weekdays less one."""
TINY = 1e-9
"""What a sum of floats may lack of a whole second."""


def seconds(value_s: float) -> str:
    """Say a number of seconds, to the tenth below."""
    return f"{math.floor(value_s * 10 + 1e-6) / 10:g} s"


def whole_seconds(value_s: float | None) -> str:
    """Say whole seconds, rounded down, such as 42 s; a dash for none."""
    return "–" if value_s is None else f"{math.floor(value_s + TINY)} s"


def minutes_and_seconds(value_s: float) -> str:
    """Say minutes and seconds, rounded down, such as 7:05 min."""
    whole = math.floor(value_s + TINY)
    return f"{whole // 60}:{whole % 60:02d} min"


def number(value: float) -> str:
    """Say a figure with one decimal at most: 7, 7.5; never -0."""
    return f"{round(value, 1) + 0.0:.1f}".removesuffix(".0")


def month_name(when: date) -> str:
    """Return a date's month in English."""
    return MONTHS[when.month - 1]


def short_date(when: date) -> str:
    """Say a date shortly, such as 4 Mar 2026."""
    return f"{when.day} {month_name(when)[:3]} {when.year}"


def short_days(weekdays: Sequence[int], between: str) -> str:
    """Say ISO weekdays, such as Mon, Wed, Fri."""
    return between.join(SHORT_DAY_NAMES[weekday - 1] for weekday in weekdays)


def day(when: date) -> str:
    """Say a date, such as 4 March 2026."""
    return f"{when.day} {month_name(when)} {when.year}"


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

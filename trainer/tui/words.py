"""How figures and dates are put into words, the same on every page."""

from __future__ import annotations

import math
from collections.abc import Iterable
from datetime import date, datetime, timedelta

DAY_NAMES = (
    "Monday",
    "Tuesday",
    "Wednesday",
    "Thursday",
    "Friday",
    "Saturday",
    "Sunday",
)
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
TINY = 1e-9


def seconds(value_s: float | None) -> str:
    """Give seconds rounded down, as they are shown everywhere; a dash for none."""
    return "–" if value_s is None else f"{math.floor(value_s + TINY)} s"


def figure(value_s: float | None) -> str:
    """Give seconds rounded down without their unit."""
    return "–" if value_s is None else f"{math.floor(value_s + TINY)}"


def minutes(value_s: float) -> str:
    """Give a length in whole minutes, at least one."""
    whole = max(1, round(value_s / 60))
    return "1 minute" if whole == 1 else f"{whole} minutes"


def count(number: int, one: str, many: str = "") -> str:
    """Give ``1 set``, ``2 sets``."""
    return f"{number} {one if number == 1 else many or one + 's'}"


def rpe(value: float | None) -> str:
    """Give an RPE, halves as they are; a dash for none."""
    return "–" if value is None else f"{value:g}"


def per_cent(share: float) -> str:
    """Give a share in per cent, to the tenth: 5 s on 40 s is 12.5 %."""
    return f"{round(100 * share, 1):g} %"


def chance(share: float) -> str:
    """Give a chance in whole per cent, never as a certainty."""
    return f"{min(99, max(1, round(100 * share)))} %"


def step_words(target_s: float | None, current_s: float | None) -> str:
    """Give ``5 s more (25 %)``, or nothing where nothing changes."""
    if target_s is None or not current_s or abs(target_s - current_s) < TINY:
        return ""
    by_s = target_s - current_s
    word = "more" if by_s > 0 else "less"
    return f"{abs(by_s):g} s {word} ({per_cent(abs(by_s) / current_s)})"


def long_date(day: date) -> str:
    """Give ``Monday 2 March 2026``."""
    month = _MONTHS[day.month - 1]
    return f"{DAY_NAMES[day.isoweekday() - 1]} {day.day} {month} {day.year}"


def short_date(day: date) -> str:
    """Give ``Mon 2 Mar``."""
    return f"{short_day(day.isoweekday())} {day.day} {_MONTHS[day.month - 1][:3]}"


def short_day(weekday: int) -> str:
    """Give ``Mon`` for ISO weekday 1."""
    return DAY_NAMES[weekday - 1][:3]


def days(weekdays: Iterable[int]) -> str:
    """Give ``Mon · Wed · Fri``."""
    return " · ".join(short_day(each) for each in weekdays) or "no day"


def when(day: date, today: date) -> str:
    """Say when DAY is, as seen from TODAY."""
    ahead = (day - today).days
    if ahead == 0:
        return "today"
    if ahead == 1:
        return "tomorrow"
    if ahead == -1:
        return "yesterday"
    if 1 < ahead < 7:
        return f"on {DAY_NAMES[day.isoweekday() - 1]}"
    if -7 < ahead < -1:
        return f"last {DAY_NAMES[day.isoweekday() - 1]}"
    return f"on {short_date(day)}"


def next_training_day(weekdays: Iterable[int], after: date) -> date | None:
    """Give the first training day after AFTER; None if the plan has none."""
    wanted = frozenset(weekdays)
    for ahead in range(1, 8):
        day = after + timedelta(days=ahead)
        if day.isoweekday() in wanted:
            return day
    return None


def clock_time(moment: datetime, offset_min: int) -> str:
    """Give ``18:05`` as the person's clock showed it."""
    return f"{moment + timedelta(minutes=offset_min):%H:%M}"


def sentence(text: str) -> str:
    """Give TEXT with a capital and a full stop."""
    text = text.strip()
    if not text:
        return ""
    text = text[0].upper() + text[1:]
    return text if text[-1] in ".!?" else text + "."

"""Figures, dates and weeks in words: the same everywhere, in any locale.

What is shown as a figure is rounded down to whole seconds (``whole_seconds``), so that
nobody reads more than was held; a sentence that reckons says tenths (``seconds``).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from datetime import date

from trainer.core.weeks import IsoWeek

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
RPE_SCALE = (
    "10 nothing left · 9 a second or two · 8 one breath · 7 two · 6 three"
    " · 5 and less: more"
)
"""The scale, in breaths of about ten seconds; it stands wherever an RPE is asked for.

Own wording: the published scales are licensed, seconds in reserve are our choice."""
_RPE_LEFT = {
    10.0: "nothing left",
    9.5: "a second left at most",
    9.0: "a second or two left",
    8.5: "half a breath left",
    8.0: "one breath left",
    7.5: "a breath and a half left",
    7.0: "two breaths left",
    6.5: "two breaths and a half left",
    6.0: "three breaths left",
}
NONE = "–"
"""Stands for a figure that there isn't."""


def seconds(value_s: float) -> str:
    """Say a number of seconds, to the tenth below."""
    return f"{math.floor(value_s * 10 + 1e-6) / 10:g} s"


def whole_seconds(value_s: float | None) -> str:
    """Say whole seconds, rounded down, such as 42 s; a dash for none."""
    return NONE if value_s is None else f"{figure(value_s)} s"


def figure(value_s: float | None) -> str:
    """Say whole seconds, rounded down, without their unit."""
    return NONE if value_s is None else f"{math.floor(value_s + TINY)}"


def minutes(value_s: float) -> str:
    """Say a length in whole minutes, at least one."""
    return count(max(1, round(value_s / 60)), "minute")


def minutes_and_seconds(value_s: float) -> str:
    """Say minutes and seconds, rounded down, such as 7:05 min."""
    whole = math.floor(value_s + TINY)
    return f"{whole // 60}:{whole % 60:02d} min"


def number(value: float) -> str:
    """Say a figure with one decimal at most: 7, 7.5; never -0."""
    return f"{round(value, 1) + 0.0:.1f}".removesuffix(".0")


def rpe(value: float | None) -> str:
    """Say an RPE, halves as they are."""
    return NONE if value is None else f"{value:g}"


def rpe_meaning(value: float) -> str:
    """Say what an RPE stands for: 7 is two breaths left."""
    return _RPE_LEFT.get(value, "more than three breaths left")


def step_words(target_s: float | None, current_s: float | None) -> str:
    """Say ``5 s more (25 %)``, or nothing where nothing changes."""
    if target_s is None or not current_s or abs(target_s - current_s) < TINY:
        return ""
    by_s = target_s - current_s
    word = "more" if by_s > 0 else "less"
    return f"{abs(by_s):g} s {word} ({percent(abs(by_s) / current_s)})"


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


def long_date(when: date) -> str:
    """Say a date with its weekday, such as Monday 2 March 2026."""
    return f"{DAY_NAMES[when.isoweekday() - 1]} {day(when)}"


def near_date(when: date) -> str:
    """Say a date of these weeks, such as Mon 2 Mar."""
    weekday = SHORT_DAY_NAMES[when.isoweekday() - 1]
    return f"{weekday} {when.day} {month_name(when)[:3]}"


def days(weekdays: Iterable[int]) -> str:
    """Say ISO weekdays, such as Mon · Wed · Fri."""
    return short_days(tuple(weekdays), " · ") or "no day"


def week(which: IsoWeek) -> str:
    """Say a week by its Monday, such as the week of 21 December."""
    monday = which.monday
    return f"the week of {monday.day} {month_name(monday)}"


def dated_week(which: IsoWeek) -> str:
    """Say a week by its Monday's date, such as the week of 21 December 2026."""
    return f"the week of {day(which.monday)}"


def relative_day(when: date, today: date) -> str:
    """Say when a day is, as seen from TODAY."""
    ahead = (when - today).days
    if ahead == 0:
        return "today"
    if ahead == 1:
        return "tomorrow"
    if ahead == -1:
        return "yesterday"
    if 1 < ahead < 7:
        return f"on {DAY_NAMES[when.isoweekday() - 1]}"
    if -7 < ahead < -1:
        return f"last {DAY_NAMES[when.isoweekday() - 1]}"
    return f"on {near_date(when)}"


def percent(share: float) -> str:
    """Say a share in per cent, to the tenth: 1/6 is 16.7 %."""
    return f"{round(100 * share, 1):g} %"


LEAST_CHANCE, MOST_CHANCE = 0.03, 0.97
"""No chance is given as a figure beyond these: the estimate isn't as sure as that (our
choice)."""


def chance(share: float) -> str:
    """Say a chance in whole per cent from 3 to 97, beyond that in words."""
    if round(share, 2) > MOST_CHANCE:
        return "almost surely"
    if round(share, 2) < LEAST_CHANCE:
        return "hardly"
    return f"{round(100 * share)} %"


def bounded_chance(share: float) -> float:
    """Return a chance as the figure that stands for it: 0.03 to 0.97."""
    return min(MOST_CHANCE, max(LEAST_CHANCE, share))


def likely_rpe(rpe: float) -> str:
    """Say an RPE that is likely: there is no telling them apart from 5 down."""
    return f"{rpe:g}" if rpe > 5 else "5 or less"


def count(number: int, thing: str, things: str = "") -> str:
    """Say how many: 1 set, 3 sets."""
    return f"{number} {thing if number == 1 else things or thing + 's'}"


def listed(items: Sequence[str]) -> str:
    """Join with commas and an ``and``."""
    if len(items) < 2:
        return "".join(items)
    return f"{', '.join(items[:-1])} and {items[-1]}"


def sentence(text: str) -> str:
    """Return TEXT with a capital and a full stop."""
    text = text.strip()
    if not text:
        return ""
    text = text[0].upper() + text[1:]
    return text if text[-1] in ".!?" else text + "."

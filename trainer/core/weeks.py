"""ISO 8601 weeks as values: never ``week - 1``, always by way of a date."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache

_FORM = re.compile(r"(\d{4})-?W(\d{2})", re.IGNORECASE)


@dataclass(frozen=True, slots=True, order=True)
class IsoWeek:
    """One week, Monday to Sunday, as ISO 8601 numbers it.

    Raises:
        ValueError: the year has no such week.
    """

    year: int
    week: int

    def __post_init__(self) -> None:
        date.fromisocalendar(self.year, self.week, 1)

    @classmethod
    def of(cls, day: date) -> IsoWeek:
        """Give the week that DAY lies in."""
        return _week_of(day)

    @classmethod
    def parse(cls, text: str) -> IsoWeek:
        """Read ``2026-W48`` (or ``2026W48``).

        Raises:
            ValueError: not of that form, or no such week.
        """
        match = _FORM.fullmatch(text.strip())
        if match is None:
            raise ValueError(f"not a week of the form YYYY-Www: {text!r}")
        return cls(int(match[1]), int(match[2]))

    @property
    def monday(self) -> date:
        """The week's first day."""
        return date.fromisocalendar(self.year, self.week, 1)

    @property
    def sunday(self) -> date:
        """The week's last day."""
        return self.monday + timedelta(days=6)

    def plus(self, weeks: int) -> IsoWeek:
        """Give the week that many weeks later (earlier, if negative)."""
        return IsoWeek.of(self.monday + timedelta(weeks=weeks))

    def since(self, other: IsoWeek) -> int:
        """Count the weeks from OTHER to this one."""
        return (self.monday - other.monday).days // 7

    def days(self) -> Iterator[date]:
        """Give the seven days, Monday first."""
        return (self.monday + timedelta(days=n) for n in range(7))

    def __contains__(self, day: date) -> bool:
        return self.monday <= day <= self.sunday

    def __str__(self) -> str:
        return f"{self.year:04d}-W{self.week:02d}"


# Looking back over ten years asks for the week of the same days again and again.
@lru_cache(maxsize=4096)
def _week_of(day: date) -> IsoWeek:
    year, week, _ = day.isocalendar()
    return IsoWeek(year, week)

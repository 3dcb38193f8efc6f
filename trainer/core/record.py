"""Reading values out of a record that somebody else wrote: a file, another machine.

Every fault names the place, so that a person can find it: ``sessions[3].rpe``.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from datetime import date, datetime, timezone
from enum import StrEnum
from typing import TypeVar

from trainer.core.text import clean

_E = TypeVar("_E", bound=StrEnum)
FIRST_YEAR, LAST_YEAR = 1970, 2199
"""Dates and weeks outside these years are taken for damage (our choice)."""


class RecordError(ValueError):
    """A value is missing, of the wrong type, or out of bounds; the text says where."""


class Record:
    """One mapping out of a document, with the place where it was found."""

    def __init__(self, value: object, where: str = "") -> None:
        """Take VALUE, found at WHERE.

        Raises:
            RecordError: it is no mapping.
        """
        if not isinstance(value, Mapping):
            raise RecordError(f"{where or 'the document'} is no object")
        self.value = value
        self.where = where

    def at(self, key: str) -> str:
        """Say where KEY stands."""
        return f"{self.where}.{key}" if self.where else key

    def fault(self, key: str, what: str) -> RecordError:
        """Make the error that says what is wrong with KEY."""
        return RecordError(f"{self.at(key)} {what}")

    def raw(self, key: str) -> object:
        """Give KEY's value as it stands; None if it is missing."""
        return self.value.get(key)

    def has(self, key: str) -> bool:
        """Tell whether KEY is there and not null."""
        return self.value.get(key) is not None

    def text(self, key: str, default: str | None = None, *, limit: int = 2000) -> str:
        """Give a text, cleaned; DEFAULT if missing, an error without one."""
        value = self.raw(key)
        if value is None:
            if default is None:
                raise self.fault(key, "is missing")
            return default
        if not isinstance(value, str):
            raise self.fault(key, f"is {value!r:.40}, no text")
        return clean(value, limit=limit)

    def number(self, key: str) -> float:
        """Give a number that must be there."""
        value = self.maybe_number(key)
        if value is None:
            raise self.fault(key, "is missing")
        return value

    def maybe_number(self, key: str) -> float | None:
        """Give a number, or None."""
        value = self.raw(key)
        if value is None:
            return None
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise self.fault(key, f"is {value!r:.40}, no number")
        if not abs(value) < 1e9 or math.isnan(value):
            raise self.fault(key, "is out of bounds")
        return float(value)

    def integer(self, key: str) -> int:
        """Give a whole number that must be there."""
        value = self.maybe_integer(key)
        if value is None:
            raise self.fault(key, "is missing")
        return value

    def maybe_integer(self, key: str) -> int | None:
        """Give a whole number, or None."""
        value = self.maybe_number(key)
        if value is not None and not value.is_integer():
            raise self.fault(key, f"is {value:g}, no whole number")
        return None if value is None else int(value)

    def flag(self, key: str, *, default: bool) -> bool:
        """Give a yes or no."""
        value = self.raw(key)
        if value is None:
            return default
        if not isinstance(value, bool):
            raise self.fault(key, f"is {value!r:.40}, neither true nor false")
        return value

    def choice(self, key: str, words: type[_E]) -> _E:
        """Give one of the words of an enumeration; it must be there."""
        value = self.maybe_choice(key, words)
        if value is None:
            raise self.fault(key, "is missing")
        return value

    def maybe_choice(self, key: str, words: type[_E]) -> _E | None:
        """Give one of the words of an enumeration, or None."""
        value = self.raw(key)
        if value is None:
            return None
        if isinstance(value, str) and value in {word.value for word in words}:
            return words(value)
        known = " ".join(word.value for word in words)
        raise self.fault(key, f"is {value!r:.40}, not one of: {known}")

    def instant(self, key: str) -> datetime:
        """Give a time with its offset, as UTC; it must be there."""
        value = self.maybe_instant(key)
        if value is None:
            raise self.fault(key, "is missing")
        return value

    def maybe_instant(self, key: str) -> datetime | None:
        """Give a time with its offset, as UTC, or None."""
        if not self.has(key):
            return None
        text = self.text(key)
        try:
            value = datetime.fromisoformat(text)
        except ValueError:
            raise self.fault(key, f"is {text!r:.40}, no ISO 8601 time") from None
        if value.tzinfo is None:
            raise self.fault(key, f"is {text!r:.40}, a time without its offset")
        self.check_year(key, value.year)
        return value.astimezone(timezone.utc)

    def day(self, key: str) -> date:
        """Give a date; it must be there."""
        text = self.text(key)
        try:
            value = date.fromisoformat(text)
        except ValueError:
            raise self.fault(key, f"is {text!r:.40}, no date") from None
        self.check_year(key, value.year)
        return value

    def check_year(self, key: str, year: int) -> None:
        """Refuse a year in which nobody trains.

        Raises:
            RecordError: it lies outside ``FIRST_YEAR`` to ``LAST_YEAR``.
        """
        if not FIRST_YEAR <= year <= LAST_YEAR:
            raise self.fault(key, f"is in the year {year}")

    def items(self, key: str) -> list[object]:
        """Give a list; an empty one if it is missing."""
        value = self.raw(key)
        if value is None:
            return []
        if not isinstance(value, list | tuple):
            raise self.fault(key, "is no list")
        return list(value)

    def records(self, key: str) -> Iterator[Record]:
        """Give a list's objects, each knowing its place."""
        for index, value in enumerate(self.items(key)):
            yield Record(value, f"{self.at(key)}[{index}]")

    def record(self, key: str) -> Record:
        """Give an object; an empty one if it is missing."""
        return Record(self.value.get(key) or {}, self.at(key))

"""Reading typed values out of a record that somebody else wrote.

One reader for every such record: a document from another machine, a plan file, the
settings. What differs is how a fault is worded and raised: that is the record's
``Source``. Every fault names the place, so that a person can find it:
``sessions[3].rpe is 'x', no number`` or ``plan.toml, line 4, key exercise.sets: …``.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timezone
from enum import StrEnum
from typing import Any, Final, Protocol, TypeVar

from trainer.core.text import NOTE_LIMIT, clean, did_you_mean

Word = TypeVar("Word", bound=StrEnum)
Made = TypeVar("Made")
KeyPath = tuple[str | int, ...]
"""Where a value is: keys, and numbers from 0 for the members of a list."""

FIRST_YEAR, LAST_YEAR = 1970, 2199
"""Dates and weeks outside these years are taken for damage (our choice)."""
LARGEST_NUMBER = 1e9
"""No figure of ours comes near it (our choice)."""


class RecordError(ValueError):
    """A value is missing, of the wrong type, or out of bounds; the text says where."""


class Problem(StrEnum):
    """What can be wrong with a value before anybody asks what it means."""

    UNKNOWN_KEY = "unknown-key"
    NO_RECORD = "no-record"
    NO_LIST = "no-list"
    TOO_MANY = "too-many"
    NO_TEXT = "no-text"
    NO_TEXTS = "no-texts"
    TOO_LONG = "too-long"
    NO_NUMBER = "no-number"
    OUT_OF_BOUNDS = "out-of-bounds"
    NOT_WHOLE = "not-whole"
    NO_FLAG = "no-flag"
    NO_SUCH_WORD = "no-such-word"


class Source(Protocol):
    """Where a record came from: it words what is wrong with one, and raises it."""

    @property
    def wording(self) -> Mapping[Problem, tuple[str, str]]:
        """Each problem's sentence and the hint after it; both may name the details."""
        ...

    def fault(self, path: KeyPath, what: str, hint: str = "") -> Exception:
        """Return the error about the value at PATH."""
        ...

    def missing(self, path: KeyPath, key: str) -> Exception:
        """Return the error about a record at PATH that has no KEY."""
        ...

    def keeps(self, error: Exception) -> bool:
        """Keep a fault, to be said with the others; False: the first one ends it."""
        ...


class Document:
    """A document of plain values: the export, or JSON in the data file."""

    wording: Mapping[Problem, tuple[str, str]] = {
        Problem.UNKNOWN_KEY: ("is no key of ours", ""),
        Problem.NO_RECORD: ("is no object", ""),
        Problem.NO_LIST: ("is no list", ""),
        Problem.TOO_MANY: ("has {count} of them; {most} at most", ""),
        Problem.NO_TEXT: ("is {value!r:.40}, no text", ""),
        Problem.NO_TEXTS: ("is no list of texts", ""),
        Problem.TOO_LONG: ("has {count} characters; {most} at most", ""),
        Problem.NO_NUMBER: ("is {value!r:.40}, no number", ""),
        Problem.OUT_OF_BOUNDS: ("is out of bounds", ""),
        Problem.NOT_WHOLE: ("is {value}, no whole number", ""),
        Problem.NO_FLAG: ("is {value!r:.40}, neither true nor false", ""),
        Problem.NO_SUCH_WORD: ("is {value!r:.40}, not one of: {valid}", ""),
    }

    def fault(self, path: KeyPath, what: str, hint: str = "") -> RecordError:
        """Return the error about the value at PATH."""
        said = f"{in_words(path)} {what}"
        return RecordError(f"{said}. {hint}" if hint else said)

    def missing(self, path: KeyPath, key: str) -> RecordError:
        """Return the error about a record at PATH that has no KEY."""
        return self.fault((*path, key), "is missing")

    def keeps(self, error: Exception) -> bool:
        """Keep none: a document is believed whole or refused at its first fault."""
        return False


DOCUMENT: Final = Document()


def in_words(path: KeyPath) -> str:
    """Return a place as a text: ``sessions[3].rpe``."""
    text = ""
    for part in path:
        if isinstance(part, int):
            text += f"[{part}]"
        else:
            text += f".{part}" if text else part
    return text or "the document"


@dataclass(frozen=True, slots=True)
class Record:
    """One mapping, the place where it was found, and what it came from."""

    values: Mapping[str, Any]
    path: KeyPath = ()
    source: Source = DOCUMENT

    @classmethod
    def of(cls, value: object, path: KeyPath = (), source: Source = DOCUMENT) -> Record:
        """Take a value that should be a mapping.

        Raises:
            RecordError: it is none (the source's own kind of error).
        """
        if not isinstance(value, Mapping):
            what, hint = source.wording[Problem.NO_RECORD]
            keys = [part for part in path if isinstance(part, str)] or [""]
            in_a_list = path and isinstance(path[-1], int)
            heading = f"[[{keys[-1]}]]" if in_a_list else f"[{keys[-1]}]"
            raise source.fault(path, what, hint.format(heading=heading))
        return cls(value, path, source)

    @property
    def where(self) -> str:
        """The place of the record itself, as a text."""
        return in_words(self.path)

    def at(self, key: str) -> KeyPath:
        """Return where KEY stands."""
        return (*self.path, key)

    def fault(self, key: str, what: str, hint: str = "") -> Exception:
        """Return the error that says what is wrong with KEY."""
        return self.source.fault(self.at(key), what, hint)

    def wrong(self, key: str, problem: Problem, /, **details: object) -> Exception:
        """Return the error about a problem, as the source words it."""
        what, hint = self.source.wording[problem]
        return self.fault(key, what.format(**details), hint.format(**details))

    def no_such_word(
        self,
        key: str,
        said: object,
        valid: Iterable[str],
        *,
        kind: str = "one of them",
    ) -> Exception:
        """Return the error about a word that isn't valid, with the nearest that is."""
        words = [str(word) for word in valid]
        text = clean(str(said), limit=40)
        return self.wrong(
            key,
            Problem.NO_SUCH_WORD,
            value=text if isinstance(said, str) else said,
            kind=kind,
            valid=" ".join(words),
            near=did_you_mean(text, words),
        )

    def refuse(self, error: Exception) -> None:
        """Raise a fault, unless the source keeps it to be said with the others.

        Raises:
            RecordError: the fault (the source's own kind of error).
        """
        if not self.source.keeps(error):
            raise error

    def attempt(self, read: Callable[[], Made], instead: Made) -> Made:
        """Return what READ gives, or INSTEAD of what is at fault and was kept."""
        try:
            return read()
        except Exception as error:
            self.refuse(error)
            return instead

    def refuse_unknown(self, known: Sequence[str]) -> None:
        """Refuse every key that there isn't.

        Raises:
            RecordError: there is one (the source's own kind of error).
        """
        for key in self.values:
            if key not in known:
                near = did_you_mean(key, known)
                self.refuse(self.wrong(key, Problem.UNKNOWN_KEY, near=near))

    def raw(self, key: str) -> object:
        """Return KEY's value as it stands; None if it is missing."""
        return self.values.get(key)

    def has(self, key: str) -> bool:
        """Tell whether KEY is there and not null."""
        return self.values.get(key) is not None

    def text(
        self, key: str, default: str | None = None, *, longest: int | None = None
    ) -> str:
        """Return a text, cleaned; DEFAULT if missing, an error without one.

        A text over LONGEST characters is refused; without LONGEST it is cut at the
        length of a note.
        """
        value = self.raw(key)
        if value is None:
            if default is None:
                raise self.source.missing(self.path, key)
            return default
        if not isinstance(value, str):
            raise self.wrong(key, Problem.NO_TEXT, value=value)
        if longest is not None and len(value) > longest:
            raise self.wrong(key, Problem.TOO_LONG, count=len(value), most=longest)
        return clean(value, limit=longest or NOTE_LIMIT)

    def texts(self, key: str, default: Sequence[str] | None = None) -> Sequence[str]:
        """Return a list of texts as they stand; DEFAULT if missing."""
        value = self.raw(key)
        if value is None:
            if default is None:
                raise self.source.missing(self.path, key)
            return default
        if not isinstance(value, list | tuple) or not all(
            isinstance(item, str) for item in value
        ):
            raise self.wrong(key, Problem.NO_TEXTS)
        return value

    def number(
        self,
        key: str,
        default: float | None = None,
        *,
        low: float = -LARGEST_NUMBER,
        high: float = LARGEST_NUMBER,
    ) -> float:
        """Return a number from LOW to HIGH; DEFAULT if missing."""
        value = self.maybe_number(key, low=low, high=high)
        if value is None:
            if default is None:
                raise self.source.missing(self.path, key)
            return default
        return value

    def maybe_number(
        self, key: str, *, low: float = -LARGEST_NUMBER, high: float = LARGEST_NUMBER
    ) -> float | None:
        """Return a number from LOW to HIGH, or None."""
        value = self.raw(key)
        if value is None:
            return None
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise self.wrong(key, Problem.NO_NUMBER, value=value)
        if math.isnan(value) or not low <= value <= high:
            raise self.wrong(
                key,
                Problem.OUT_OF_BOUNDS,
                value=str(value)[:40],
                low=f"{low:g}",
                high=f"{high:g}",
            )
        return float(value)

    def integer(
        self,
        key: str,
        default: int | None = None,
        *,
        low: float = -LARGEST_NUMBER,
        high: float = LARGEST_NUMBER,
    ) -> int:
        """Return a whole number from LOW to HIGH; DEFAULT if missing."""
        value = self.number(
            key, None if default is None else float(default), low=low, high=high
        )
        if not value.is_integer():
            raise self.wrong(key, Problem.NOT_WHOLE, value=f"{value:g}")
        return int(value)

    def maybe_integer(self, key: str) -> int | None:
        """Return a whole number, or None."""
        return self.integer(key) if self.has(key) else None

    def flag(self, key: str, *, default: bool) -> bool:
        """Return a yes or no."""
        value = self.raw(key)
        if value is None:
            return default
        if not isinstance(value, bool):
            raise self.wrong(key, Problem.NO_FLAG, value=value)
        return value

    def choice(self, key: str, words: type[Word], default: Word | None = None) -> Word:
        """Return one of the words of an enumeration; DEFAULT if missing."""
        value = self.maybe_choice(key, words)
        if value is not None:
            return value
        if default is None:
            raise self.source.missing(self.path, key)
        return default

    def maybe_choice(self, key: str, words: type[Word]) -> Word | None:
        """Return one of the words of an enumeration, or None."""
        value = self.raw(key)
        if value is None:
            return None
        if isinstance(value, str) and value in {word.value for word in words}:
            return words(value)
        raise self.no_such_word(key, value, words)

    def choices(self, key: str, words: type[Word]) -> frozenset[Word]:
        """Return a set of words of an enumeration; an empty one if missing."""
        for item in self.items(key):
            if not isinstance(item, str) or item not in {word.value for word in words}:
                raise self.no_such_word(key, item, words)
        return frozenset(words(str(item)) for item in self.items(key))

    def one_of(self, key: str, valid: Sequence[str], default: str | None = None) -> str:
        """Return one of several texts; DEFAULT if missing."""
        value = self.raw(key)
        if value is None:
            if default is None:
                raise self.source.missing(self.path, key)
            return default
        if not isinstance(value, str) or value not in valid:
            raise self.no_such_word(key, value, valid)
        return value

    def made(self, key: str, make: Callable[[str], Made]) -> Made:
        """Return what MAKE makes of a text; its ValueError is the fault."""
        text = self.text(key, longest=40)
        try:
            return make(text)
        except ValueError as error:
            said = clean(str(error)).removesuffix(", please")
            raise self.fault(key, said) from None

    def instant(self, key: str) -> datetime:
        """Return a time with its offset, as UTC; it must be there."""
        value = self.maybe_instant(key)
        if value is None:
            raise self.source.missing(self.path, key)
        return value

    def maybe_instant(self, key: str) -> datetime | None:
        """Return a time with its offset, as UTC, or None."""
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
        """Return a date; it must be there."""
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
        """Return a list; an empty one if it is missing."""
        value = self.raw(key)
        if value is None:
            return []
        if not isinstance(value, list | tuple):
            raise self.wrong(key, Problem.NO_LIST, key=key)
        return list(value)

    def records(self, key: str, *, most: int | None = None) -> Iterator[Record]:
        """Return a list's records, each knowing its place; at most MOST of them."""
        items = self.items(key)
        if most is not None and len(items) > most:
            raise self.wrong(key, Problem.TOO_MANY, count=len(items), most=most)
        for index, value in enumerate(items):
            yield Record.of(value, (*self.at(key), index), self.source)

    def record(self, key: str) -> Record:
        """Return the record under KEY; an empty one if it is missing."""
        value = self.values.get(key)
        return Record.of({} if value is None else value, self.at(key), self.source)

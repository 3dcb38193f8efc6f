"""One table of a plan file, read key by key with errors that say where."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Any, Final, TypeVar

from trainer.core.text import clean
from trainer.errors import ConfigError
from trainer.nearest import did_you_mean
from trainer.tomllines import KeyPath, TomlFile

Word = TypeVar("Word", bound=StrEnum)
Made = TypeVar("Made")


class _Needed:
    """Stands for "there is no default"."""


NEEDED: Final = _Needed()


@dataclass(frozen=True, slots=True)
class Fields:
    """One table, and where in the file it stands."""

    file: TomlFile
    path: KeyPath
    values: Mapping[str, Any]

    def has(self, name: str) -> bool:
        """Tell whether the key is there."""
        return name in self.values

    def fault(self, name: str, what: str, hint: str = "") -> ConfigError:
        """Give the error about one key."""
        return self.file.fault((*self.path, name), what, hint)

    def unknown(
        self, name: str, word: object, valid: Iterable[str], what: str
    ) -> ConfigError:
        """Give the error about a word that isn't valid, with the nearest that is."""
        said = clean(str(word), limit=40)
        return self.fault(name, f"{said!r} is not {what}", did_you_mean(said, valid))

    def refuse_unknown(self, known: Sequence[str]) -> None:
        """Refuse a key that there isn't."""
        for name in self.values:
            if name not in known:
                raise self.fault(
                    name, "there is no such key", did_you_mean(name, known)
                )

    def table(self, name: str) -> Fields:
        """Give the table under a key."""
        value = self.values[name]
        if not isinstance(value, Mapping):
            raise self.fault(name, "it is a table", f"Write it as [{name}]")
        return Fields(self.file, (*self.path, name), value)

    def tables(self, name: str, *, most: int) -> list[Fields]:
        """Give the tables of an array; none is an empty list."""
        value = self.values.get(name, [])
        if not isinstance(value, list) or not all(
            isinstance(item, Mapping) for item in value
        ):
            raise self.fault(name, "it is a list of tables", f"Write it as [[{name}]]")
        if len(value) > most:
            raise self.fault(name, f"{len(value)} of them; {most} at most")
        return [
            Fields(self.file, (*self.path, name, index), item)
            for index, item in enumerate(value)
        ]

    def number(
        self, name: str, low: float, high: float, default: float | _Needed = NEEDED
    ) -> float:
        """Give a number within bounds."""
        value = self._value(name, default)
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise self.fault(name, "it is a number, without quotes")
        if math.isnan(value) or not low <= value <= high:
            raise self.fault(
                name, f"{value:g} is out of bounds", f"It goes from {low:g} to {high:g}"
            )
        return float(value)

    def whole(self, name: str, low: int, high: int, default: int) -> int:
        """Give a whole number within bounds."""
        value = self.number(name, low, high, float(default))
        if not value.is_integer():
            raise self.fault(name, f"{value:g} is not whole")
        return int(value)

    def text(self, name: str, default: str | _Needed = NEEDED, *, longest: int) -> str:
        """Give a text that isn't too long."""
        value = self._value(name, default)
        if not isinstance(value, str):
            raise self.fault(name, "it is a text in quotes")
        if len(value) > longest:
            raise self.fault(name, f"it has {len(value)} characters; {longest} at most")
        return value

    def flag(self, name: str, default: bool) -> bool:
        """Give true or false."""
        value = self._value(name, default)
        if not isinstance(value, bool):
            raise self.fault(name, "it is true or false, without quotes")
        return value

    def words(
        self, name: str, default: Sequence[str] | _Needed = NEEDED
    ) -> Sequence[str]:
        """Give a list of texts."""
        value = self._value(name, default)
        if not isinstance(value, list | tuple) or not all(
            isinstance(item, str) for item in value
        ):
            raise self.fault(name, 'it is a list of texts, such as ["one", "two"]')
        return value

    def choice(self, name: str, kind: type[Word], default: Word | None) -> Word:
        """Give one word of an enumeration."""
        value = self._value(name, NEEDED if default is None else default)
        if value not in tuple(kind):
            raise self.unknown(name, value, tuple(kind), "one of them")
        return kind(value)

    def one_of(
        self, name: str, valid: Sequence[str], default: str | _Needed = NEEDED
    ) -> str:
        """Give one of several texts."""
        value = self._value(name, default)
        if value not in valid:
            raise self.unknown(name, value, valid, "one of them")
        return str(value)

    def made(self, name: str, make: Callable[[str], Made]) -> Made:
        """Give what MAKE makes of a text; its ValueError is the fault."""
        text = self.text(name, longest=40)
        try:
            return make(text)
        except ValueError as error:
            said = clean(str(error)).removesuffix(", please")
            raise self.fault(name, said) from None

    def _value(self, name: str, default: object) -> Any:
        if name in self.values:
            return self.values[name]
        if isinstance(default, _Needed):
            raise self.file.fault(self.path, f"the key {name} is missing")
        return default

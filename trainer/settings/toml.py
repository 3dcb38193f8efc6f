"""TOML files with errors by line: the parser keeps no lines, so they are found here.

``read`` gives the values and, for every key and table, the line on which it stands.
Keys inside an inline table or an array count as standing where that begins.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, ClassVar

from trainer.core.bounds import DEEPEST
from trainer.core.record import KeyPath, Problem, Record
from trainer.core.text import clean
from trainer.errors import ConfigError

_PART = r"""(?:[A-Za-z0-9_-]+|"(?:[^"\\]|\\.)*"|'[^']*')"""
_DOTTED = rf"{_PART}(?:\s*\.\s*{_PART})*"
_TABLE = re.compile(rf"\s*\[\s*({_DOTTED})\s*\]")
_ARRAY_TABLE = re.compile(rf"\s*\[\[\s*({_DOTTED})\s*\]\]")
_KEY = re.compile(rf"\s*({_DOTTED})\s*=\s*(.*)", re.DOTALL)
_LINE_OF_FAULT = re.compile(r"\s*\(at (?:line (\d+), column \d+|end of document)\)")
_SCRAP = re.compile(
    r'"""|\'\'\'|"(?:[^"\\\n]|\\.)*"|\'[^\'\n]*\'|#[^\n]*|[\[\]{}]', re.DOTALL
)


@dataclass(frozen=True, slots=True)
class TomlFile:
    """A TOML file's values, where each stands, and how a fault in one is said."""

    wording: ClassVar[Mapping[Problem, tuple[str, str]]] = {
        Problem.UNKNOWN_KEY: ("there is no such key", "{near}"),
        Problem.NO_RECORD: ("it is a table", "Write it as {heading}"),
        Problem.NO_LIST: ("it is a list of tables", "Write it as [[{key}]]"),
        Problem.TOO_MANY: ("{count} of them; {most} at most", ""),
        Problem.NO_TEXT: ("it is a text in quotes", ""),
        Problem.NO_TEXTS: ('it is a list of texts, such as ["one", "two"]', ""),
        Problem.TOO_LONG: ("it has {count} characters; {most} at most", ""),
        Problem.NO_NUMBER: ("it is a number, without quotes", ""),
        Problem.OUT_OF_BOUNDS: (
            "{value} is out of bounds",
            "It goes from {low} to {high}",
        ),
        Problem.NOT_WHOLE: ("{value} is not whole", ""),
        Problem.NO_FLAG: ("it is true or false, without quotes", ""),
        Problem.NO_SUCH_WORD: ("{value!r} is not {kind}", "{near}"),
    }

    name: str
    """The file's name as the person gave it."""
    values: Mapping[str, Any]
    lines: Mapping[KeyPath, int]

    def fault(self, path: KeyPath, what: str, hint: str = "") -> ConfigError:
        """Give the error about the value at PATH: file, line and key in front."""
        place = f"{clean(self.name)}, line {self.line(path)}"
        keys = [str(part) for part in path if isinstance(part, str)]
        key = clean(".".join(keys), limit=80)
        return ConfigError(f"{place}, key {key}: {what}" if key else place + what, hint)

    def missing(self, path: KeyPath, key: str) -> ConfigError:
        """Return the error about a table at PATH that has no KEY."""
        return self.fault(path, f"the key {key} is missing")

    def record(self) -> Record:
        """Return the whole file as a record, to be read key by key."""
        return Record.of(self.values, (), self)

    def line(self, path: KeyPath) -> int:
        """Give the line of the value at PATH, or of what it stands in."""
        while path and path not in self.lines:
            path = path[:-1]
        return self.lines.get(path, 1)


def read(path: Path, *, largest_bytes: int) -> TomlFile:
    """Read a TOML file.

    Raises:
        ConfigError: it can't be read, is too large, is no UTF-8 or no TOML.
    """
    name = clean(str(path))
    try:
        with path.open("rb") as handle:
            raw = handle.read(largest_bytes + 1)
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise ConfigError(
            f"{name} can't be read: {reason}", "Check the file's name and its rights"
        ) from None
    if len(raw) > largest_bytes:
        raise ConfigError(
            f"{name} is larger than {largest_bytes // 1000} kB",
            "This doesn't look like the right file",
        )
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        raise ConfigError(
            f"{name}, line {line}: not UTF-8 text", "Save the file as UTF-8"
        ) from None
    return parse(text, name=name)


def parse(text: str, *, name: str) -> TomlFile:
    """Read TOML from TEXT; NAME is what errors call it.

    Raises:
        ConfigError: it is no TOML.
    """
    try:
        values = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        said = str(error)
        match = _LINE_OF_FAULT.search(said)
        line = match[1] if match and match[1] else text.count("\n") + 1
        what = clean(_LINE_OF_FAULT.sub("", said), limit=200)
        what = what[:1].lower() + what[1:]
        raise ConfigError(
            f"{name}, line {line}: {what}", "The file is TOML: key = value"
        ) from None
    except RecursionError:
        raise _too_deep(name) from None
    except ValueError as error:  # a number of thousands of digits
        raise ConfigError(
            f"{name} has a number that can't be read: {clean(str(error), limit=100)}",
            "This doesn't look like the right file",
        ) from None
    if _nests_deeper_than(DEEPEST, values):
        raise _too_deep(name)
    return TomlFile(name, values, find_lines(text))


def _too_deep(name: str) -> ConfigError:
    return ConfigError(
        f"{name} nests more than {DEEPEST} deep",
        "This doesn't look like the right file",
    )


def _nests_deeper_than(most: int, values: object) -> bool:
    layer = [values]
    for _ in range(most):
        inner: list[object] = []
        for value in layer:
            if isinstance(value, dict):
                inner += value.values()
            elif isinstance(value, list):
                inner += value
        layer = inner
    return bool(layer)


def find_lines(text: str) -> dict[KeyPath, int]:
    """Give the line of every table and key of a valid TOML text."""
    lines: dict[KeyPath, int] = {}
    counts: dict[KeyPath, int] = {}
    table: KeyPath = ()
    depth, quote = 0, ""
    for number, line in enumerate(text.split("\n"), 1):
        rest = line
        if not depth and not quote:
            if match := _ARRAY_TABLE.match(line):
                table = _element(_parts(match[1]), counts, new=True)
                lines.setdefault(table, number)
                continue
            if match := _TABLE.match(line):
                table = _element(_parts(match[1]), counts, new=False)
                lines.setdefault(table, number)
                continue
            if match := _KEY.match(line):
                key: KeyPath = (*table, *_parts(match[1]))
                for length in range(len(table) + 1, len(key) + 1):
                    lines.setdefault(key[:length], number)
                rest = match[2]
        depth, quote = _still_open(rest, depth, quote)
    return lines


def _element(parts: list[str], counts: dict[KeyPath, int], *, new: bool) -> KeyPath:
    """Turn a header's keys into a path: through the latest element of each array."""
    path: KeyPath = ()
    for index, part in enumerate(parts):
        path = (*path, part)
        if new and index == len(parts) - 1:
            counts[path] = counts.get(path, -1) + 1
        if path in counts:
            path = (*path, counts[path])
    return path


def _parts(dotted: str) -> list[str]:
    """Split ``a."b.c".d``."""
    parts = []
    for part in re.findall(_PART, dotted):
        if part[0] == '"':
            part = next(iter(tomllib.loads(f"{part} = 0")))
        elif part[0] == "'":
            part = part[1:-1]
        parts.append(part)
    return parts


def _still_open(rest: str, depth: int, quote: str) -> tuple[int, str]:
    """Tell how many brackets, and which long string, are open at the line's end."""
    position = 0
    while position < len(rest):
        if quote:
            end = _end_of_long_string(rest, position, quote)
            if end is None:
                return depth, quote
            position, quote = end, ""
            continue
        match = _SCRAP.search(rest, position)
        if match is None:
            break
        scrap, position = match[0], match.end()
        if scrap in ('"""', "'''"):
            quote = scrap
        elif scrap in "[{":
            depth += 1
        elif scrap in "]}":
            depth -= 1
    return depth, quote


def _end_of_long_string(rest: str, position: int, quote: str) -> int | None:
    while position < len(rest):
        if rest[position] == "\\" and quote == '"""':
            position += 2
        elif rest.startswith(quote, position):
            end = position + 3
            # Up to two more quotes may belong to the string's own end.
            while rest[end : end + 1] == quote[0] and end < position + 5:
                end += 1
            return end
        else:
            position += 1
    return None

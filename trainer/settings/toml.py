"""TOML files with errors by line: the parser keeps no lines, so they are found here.

``read`` gives the values and, for every key and table, the line on which it stands.
Keys inside an inline table or an array count as standing where that begins.

Faults are collected: a line that is no TOML is said in plain words, read as it was
probably meant or left out, and the rest is read on, so that whoever wrote the file
mends it once. ``TomlFile.settle`` raises all of them.
"""

from __future__ import annotations

import re
import sys
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, ClassVar

from trainer.core.bounds import DEEPEST
from trainer.core.record import KeyPath, Problem, Record
from trainer.core.text import clean
from trainer.errors import ConfigError, ManyConfigError

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
    faults: list[ConfigError] = field(default_factory=list)
    """What is wrong with it, as far as it was read."""
    left_out: bool = False
    """Whether a line couldn't be read at all, so that what is missing may be there."""

    def fault(self, path: KeyPath, what: str, hint: str = "") -> ConfigError:
        """Give the error about the value at PATH: file, line and key in front."""
        place = f"{clean(self.name)}, line {self.line(path)}"
        keys = [str(part) for part in path if isinstance(part, str)]
        key = clean(".".join(keys), limit=80)
        return ConfigError(f"{place}, key {key}: {what}" if key else place + what, hint)

    def missing(self, path: KeyPath, key: str) -> ConfigError:
        """Return the error about a table at PATH that has no KEY."""
        return _MissingError(str(self.fault(path, f"the key {key} is missing")))

    def keeps(self, error: Exception) -> bool:
        """Keep a fault of the file, to be said with the others."""
        if not isinstance(error, ConfigError):
            return False
        if not (self.left_out and isinstance(error, _MissingError)):
            self.faults.append(error)
        return True

    def settle(self) -> None:
        """End the reading.

        Raises:
            ConfigError: something is wrong with the file: all of it, in order of line.
        """
        faults = sorted(self.faults, key=_line_said)
        if len(faults) == 1:
            raise faults[0]
        if faults:
            raise ManyConfigError(faults)

    def record(self) -> Record:
        """Return the whole file as a record, to be read key by key."""
        return Record.of(self.values, (), self)

    def line(self, path: KeyPath) -> int:
        """Give the line of the value at PATH, or of what it stands in."""
        while path and path not in self.lines:
            path = path[:-1]
        return self.lines.get(path, 1)


def read(path: Path, *, largest_bytes: int) -> TomlFile:
    """Read a TOML file; ``-`` is what comes on stdin.

    Raises:
        ConfigError: it can't be read, is too large, is no UTF-8 or no TOML.
    """
    name = clean(str(path))
    try:
        if name == "-":
            raw = sys.stdin.buffer.read(largest_bytes + 1)
        else:
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

    What is no TOML is kept among the file's faults.

    Raises:
        ConfigError: it nests too deeply, or too many of its lines are no TOML.
    """
    rows = text.split("\n")
    faults: list[ConfigError] = []
    left_out = False
    while True:
        try:
            values = tomllib.loads("\n".join(rows))
        except tomllib.TOMLDecodeError as error:
            number = _line_of(error, rows)
            repair = _repaired(rows, number, str(error))
            said = f"{name}, line {number}{repair.key}: {repair.what}"
            faults.append(ConfigError(said, repair.hint))
            if len(faults) == MOST_BAD_LINES or not rows[number - 1].strip():
                TomlFile(name, {}, {}, faults).settle()
            left_out = left_out or not repair.row
            if not repair.row and rows[number - 1].lstrip().startswith("["):
                _leave_out_table(rows, number)
            rows[number - 1] = repair.row
            continue
        except RecursionError:
            raise _too_deep(name) from None
        except ValueError as error:  # a number of thousands of digits
            said = clean(str(error), limit=100)
            raise ConfigError(
                f"{name} has a number that can't be read: {said}",
                "This doesn't look like the right file",
            ) from None
        if _nests_deeper_than(DEEPEST, values):
            raise _too_deep(name)
        return TomlFile(name, values, find_lines("\n".join(rows)), faults, left_out)


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


class _MissingError(ConfigError):
    """A key isn't there: not said where a line was left out that may have had it."""


def _line_said(error: ConfigError) -> int:
    found = re.search(r", line (\d+)", error.message)
    return int(found[1]) if found else 0


@dataclass(frozen=True, slots=True)
class _Repair:
    """What is wrong with a line, and the line as it was probably meant."""

    what: str
    hint: str
    row: str = ""
    """Empty: nobody can tell; the line is left out."""
    key: str = ""
    """The key, as an error names it; empty where none can be told."""


MOST_BAD_LINES = 20
"""More lines than that which are no TOML, and it is another kind of file."""
_CURLY = str.maketrans(
    {"\u201c": '"', "\u201d": '"', "\u201e": '"', "\u2018": "'", "\u2019": "'"}
)
_UNIT = re.compile(
    r"(=\s*)(\d+(?:\.\d+)?)\s*(s|sec|secs|seconds?|min|mins|minutes?)\s*(#.*)?$"
)
_HEADING = re.compile(r"^\s*(\[{1,2})\s*([A-Za-z][\w.-]*)\s*\]{0,2}\s*$")
_COMMA = re.compile(r"(=\s*)(\d+),(\d+)\s*(#.*)?$")
_BARE = re.compile(r"(=\s*)([A-Za-z][\w:-]*)\s*(#.*)?$")
_BARE_IN_LIST = re.compile(r"(?<=[\[,\s])([A-Za-z][\w-]*)(?=\s*[,\]])")


def _line_of(error: tomllib.TOMLDecodeError, rows: list[str]) -> int:
    """Return the line of a fault; the last one with something on it at the end."""
    match = _LINE_OF_FAULT.search(str(error))
    number = int(match[1]) if match and match[1] else len(rows)
    while number > 1 and not rows[number - 1].strip():
        number -= 1
    return number


def _repaired(rows: list[str], number: int, said: str) -> _Repair:
    """Say in plain words what is wrong with a line that is no TOML."""
    row = rows[number - 1]
    match = _KEY.match(row)
    key = f", key {clean(match[1], limit=80)}" if match else ""
    if twice := _said_twice(rows, number, said):
        return twice
    for wrong, meant in _as_people_write(row):
        if meant != row:
            shown = clean(meant.split("#")[0], limit=100)
            return _Repair(wrong, f"Write {shown}", meant, key)
    what = clean(_LINE_OF_FAULT.sub("", said), limit=200)
    what = what[:1].lower() + what[1:]
    return _Repair(what, "The file is TOML: key = value", "", key)


def _leave_out_table(rows: list[str], number: int) -> None:
    """Blank what stands under a heading, which would else fall to the table before."""
    for index in range(number, len(rows)):
        if rows[index].lstrip().startswith("["):
            return
        rows[index] = ""


def _as_people_write(row: str) -> Iterator[tuple[str, str]]:
    """Yield what people write in place of TOML, and how it would be right."""
    yield "the quotes are curly; a text stands in straight ones", row.translate(_CURLY)
    yield "a heading is closed as it is opened", _HEADING.sub(_closed, row)
    if row.lstrip().startswith("["):
        return
    yield "a number stands without its unit, in seconds", _UNIT.sub(_in_seconds, row)
    yield (
        "a number has a point and no comma",
        _COMMA.sub(lambda found: f"{found[1]}{found[2]}.{found[3]}", row),
    )
    yield (
        "true and false are written small",
        re.sub(r"(=\s*)(True|False)\b", lambda found: found[0].lower(), row),
    )
    yield "a text stands in quotes", _BARE.sub(r'\1"\2"', row)
    if "=" in row:
        key, equals, value = row.partition("=")
        quoted = _BARE_IN_LIST.sub(r'"\1"', value)
        yield "each text of a list stands in quotes", key + equals + quoted


def _closed(found: re.Match[str]) -> str:
    name = found[2]
    return f"[[{name}]]" if len(found[1]) == 2 else f"[{name}]"


def _in_seconds(found: re.Match[str]) -> str:
    seconds = float(found[2]) * (60 if found[3].startswith("m") else 1)
    return f"{found[1]}{seconds:g}"


def _said_twice(rows: list[str], number: int, said: str) -> _Repair | None:
    """Say where what is given again was given first."""
    if not said.startswith(("Cannot overwrite", "Cannot declare")):
        return None
    row = rows[number - 1]
    is_table = row.lstrip().startswith("[")
    name = row.partition("]" if is_table else "=")[0].strip(" \t[")
    for earlier in range(number - 1, 0, -1):
        above = rows[earlier - 1]
        if is_table == above.lstrip().startswith("[") and name == (
            above.partition("]" if is_table else "=")[0].strip(" \t[")
        ):
            what = f"it is given twice, first on line {earlier}"
            return _Repair(what, "Leave one of them out", "", f", key {clean(name)}")
    return None


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

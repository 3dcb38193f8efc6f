"""The settings: a TOML file that a person may write, and that the screens write too.

Unknown keys are refused with the file, the line and the nearest key: a setting that is
silently ignored is worse than one that is refused. Writing keeps comments and order.
"""

from __future__ import annotations

import os
import tempfile
from collections.abc import Mapping
from dataclasses import dataclass, field, fields, replace
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Any

from trainer.core.cues.cues import Cue
from trainer.core.cues.settings import SoundSettings
from trainer.core.text import did_you_mean
from trainer.errors import ConfigError

if TYPE_CHECKING:
    from trainer.settings.toml import KeyPath, TomlFile

LARGEST_BYTES = 100_000
"""A settings file above this is some other file (our choice)."""
THEMES = ("lamp", "day", "plain")
"""Dark, light, and without colour."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """What a person may set."""

    theme: str = THEMES[0]
    """Which of the themes; NO_COLOR in the environment wins over it."""
    reduced_motion: bool = False
    """The breathing line steps instead of gliding, nothing is animated."""
    upside_down: tuple[str, ...] = ()
    """Exercises whose hold is shown turned upside down from the start."""
    keys: Mapping[str, str] = field(default_factory=dict)
    """Other keys: what a key does, by its id, to the keys, comma-separated."""
    sound: SoundSettings = field(default_factory=SoundSettings)
    """Voice, volume, and which player."""


def read_settings(path: Path) -> Settings:
    """Read the settings file; none there means the defaults.

    Raises:
        ConfigError: it can't be read, or says something that can't be used.
    """
    if not path.exists():
        return Settings()
    from trainer.settings.toml import read

    return settings_from(read(path, largest_bytes=LARGEST_BYTES))


def settings_from(file: TomlFile) -> Settings:
    """Turn a file's values into settings.

    Raises:
        ConfigError: an unknown key, or a value that can't be used.
    """
    known = [each.name for each in fields(Settings)]
    _refuse_unknown(file, (), file.values, known)
    found: dict[str, Any] = {}
    for name, value in file.values.items():
        if name == "keys":
            found[name] = _keys(file, value)
        elif name == "sound":
            found[name] = _sound(file, value)
        elif name == "theme":
            found[name] = _one_of(file, (name,), value, THEMES)
        elif name == "upside_down":
            found[name] = _words(file, (name,), value)
        else:
            found[name] = _flag(file, (name,), value)
    return Settings(**found)


def write_settings(path: Path, settings: Settings) -> None:
    """Write the settings: what differs from the file is changed in it, at one stroke.

    Raises:
        ConfigError: the file can't be written; the old one is untouched.
    """
    import tomlkit
    from tomlkit.exceptions import ParseError

    try:
        old = path.read_text(encoding="utf-8")
    except FileNotFoundError:
        old = ""
    except UnicodeDecodeError:
        raise ConfigError(
            f"{path} is no UTF-8 text", "Mend or move the file first"
        ) from None
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise ConfigError(
            f"{path} can't be read: {reason}", "Mend or move the file first"
        ) from None
    try:
        document = tomlkit.parse(old)
    except ParseError as error:
        raise ConfigError(
            f"{path} is no TOML: {error}", "Mend or move the file first"
        ) from None
    _merge(document, _plain(settings))
    write_atomically(path, tomlkit.dumps(document))


def write_atomically(path: Path, text: str) -> None:
    """Put TEXT in place of the file as a whole, readable by its owner alone.

    Raises:
        ConfigError: it can't be written; what was there is untouched.
    """
    temporary = None
    try:
        path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        # Beside the target, for a rename is atomic only within one file system. A
        # link is followed: some people keep their settings elsewhere.
        target = path.resolve()
        handle, temporary = tempfile.mkstemp(dir=target.parent, prefix=".trainer-")
        with open(handle, "w", encoding="utf-8", newline="\n") as stream:
            stream.write(text)
            stream.flush()
            os.fsync(stream.fileno())
        os.replace(temporary, target)
    except OSError as error:
        if temporary is not None:
            Path(temporary).unlink(missing_ok=True)
        raise ConfigError(
            f"{path} can't be written: {(error.strerror or str(error)).lower()}",
            "What was there is untouched; choose another place or mend the folder",
        ) from None


def _merge(document: Any, values: Mapping[str, Any]) -> None:
    """Change in DOCUMENT what differs, table by table, and leave the rest alone."""
    import tomlkit

    for name, value in values.items():
        if isinstance(value, Mapping):
            if not value and name not in document:
                continue
            if name not in document:
                document[name] = tomlkit.table()
            for gone in set(_flat(document[name])) - set(value):
                document[name].pop(gone, None)
            _merge(document[name], value)
        elif name not in document or document[name] != value:
            document[name] = value


def _flat(table: Any) -> list[str]:
    return [str(key) for key in table]


def _plain(settings: Settings) -> dict[str, Any]:
    """Give the settings as TOML values; scalars first, for tables end the top level."""
    sound = {
        each.name: _toml(getattr(settings.sound, each.name))
        for each in fields(SoundSettings)
    }
    return {
        "theme": settings.theme,
        "reduced_motion": settings.reduced_motion,
        "upside_down": list(settings.upside_down),
        "keys": dict(settings.keys),
        "sound": sound,
    }


def _toml(value: Any) -> Any:
    if isinstance(value, frozenset):
        return sorted(str(item) for item in value)
    return value.value if isinstance(value, StrEnum) else value


def _refuse_unknown(
    file: TomlFile, table: KeyPath, values: Mapping[str, Any], known: list[str]
) -> None:
    for name in values:
        if name not in known:
            raise file.fault(
                (*table, name), "there is no such key", did_you_mean(name, known)
            )


def _keys(file: TomlFile, value: Any) -> dict[str, str]:
    """Read ``[keys]``: ids hold a dot, so they may stand as tables within it."""
    if not isinstance(value, Mapping):
        raise file.fault(("keys",), "it is a table", "Write it as [keys]")
    found: dict[str, str] = {}

    def walk(path: KeyPath, table: Mapping[str, Any]) -> None:
        for name, keys in table.items():
            here = (*path, name)
            if isinstance(keys, Mapping):
                walk(here, keys)
                continue
            if isinstance(keys, list) and all(isinstance(key, str) for key in keys):
                keys = ",".join(keys)
            if not isinstance(keys, str):
                raise file.fault(here, "it is the name of a key", 'Such as "space"')
            found[".".join(str(part) for part in here[1:])] = keys

    walk(("keys",), value)
    return found


def _sound(file: TomlFile, value: Any) -> SoundSettings:
    if not isinstance(value, Mapping):
        raise file.fault(("sound",), "it is a table", "Write it as [sound]")
    default = SoundSettings()
    known = [each.name for each in fields(SoundSettings)]
    _refuse_unknown(file, ("sound",), value, known)
    found: dict[str, Any] = {}
    for name, given in value.items():
        path: KeyPath = ("sound", name)
        usual = getattr(default, name)
        if isinstance(usual, StrEnum):
            kind = type(usual)
            found[name] = kind(_one_of(file, path, given, [*kind]))
        elif isinstance(usual, frozenset):
            words = _words(file, path, given)
            found[name] = frozenset(
                Cue(_one_of(file, path, word, [*Cue])) for word in words
            )
        else:
            found[name] = _fraction(file, path, given)
    return replace(default, **found)


def _flag(file: TomlFile, path: KeyPath, value: Any) -> bool:
    if not isinstance(value, bool):
        raise file.fault(path, "it is true or false, without quotes")
    return value


def _fraction(file: TomlFile, path: KeyPath, value: Any) -> float:
    number = isinstance(value, float | int) and not isinstance(value, bool)
    if not number or not 0 <= value <= 1:
        raise file.fault(path, "it is a number from 0 to 1", "Such as 0.8")
    return float(value)


def _words(file: TomlFile, path: KeyPath, value: Any) -> tuple[str, ...]:
    if not isinstance(value, list) or not all(isinstance(each, str) for each in value):
        raise file.fault(path, "it is a list of texts", 'Such as ["press-wall"]')
    return tuple(value)


def _one_of(file: TomlFile, path: KeyPath, value: Any, valid: Any) -> str:
    choices = [str(choice) for choice in valid]
    if value not in choices:
        said = value if isinstance(value, str) else repr(value)
        raise file.fault(
            path, f"{said[:40]!r} is not one of them", did_you_mean(said, choices)
        )
    return str(value)

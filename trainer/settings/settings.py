"""The settings: a TOML file that a person may write, and that the screens write too.

Unknown keys are refused with the file, the line and the nearest key: a setting that is
silently ignored is worse than one that is refused. Writing keeps comments and order.
"""

from __future__ import annotations

import os
import tempfile
from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Any

from trainer.core.cues.cues import Cue
from trainer.core.cues.settings import Backend, SoundSettings, Voice
from trainer.errors import ConfigError

if TYPE_CHECKING:
    from trainer.core.record import Record
    from trainer.settings.toml import TomlFile

LARGEST_BYTES = 100_000
"""A settings file above this is some other file (our choice)."""
THEMES = ("lamp", "day", "plain")
"""Dark, light, and without colour."""


class Photos(StrEnum):
    """How photos are drawn on the screen."""

    AUTO = "auto"
    """By the terminal's own graphics where it is known to have them."""
    BLOCKS = "blocks"
    """By half blocks, which every terminal has."""
    KITTY = "kitty"
    """By kitty's protocol, whatever the environment says."""
    INLINE = "inline"
    """By the inline images of iTerm2 and WezTerm, likewise."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """What a person may set."""

    theme: str = THEMES[0]
    """Which of the themes; NO_COLOR in the environment wins over it."""
    reduced_motion: bool = False
    """The breathing line steps instead of gliding, nothing is animated."""
    upside_down: tuple[str, ...] = ()
    """Exercises whose hold is shown turned upside down from the start."""
    photos: Photos = Photos.AUTO
    """How the photos of angle checks are drawn."""
    keys: Mapping[str, str] = field(default_factory=dict)
    """Other keys: what a key does, by its id, to the keys, comma-separated."""
    sound: SoundSettings = field(default_factory=SoundSettings)
    """Voice, volume, and which player."""


def read_settings(path: Path) -> Settings:
    """Read the settings file; none there means the defaults.

    Raises:
        ConfigError: it can't be read, or says something that can't be used.
    """
    try:
        if not path.exists():
            return Settings()
    except OSError:  # nobody may look: reading it says so
        pass
    from trainer.settings.toml import read

    return settings_from(read(path, largest_bytes=LARGEST_BYTES))


def settings_from(file: TomlFile) -> Settings:
    """Turn a file's values into settings.

    Raises:
        ConfigError: an unknown key, or a value that can't be used.
    """
    record = file.record()
    record.refuse_unknown([each.name for each in fields(Settings)])
    usual = Settings()
    attempt = record.attempt
    settings = Settings(
        theme=attempt(lambda: record.one_of("theme", THEMES, usual.theme), usual.theme),
        reduced_motion=attempt(
            lambda: record.flag("reduced_motion", default=usual.reduced_motion),
            usual.reduced_motion,
        ),
        upside_down=tuple(
            attempt(
                lambda: record.texts("upside_down", usual.upside_down),
                usual.upside_down,
            )
        ),
        photos=attempt(
            lambda: record.choice("photos", Photos, usual.photos), usual.photos
        ),
        keys=attempt(lambda: _keys(record.record("keys")), {}),
        sound=attempt(lambda: _sound(record.record("sound")), usual.sound),
    )
    file.settle()
    return settings


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


def write_atomically(path: Path, text: str, *, follow: bool = True) -> None:
    """Put TEXT in place of the file as a whole, readable by its owner alone.

    Args:
        path: the file.
        text: what shall be in it.
        follow: whether a link is followed, or replaced.

    Raises:
        ConfigError: it can't be written; what was there is untouched.
    """
    temporary = None
    try:
        path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        # Beside the target, for a rename is atomic only within one file system. A
        # link is followed: some people keep their settings elsewhere.
        target = path.resolve() if follow else path
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
        "photos": settings.photos.value,
        "keys": dict(settings.keys),
        "sound": sound,
    }


def _toml(value: Any) -> Any:
    if isinstance(value, frozenset):
        return sorted(str(item) for item in value)
    return value.value if isinstance(value, StrEnum) else value


def _keys(record: Record) -> dict[str, str]:
    """Read ``[keys]``: ids hold a dot, so they may stand as tables within it."""
    found: dict[str, str] = {}
    for name, keys in record.values.items():
        if isinstance(keys, Mapping):
            inner = _keys(record.record(name))
            found |= {f"{name}.{rest}": value for rest, value in inner.items()}
            continue
        if isinstance(keys, list) and all(isinstance(key, str) for key in keys):
            keys = ",".join(keys)
        if not isinstance(keys, str):
            said = "it is the name of a key"
            record.refuse(record.fault(name, said, 'Such as "space"'))
            continue
        found[name] = keys
    return found


def _sound(record: Record) -> SoundSettings:
    record.refuse_unknown([each.name for each in fields(SoundSettings)])
    usual = SoundSettings()
    attempt = record.attempt
    return SoundSettings(
        voice=attempt(lambda: record.choice("voice", Voice, usual.voice), usual.voice),
        volume=attempt(
            lambda: record.number("volume", usual.volume, low=0, high=1), usual.volume
        ),
        muted=attempt(lambda: record.choices("muted", Cue), usual.muted)
        if record.has("muted")
        else usual.muted,
        backend=attempt(
            lambda: record.choice("backend", Backend, usual.backend), usual.backend
        ),
    )

"""Where things lie on this machine. Nothing is made here: only names are worked out.

The platform's own folders, by way of platformdirs; the XDG variables, where they are
set to an absolute path, count on every platform.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

APP = "overhead-hold-trainer"
"""The name of our folder in each of the platform's folders."""
DB_VARIABLE = "TRAINER_DB"


@dataclass(frozen=True, slots=True)
class Paths:
    """The three folders."""

    data: Path
    """The data file and its backups."""
    config: Path
    """The settings."""
    state: Path
    """The program's own log of faults."""

    @property
    def database(self) -> Path:
        """The data file, where neither an option nor the environment names one."""
        return self.data / "trainer.db"

    @property
    def settings(self) -> Path:
        """The settings file."""
        return self.config / "settings.toml"

    @property
    def fault_log(self) -> Path:
        """Where the details of an unexpected fault are written."""
        return self.state / "faults.log"


def find_paths(environ: Mapping[str, str]) -> Paths:
    """Work out the folders from the environment."""
    import platformdirs

    own = platformdirs.PlatformDirs(APP, appauthor=False)

    def folder(variable: str, platform: str) -> Path:
        given = Path(environ.get(variable, ""))
        return given / APP if given.is_absolute() else Path(platform)

    return Paths(
        data=folder("XDG_DATA_HOME", own.user_data_dir),
        config=folder("XDG_CONFIG_HOME", own.user_config_dir),
        state=folder("XDG_STATE_HOME", own.user_state_dir),
    )


def database_path(environ: Mapping[str, str], *, option: str | None = None) -> Path:
    """Give the data file: the option, else ``TRAINER_DB``, else the default."""
    for given in (option, environ.get(DB_VARIABLE)):
        if given:
            return _expanded(given)
    return find_paths(environ).database


def _expanded(given: str) -> Path:
    """Put the home folder in for ``~``; a user that isn't there stays as written."""
    try:
        return Path(given).expanduser()
    except RuntimeError:
        return Path(given)

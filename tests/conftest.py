"""What every test stands on: a home of its own, a fixed terminal, no network."""

from __future__ import annotations

import os
import sqlite3
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

settings.register_profile(
    "suite",
    # A busy machine is no fault of the code: nothing here is a claim about time.
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow],
    # What fails in one run fails in the next one too.
    derandomize=bool(os.environ.get("CI")),
)
# A long search, for a night: pytest --hypothesis-profile=campaign tests/core
settings.register_profile(
    "campaign", settings.get_profile("suite"), max_examples=5000, derandomize=False
)
settings.load_profile("suite")

SENSITIVE = (
    "TRAINER_DB",
    "XDG_DATA_HOME",
    "XDG_CONFIG_HOME",
    "XDG_STATE_HOME",
    "NO_COLOR",
    "COLORTERM",
    "TEXTUAL_THEME",
    "TEXTUAL_ANIMATIONS",
    "TERM_PROGRAM",
    "PYTHONPATH",
)
"""Variables of whoever runs the tests that would change what they see."""


def pytest_report_header() -> str:
    """Say which SQLite the data file's tests run on."""
    return f"SQLite {sqlite3.sqlite_version}"


@pytest.fixture(autouse=True)
def _own_home(
    tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Let no test read or write the home of whoever runs it."""
    home = tmp_path_factory.mktemp("home")
    for name in SENSITIVE:
        monkeypatch.delenv(name, raising=False)
    for name in ("HOME", "USERPROFILE", "APPDATA", "LOCALAPPDATA"):
        monkeypatch.setenv(name, str(home))
    monkeypatch.setenv("TERM", "xterm-256color")
    monkeypatch.setenv("LANG", "C.UTF-8")


@pytest.fixture
def db_path(tmp_path: Path) -> Path:
    """Give the place of a data file that isn't there yet."""
    return tmp_path / "trainer.db"

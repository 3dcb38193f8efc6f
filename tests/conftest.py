"""What every test stands on: a home of its own, a fixed terminal, no network."""

from __future__ import annotations

import gc
import itertools
import os
import signal
import sqlite3
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import HealthCheck, Phase, settings

settings.register_profile(
    "suite",
    # Others in each run; a night's search has thousands.
    max_examples=40,
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
# For scripts/mutants.py, which asks whether a test fails and not on how little.
settings.register_profile(
    "mutants",
    settings.get_profile("suite"),
    phases=(Phase.explicit, Phase.generate),
    derandomize=True,
)
settings.load_profile("suite")

IN_MEMORY = "/dev/shm"
ROOM_BYTES = 2 << 30
"""More than a whole run keeps at a time, the environments of its wheel among it."""


def _has_room(folder: str) -> bool:
    """Tell whether FOLDER takes a run's files, and lets programs in it be run."""
    if not os.path.isdir(folder) or not os.access(folder, os.W_OK | os.X_OK):
        return False
    found = os.statvfs(folder)
    free_bytes = found.f_bavail * found.f_frsize
    return free_bytes >= ROOM_BYTES and not found.f_flag & os.ST_NOEXEC


# Real files, without waiting for a disk: the store has each row written through, and a
# fifth of its tests' time went there. Whoever sets TMPDIR has them elsewhere.
if "TMPDIR" not in os.environ and _has_room(IN_MEMORY):
    os.environ["TMPDIR"] = IN_MEMORY
    tempfile.tempdir = None  # asked anew: pytest has looked before

SENSITIVE = (
    "TRAINER_DB",
    "XDG_DATA_HOME",
    "XDG_CONFIG_HOME",
    "XDG_STATE_HOME",
    "LC_ALL",
    "LC_CTYPE",
    "NO_COLOR",
    "COLORTERM",
    "TEXTUAL_THEME",
    "TEXTUAL_ANIMATIONS",
    "TERM_PROGRAM",
    "PYTHONPATH",
    # Hundreds of tests start the program: each would compile all of it anew.
    "PYTHONDONTWRITEBYTECODE",
)
"""Variables of whoever runs the tests that would change what they see."""

ENDING = [
    getattr(signal, name)
    for name in ("SIGINT", "SIGTERM", "SIGHUP", "SIGBREAK")
    if hasattr(signal, name)
]
"""Signals that ask a program to end."""

sys.dont_write_bytecode = False


LONGEST_FIRST = (
    "tests/test_scripts.py",
    "tests/test_wheel.py",
    "tests/test_recipes.py",
    "tests/test_faults.py",
    "tests/sound/test_loopback.py",
    "tests/cli/plain/test_run.py",
    "tests/core/capacity/test_forecast.py",
)
"""Files whose tests take long, most of it in waiting: begun first, so that no worker is
left with them at the end."""


def pytest_configure() -> None:
    """Listen to ctrl+c, also where a shell's script started the tests behind itself:
    such a shell leaves it ignored, and every program started here would inherit that.
    """
    if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
        signal.signal(signal.SIGINT, signal.default_int_handler)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Put what takes longest first; the rest stays in its order."""
    items.sort(key=lambda item: not item.nodeid.startswith(LONGEST_FIRST))


def pytest_collection_finish() -> None:
    """Let the garbage collector leave alone what stays for the whole run.

    A screen is made of thousands of objects; going through all that pytest and its
    plugins hold, each time, took a fifth of the screens' tests.
    """
    gc.collect()
    gc.freeze()
    gc.set_threshold(20_000)


def pytest_report_header() -> str:
    """Say which SQLite the data file's tests run on."""
    return f"SQLite {sqlite3.sqlite_version}"


@pytest.fixture(scope="session")
def _new_homes(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """Give a new place at each step: pytest's own numbering takes far longer."""
    folder = tmp_path_factory.mktemp("homes")
    return (folder / str(number) for number in itertools.count())


@pytest.fixture(scope="session")
def _not_brought(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Make what is found in place of packages that come with the tests alone.

    sqlite-utils loads them wherever it finds them: half a second of each program that
    makes a data file.
    """
    folder = tmp_path_factory.mktemp("not-brought")
    for name in ("numpy", "pandas"):
        (folder / f"{name}.py").write_text("raise ModuleNotFoundError(__name__)\n")
    return folder


@pytest.fixture(autouse=True)
def _as_installed(
    _own_home: None, _not_brought: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Let the programs that a test starts find what a person's would, and no more."""
    monkeypatch.setenv("PYTHONPATH", str(_not_brought))


@pytest.fixture(autouse=True)
def _own_home(_new_homes: Iterator[Path], monkeypatch: pytest.MonkeyPatch) -> None:
    """Let no test read or write the home of whoever runs it."""
    home = next(_new_homes)
    home.mkdir()
    for name in SENSITIVE:
        monkeypatch.delenv(name, raising=False)
    for name in ("HOME", "USERPROFILE", "APPDATA", "LOCALAPPDATA"):
        monkeypatch.setenv(name, str(home))
    # Each program that asks for a sound server would leave a folder behind elsewhere.
    monkeypatch.setenv("PULSE_RUNTIME_PATH", str(home))
    monkeypatch.setenv("TERM", "xterm-256color")
    monkeypatch.setenv("LANG", "C.UTF-8")


@pytest.fixture(autouse=True)
def _own_signals() -> Iterator[None]:
    """Let no test leave a signal ignored: every program started later would inherit it.

    One that is told to stop ignores whatever is told it after that, to its end, which
    for one that runs within a test is the test's.
    """
    before = {each: signal.getsignal(each) for each in ENDING}
    yield
    for each, handler in before.items():
        if signal.getsignal(each) is not handler:
            signal.signal(each, handler)


@pytest.fixture
def db_path(tmp_path: Path) -> Path:
    """Give the place of a data file that isn't there yet."""
    return tmp_path / "trainer.db"

"""The command line called in this process, with a clock that stands still."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest

from tests.new_files import lay_new_file
from trainer.cli.context import CliContext
from trainer.cli.main import main
from trainer.core.clock import ManualClock


@dataclass(frozen=True)
class Answer:
    """What one command line gave."""

    code: int
    out: str
    err: str

    @property
    def json(self) -> Any:
        """The document on stdout."""
        return json.loads(self.out)


@dataclass
class Cli:
    """A person at the command line, with a data file and a calendar of their own."""

    db: Path
    capsys: pytest.CaptureFixture[str]
    clock: ManualClock = field(default_factory=ManualClock)

    def __call__(
        self, *arguments: str, environ: dict[str, str] | None = None
    ) -> Answer:
        """Run one command line on the data file."""
        context = CliContext(
            environ={**os.environ, "TRAINER_DB": str(self.db), **(environ or {})},
            clock=self.clock,
        )
        self.capsys.readouterr()
        code = main(arguments, context=context)
        # The exit code is the process's: a plain number to whoever called it.
        captured = self.capsys.readouterr()
        return Answer(int(code), captured.out, captured.err)

    def ok(self, *arguments: str) -> Answer:
        """Run one that has to work, and has no more to say than what it wrote."""
        answer = self(*arguments)
        said = [row for row in answer.err.splitlines() if row[:9] != "Written: "]
        assert (0, []) == (answer.code, said), arguments
        return answer

    def day(self, days: float) -> None:
        """Let days pass."""
        self.clock.advance(days * 86400)


@pytest.fixture
def cli(db_path: Path, capsys: pytest.CaptureFixture[str]) -> Cli:
    """Give the command line on a new data file, on Monday 2 March 2026 at 18:00."""
    called = Cli(db_path, capsys)
    lay_new_file(db_path, called.clock)
    return called


@pytest.fixture
def answers(monkeypatch: pytest.MonkeyPatch) -> Callable[[str], None]:
    """Give a way to have a person at a terminal answer the next question."""
    import io

    def answer(text: str) -> None:
        stream = io.StringIO(text)
        monkeypatch.setattr(stream, "isatty", lambda: True)
        monkeypatch.setattr("sys.stdin", stream)

    return answer


_WITHOUT_RIGHTS = """
import importlib, os, pkgutil, sys
import trainer
if os.geteuid() == 0:
    # Loaded before: the packages may be out of reach for other users.
    for found in pkgutil.walk_packages(trainer.__path__, "trainer."):
        if not found.name.startswith(("trainer.tui", "trainer.sound.worker")):
            importlib.import_module(found.name)
    os.setgid(65534); os.setuid(65534)
from trainer.cli.main import main
sys.exit(main(sys.argv[1:]))
"""


@dataclass(frozen=True)
class ReadOnly:
    """The command line of somebody who may read the data file and write nowhere."""

    folder: Path

    def __call__(self, *arguments: str) -> subprocess.CompletedProcess[str]:
        """Run one command line in a process of its own."""
        done = subprocess.run(
            [sys.executable, "-c", _WITHOUT_RIGHTS, *arguments],
            env={
                **os.environ,
                "TRAINER_DB": str(self.folder / "log.db"),
                **{name: str(self.folder) for name in _FOLDERS},
            },
            stdin=subprocess.DEVNULL,
            capture_output=True,
            text=True,
            timeout=60,
            check=False,
        )
        if "ModuleNotFoundError" in done.stderr:
            pytest.skip("the interpreter itself is out of reach for other users here")
        return done


_FOLDERS = ("XDG_DATA_HOME", "XDG_CONFIG_HOME", "XDG_STATE_HOME", "HOME")


@pytest.fixture
def read_only(cli: Cli) -> Iterator[ReadOnly]:
    """Give the command line on a log with one hold, where nothing can be written."""
    if os.name == "nt":
        pytest.skip("modes are POSIX's")
    cli.ok("add", "hang", "--held", "30")
    # pytest's own folders are closed to other users.
    folder = Path(tempfile.mkdtemp())
    try:
        shutil.copy(cli.db, folder / "log.db")
        (folder / "log.db").chmod(0o444)
        folder.chmod(0o555)
        yield ReadOnly(folder)
    finally:
        folder.chmod(0o700)
        shutil.rmtree(folder)

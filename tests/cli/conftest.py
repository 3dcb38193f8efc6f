"""The command line called in this process, with a clock that stands still."""

from __future__ import annotations

import json
import os
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest

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
        """Run one that has to work."""
        answer = self(*arguments)
        assert (0, "") == (answer.code, answer.err), arguments
        return answer

    def day(self, days: float) -> None:
        """Let days pass."""
        self.clock.advance(days * 86400)


@pytest.fixture
def cli(db_path: Path, capsys: pytest.CaptureFixture[str]) -> Cli:
    """Give the command line on a new data file, on Monday 2 March 2026 at 18:00."""
    return Cli(db_path, capsys)


@pytest.fixture
def answers(monkeypatch: pytest.MonkeyPatch) -> Callable[[str], None]:
    """Give a way to have a person at a terminal answer the next question."""
    import io

    def answer(text: str) -> None:
        stream = io.StringIO(text)
        monkeypatch.setattr(stream, "isatty", lambda: True)
        monkeypatch.setattr("sys.stdin", stream)

    return answer

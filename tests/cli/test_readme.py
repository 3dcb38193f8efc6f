"""The README is true: its commands run, its settings are valid."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest

from tests.cli.conftest import Cli
from trainer.cli.main import COMMANDS, _module
from trainer.core.plan.plan import default_plan
from trainer.plan_file import plan_from
from trainer.settings.settings import settings_from
from trainer.settings.toml import parse
from trainer.tui.keymap import check_remaps

README = Path(__file__).parent.parent.parent / "README.md"


def blocks(language: str) -> list[str]:
    text = README.read_text(encoding="utf-8")
    found: list[str] = re.findall(rf"^```{language}\n(.*?)^```", text, re.M | re.S)
    return found


def test_every_command_of_the_readme_runs(
    cli: Cli, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """In order, in an empty folder; those that need a terminal say so."""
    monkeypatch.chdir(tmp_path)
    lines = [
        line
        for block in blocks("sh")
        for line in block.splitlines()
        if line.startswith("trainer") and "--plain" not in line
    ]
    failed = []
    for line in lines:
        arguments = shlex.split(line, comments=True)[1:]
        if arguments and _module(arguments[0]) is None and arguments[0] in COMMANDS:
            continue
        answer = cli(*arguments)
        screen = not arguments or arguments[0] == "session"
        if answer.code != (2 if screen else 0):
            failed.append((line, answer.code, answer.err))
        if screen:
            assert "no terminal for the full screen" in answer.err, line

    assert len(lines) > 15
    assert [] == failed


def test_the_readmes_settings_are_valid() -> None:
    """What is shown as an example can be used as it is."""
    own, settings = blocks("toml")

    content = plan_from(parse(own, name="README.md"), default_plan())
    assert "Doorway lean" == content.plan.exercise("doorway").name
    remaps = settings_from(parse(settings, name="README.md")).keys
    assert {"today.start": "f5"} == check_remaps(remaps)

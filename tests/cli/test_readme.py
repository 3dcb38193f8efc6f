"""The README is true: its commands run, its settings are valid."""

from __future__ import annotations

import os
import re
import shlex
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest
from platformdirs.api import PlatformDirsABC
from platformdirs.macos import MacOS
from platformdirs.unix import Unix

from tests.cli.conftest import Cli
from tests.tui.desk import clock_at, made_app, made_store, settle
from trainer.cli.main import COMMANDS, _module
from trainer.core.plan.plan import default_plan
from trainer.plan_file import plan_from
from trainer.settings.paths import APP
from trainer.settings.settings import settings_from
from trainer.settings.toml import parse
from trainer.tui.keymap import check_remaps

ROOT = Path(__file__).parent.parent.parent
README = ROOT / "README.md"


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


async def test_the_readmes_key_starts_the_session(tmp_path: Path) -> None:
    """Its example of a moved key works as it says, with its other settings."""
    _, text = blocks("toml")
    settings = settings_from(parse(text, name="README.md"))
    clock = clock_at()
    with made_store(tmp_path, clock) as store:
        settle(store)
        app = made_app(store, clock, settings=settings)
        async with app.run_test(size=(80, 24)) as pilot:
            await pilot.pause()
            today = app.screen
            await pilot.press("enter")
            assert app.screen is today
            await pilot.press("f5")
            await pilot.pause()

            assert app.screen is not today


def test_the_readmes_rehearsal_runs_to_its_end(tmp_path: Path) -> None:
    """The line that lets somebody see and hear a hold before the first session."""
    (line,) = [
        line
        for block in blocks("sh")
        for line in block.splitlines()
        if "--plain" in line
    ]
    done = subprocess.run(
        [sys.executable, "-m", *shlex.split(line)],
        env={**os.environ, "TRAINER_DB": str(tmp_path / "trainer.db")},
        stdin=subprocess.DEVNULL,
        capture_output=True,
        encoding="utf-8",
        timeout=120,
        check=False,
    )

    assert 0 == done.returncode, done.stderr
    assert "nothing is logged" in done.stdout.lower()
    assert not (tmp_path / "trainer.db").exists()


def test_the_readmes_wheel_is_the_one_that_is_made() -> None:
    """Its file name, its extras and the scripts are those of this checkout."""
    text = README.read_text(encoding="utf-8")
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    name = project["name"].replace("-", "_")
    wheel = f"dist/{name}-{project['version']}-py3-none-any.whl"
    commands = re.findall(r'(?:pipx|uv tool) install "(.+?)\[(.+?)\]"', text)

    assert 2 == len(commands)
    assert {wheel} == {path for path, _ in commands}
    for _, extras in commands:
        assert set(extras.split(",")) <= set(project["optional-dependencies"])
    for script in re.findall(r"python3 (scripts/\w+\.py)", text):
        assert (ROOT / script).is_file()


@pytest.mark.parametrize(
    ("system", "kind"), [("Linux", Unix), ("macOS", MacOS)], ids=["Linux", "macOS"]
)
def test_the_readme_knows_where_things_lie(
    system: str, kind: type[PlatformDirsABC], monkeypatch: pytest.MonkeyPatch
) -> None:
    """As platformdirs has it, which the program asks.

    Windows' folder is asked of Windows itself, so it can't be looked up elsewhere.
    """
    for variable in ("XDG_CONFIG_HOME", "XDG_DATA_HOME"):
        monkeypatch.delenv(variable, raising=False)
    folders = kind(APP, appauthor=False)
    settings, data = (
        path.replace(os.path.expanduser("~"), "~")
        for path in (f"{folders.user_config_dir}/settings.toml", folders.user_data_dir)
    )
    (row,) = re.findall(
        rf"^\| {system} \| `(.+)` \| (.+) \|$", README.read_text(), re.M
    )

    assert settings == row[0]
    same = Path(data) == Path(settings).parent
    assert ("the same folder" if same else f"`{data}`") == row[1]

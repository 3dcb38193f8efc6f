"""``trainer doctor``: looks at everything, changes nothing."""

from __future__ import annotations

from importlib.metadata import PackageNotFoundError
from pathlib import Path

import pytest

from tests.cli.conftest import Cli
from trainer.cli.context import CliContext
from trainer.cli.main import main
from trainer.core.clock import PacedClock, SystemClock


@pytest.fixture(autouse=True)
def _silent(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Let no device be opened: these tests are about the rest."""
    folder = tmp_path / "config" / "overhead-hold-trainer"
    folder.mkdir(parents=True)
    (folder / "settings.toml").write_text('[sound]\nbackend = "silent"\n')
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))


def test_everything_that_matters_is_looked_at(cli: Cli) -> None:
    """Terminal, data file, settings and sound, each with a sentence."""
    found = cli.ok("doctor", "--json").json
    names = {finding["name"] for finding in found}

    sound = {"simpleaudio", "miniaudio", "in use"}
    assert {"terminal", "data file", "settings", "photos"} | sound <= names
    assert all(finding["sentence"] for finding in found)


@pytest.mark.parametrize("installed", [True, False])
def test_whether_photos_can_be_marked_is_said(
    cli: Cli, monkeypatch: pytest.MonkeyPatch, installed: bool
) -> None:
    """With what reads them, or what brings it: no fault, as a check needs no photo."""
    if not installed:

        def none_of_it(name: str) -> str:
            raise PackageNotFoundError(name)

        monkeypatch.setattr("trainer.cli.doctor.version", none_of_it)
    (found,) = [
        each for each in cli.ok("doctor", "--json").json if each["name"] == "photos"
    ]

    assert found["ok"]
    assert ("Read by Pillow" in found["sentence"]) == installed
    assert ("[photo]" in found["command"]) != installed


def test_it_changes_nothing(cli: Cli) -> None:
    """No data file is made by looking for it."""
    cli.db.unlink()
    cli.ok("doctor")

    assert not cli.db.exists()


def test_the_file_and_its_copies_are_described(cli: Cli) -> None:
    """How many holds, and the latest copy."""
    cli.ok("add", "hang", "--held", "30")
    out = cli.ok("doctor").out

    assert f"{cli.db}, 1 hold." in out
    assert "trainer 0" in out


def test_a_file_that_cannot_be_read_is_exit_3(cli: Cli) -> None:
    """What is wrong with the data is said with what to do, among the rest."""
    cli.db.write_bytes(b"no database" * 100)
    answer = cli("doctor")

    assert 3 == answer.code
    assert "data file" in answer.out
    assert "trainer data restore" in answer.out


def test_settings_that_cannot_be_used_are_exit_2(cli: Cli, tmp_path: Path) -> None:
    """The rest is still looked at."""
    path = tmp_path / "config" / "overhead-hold-trainer" / "settings.toml"
    path.write_text('[sound]\nbackend = "silnt"\n')
    answer = cli("doctor")

    assert 2 == answer.code
    assert "line 2, key sound.backend" in answer.out
    assert "in use" in answer.out


@pytest.mark.parametrize(
    ("line", "sentence"),
    [
        ('"today.strat" = "f5"', "there is nothing called 'today.strat'"),
        ('"today.start" = "f2"', "would mean both"),
    ],
)
def test_keys_that_the_screens_refuse_are_found(
    cli: Cli, tmp_path: Path, line: str, sentence: str
) -> None:
    """Before the full-screen program says so at the start of a session."""
    path = tmp_path / "config" / "overhead-hold-trainer" / "settings.toml"
    path.write_text(f"[keys]\n{line}\n")
    answer = cli("doctor")

    assert 2 == answer.code
    assert sentence in answer.out


def test_listening_names_each_cue(
    db_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """``--listen`` says what is to be heard while it plays, and through what."""
    real = SystemClock()
    clock = PacedClock(real, 120, real.now_s())
    context = CliContext(db=str(db_path), clock=clock)
    code = main(["doctor", "--listen"], context=context)
    out = capsys.readouterr().out

    assert 0 == code
    assert "go up: climb on, walk up" in out
    assert "Played through silent." in out

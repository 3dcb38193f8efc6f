"""What the doctor finds, and the commands that it gives; and the previews."""

from __future__ import annotations

import subprocess
import sys
from ctypes.util import find_library
from importlib.util import find_spec
from pathlib import Path

import pytest

from trainer.core.clock import SystemClock
from trainer.core.cues.cues import Cue
from trainer.core.cues.settings import Backend, SoundSettings
from trainer.sound import clips
from trainer.sound.doctor import Finding, examine, listen
from trainer.sound.preview import TEN_SECOND_HOLD_S, one_cue, ten_second_hold

pytestmark = [
    pytest.mark.skipif(sys.platform != "linux", reason="looks at a Linux machine"),
    pytest.mark.usefixtures("children"),
]


@pytest.fixture
def bare(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Leave a machine without devices, servers or players; give its folder of tools."""
    folder = tmp_path / "bin"
    folder.mkdir()
    monkeypatch.setenv("PATH", str(folder))
    monkeypatch.setenv("ALSA_CONFIG_PATH", str(tmp_path / "none"))
    monkeypatch.setenv("XDG_RUNTIME_DIR", str(tmp_path))
    monkeypatch.delenv("PULSE_SERVER", raising=False)
    return folder


def tool(folder: Path, name: str, script: str = "exit 0") -> None:
    """Put a small program NAME into FOLDER."""
    (folder / name).write_text(f"#!/bin/sh\n{script}\n")
    (folder / name).chmod(0o755)


def found(state_dir: Path, backend: Backend = Backend.AUTO) -> dict[str, Finding]:
    """Examine this machine."""
    settings = SoundSettings(backend=backend)
    findings = examine(settings, clock=SystemClock(), state_dir=state_dir)
    assert len({finding.name for finding in findings}) == len(findings)
    return {finding.name: finding for finding in findings}


def test_a_bare_machine_is_told_what_to_type(bare: Path, tmp_path: Path) -> None:
    """No player: the very command of this system's package manager; what a session
    would use is tried, not guessed, with the reasons for what failed."""
    tool(bare, "apt-get")
    findings = found(tmp_path / "state")

    player = findings["system player"]
    assert not player.ok
    assert "sudo apt-get install alsa-utils" == player.command
    in_use = findings["in use"]
    assert not in_use.ok
    assert "A session would use: bell, because " in in_use.sentence
    assert "the system's own player failed" in in_use.sentence
    assert findings["sound files"].ok


def test_a_server_that_alsa_does_not_reach_is_noticed(
    bare: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """PipeWire runs, its ALSA plugin isn't there: its package is named, unless the one
    engine that is installed does without."""
    tool(bare, "dnf")
    (tmp_path / "pipewire-0").write_text("")
    monkeypatch.setattr("trainer.sound.doctor.PLUGIN_FOLDERS", (str(tmp_path),))
    missing = found(tmp_path / "state", Backend.BELL)["sound server"]

    alone = find_spec("simpleaudio") is None and find_library("pulse") is not None
    assert missing.ok is alone
    assert ("" if alone else "sudo dnf install pipewire-alsa") == missing.command
    plugins = tmp_path / "alsa-lib"
    plugins.mkdir()
    (plugins / "libasound_module_pcm_pipewire.so").write_text("")
    assert found(tmp_path / "state", Backend.BELL)["sound server"].ok


def test_a_player_that_works_is_what_a_session_would_use(
    bare: Path, tmp_path: Path
) -> None:
    """The system's player is there and plays: it is named, and so is what was wrong
    with each engine."""
    tool(bare, "aplay", "exec /bin/cat > /dev/null")
    findings = found(tmp_path / "state")

    assert findings["system player"].ok
    assert findings["in use"].ok
    sentence = findings["in use"].sentence
    assert sentence.startswith("A session would use: system, because simpleaudio ")
    assert "miniaudio" in sentence
    asked = found(tmp_path / "state", Backend.SYSTEM)["in use"]
    assert "A session would use: system, as the settings ask." == asked.sentence


def test_listening_names_each_sound_of_a_hold(bare: Path, tmp_path: Path) -> None:
    """Each is named as it sounds, in the order in which a hold brings them."""
    settings = SoundSettings(backend=Backend.BELL)
    lines = listen(settings, clock=SystemClock(), state_dir=tmp_path / "state")
    heard = [next(lines)]
    lines.close()

    assert ["go up: climb on, walk up"] == heard


def test_the_clips_are_found_and_missed(monkeypatch: pytest.MonkeyPatch) -> None:
    """In this checkout all are there; in a broken installation each one is missed."""
    assert () == clips.missing_files()
    monkeypatch.setattr(clips, "PACKAGE_DIR", Path("/nowhere/trainer"))
    assert clips.expected_files() == clips.missing_files()
    assert {} == clips.load()


@pytest.mark.parametrize("cue", list(Cue), ids=str)
def test_any_cue_can_be_heard_by_itself(cue: Cue) -> None:
    """A preview sounds that cue and no other, the last ticks as the three that they
    are, what is made to length with a length."""
    sheet = one_cue(cue, at_s=5.0)

    assert {cue} == {timed.cue for timed in sheet}
    assert 5.0 == sheet[0].at_s
    assert (3 if cue is Cue.LAST_TICK else 1) == len(sheet)
    made = cue in (Cue.IN, Cue.OUT, Cue.IN_THEN_DOWN)
    assert made == (sheet[0].length_s > 0)


@pytest.mark.parametrize("press", [False, True])
def test_a_ten_second_hold_is_a_whole_set(press: bool) -> None:
    """From set-up to done, in the time that it says."""
    sheet = ten_second_hold(at_s=100.0, press=press)
    cues = [timed.cue for timed in sheet]

    assert {Cue.GO_UP, Cue.HOLD, Cue.IN, Cue.OUT, Cue.TARGET, Cue.DONE} <= set(cues)
    assert all(100 <= timed.at_s < 100 + TEN_SECOND_HOLD_S for timed in sheet)


def test_only_an_engine_that_is_started_is_loaded() -> None:
    """Importing all of sound, the doctor too, loads neither simpleaudio nor
    miniaudio."""
    code = (
        "import sys, trainer.sound.doctor, trainer.sound.process, trainer.sound.live,"
        " trainer.sound.preview, trainer.sound.worker, trainer.sound.engines;"
        "sys.exit(bool({'simpleaudio', 'miniaudio'} & set(sys.modules)))"
    )

    assert 0 == subprocess.run((sys.executable, "-c", code), check=False).returncode

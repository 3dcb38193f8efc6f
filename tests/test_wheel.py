"""The wheel, built and installed into an empty environment: what a person would get."""

from __future__ import annotations

import os
import subprocess
import sys
import sysconfig
import venv
import zipfile
from dataclasses import dataclass
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
pytestmark = pytest.mark.xdist_group("wheel")

PLAN = """\
warm_up_s = 60
take_out = ["hang-supported", "press-pushup"]
[[exercise]]
id = "hang"
sets = 1
start_s = 10
[[exercise]]
id = "press-wall"
sets = 1
start_s = 10
"""


@dataclass(frozen=True)
class Installed:
    """An environment with nothing but the wheel, and a home of its own."""

    folder: Path
    wheel: Path

    def program(self, name: str) -> str:
        """Give the path of one of its programs."""
        scripts = "Scripts" if os.name == "nt" else "bin"
        return str(self.folder / "venv" / scripts / name)

    def run(self, *command: str) -> str:
        """Run one of its programs to a good end, and give what it said."""
        result = subprocess.run(
            [self.program(command[0]), *command[1:]],
            cwd=self.folder,
            env={**os.environ, "TRAINER_DB": str(self.folder / "trainer.db")},
            stdin=subprocess.DEVNULL,
            capture_output=True,
            text=True,
            timeout=120,
            check=False,
        )
        assert 0 == result.returncode, result.stderr
        return result.stdout


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> Installed:
    """Build the wheel without fetching anything and install it alone.

    What it depends on is lent by the environment that runs the tests: a plain line in
    a .pth file adds its folder, last, without the .pth files that lie there.
    """
    folder = tmp_path_factory.mktemp("wheel")
    subprocess.run(
        [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(folder)],
        cwd=ROOT,
        check=True,
        capture_output=True,
        timeout=120,
    )
    (wheel,) = folder.glob("*.whl")
    venv.EnvBuilder(with_pip=False, symlinks=os.name != "nt").create(folder / "venv")
    made = Installed(folder, wheel)
    subprocess.run(
        [
            *(sys.executable, "-m", "pip", "--python", made.program("python")),
            *("install", "--quiet", "--no-index", "--no-deps", str(wheel)),
        ],
        check=True,
        capture_output=True,
        timeout=120,
    )
    where = "import sysconfig; print(sysconfig.get_path('purelib'))"
    site = Path(made.run("python", "-c", where).strip())
    (site / "lent.pth").write_text(sysconfig.get_path("purelib") + "\n")
    return made


def test_the_wheel_holds_all_that_it_needs(installed: Installed) -> None:
    """Styles, licence and the type marker are inside; the tests are not."""
    names = zipfile.ZipFile(installed.wheel).namelist()
    folders = {name.partition("/")[0] for name in names}

    ours = "overhead_hold_trainer-0.1.0"
    assert {"trainer", f"{ours}.dist-info", f"{ours}.data"} == folders
    assert f"{ours}.data/data/share/man/man1/trainer.1" in names
    assert {"trainer/LICENSE", "trainer/py.typed", "trainer/tui/app.tcss"} <= set(names)
    assert any(name.endswith("licenses/trainer/LICENSE") for name in names)


def test_a_whole_session_is_rehearsed_from_the_wheel(installed: Installed) -> None:
    """Plan, warm-up, a hang and a press, at twenty times the pace, nothing logged."""
    plan = installed.folder / "plan.toml"
    plan.write_text(PLAN)
    package = installed.run("python", "-c", "import trainer; print(trainer.__file__)")
    installed.run("trainer", "plan", "use", str(plan), "--yes", "--anyway")
    said = installed.run("trainer", "session", "--plain", "--rehearse", "--speed", "20")
    export = installed.run("trainer", "data", "export")

    assert str(installed.folder / "venv") in package
    assert "2 holds, 20 s in all. Nothing was logged." in said
    for words in ("Go up", "Hold", "hang 1: held 10 s", "Wall press-away 1: held 10 s"):
        assert words in said
    assert '"sessions": []' in export


def test_the_wheel_finds_its_own_sounds(installed: Installed) -> None:
    """Every clip is found inside the package, not in a checkout."""
    code = (
        "from trainer.sound import clips;"
        "print(clips.sounds_dir()); print(*clips.missing_files())"
    )
    folder, missing = installed.run("python", "-c", code).split("\n")[:2]

    assert folder.endswith("_sounds")
    assert str(installed.folder / "venv") in folder
    assert "" == missing

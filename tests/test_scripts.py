"""The two set-up scripts, run for real on a small checkout that needs no network.

The checkout has our scripts, a package that says how it was called, and a build backend
of its own that fetches nothing; ``.venv`` is a real one.
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import pytest

SCRIPTS = Path(__file__).parent.parent / "scripts"
pytestmark = pytest.mark.xdist_group("scripts")

PYPROJECT = """\
[build-system]
requires = []
build-backend = "backend"
backend-path = ["."]

[project]
name = "tiny"
version = "1"

[project.optional-dependencies]
photo = []
test = []
sound = ["a-package-that-is-nowhere"]
simpleaudio = ["another-one"]
"""
BACKEND = '''\
"""Makes an editable wheel by hand, and counts how often it was asked to."""
import pathlib, zipfile

HERE = pathlib.Path(__file__).parent
METADATA = """Metadata-Version: 2.1
Name: tiny
Version: 1
Provides-Extra: photo
Provides-Extra: test
"""

def build_editable(wheel_directory, config_settings=None, metadata_directory=None):
    with (HERE / "builds").open("a") as handle:
        handle.write("x")
    name = "tiny-1-py3-none-any.whl"
    with zipfile.ZipFile(pathlib.Path(wheel_directory) / name, "w") as wheel:
        wheel.writestr("tiny.pth", f"{HERE}\\n")
        wheel.writestr("tiny-1.dist-info/METADATA", METADATA)
        wheel.writestr(
            "tiny-1.dist-info/WHEEL",
            "Wheel-Version: 1.0\\nGenerator: tiny\\nRoot-Is-Purelib: true\\n"
            "Tag: py3-none-any\\n",
        )
        wheel.writestr("tiny-1.dist-info/RECORD", "")
    return name

build_wheel = build_editable
'''
CALLED = """\
import json, os, sys
print(json.dumps([sys.prefix, os.getcwd(), sys.argv[1:]]))
sys.exit(int(os.environ.get("LEAVE_WITH", "0")))
"""


@dataclass(frozen=True)
class Checkout:
    """A small checkout, and ways to run its scripts."""

    root: Path

    def run(
        self, script: str, *arguments: str, leave_with: int = 0
    ) -> subprocess.CompletedProcess[str]:
        """Run one of the scripts as a person would."""
        environ = {
            **os.environ,
            # No tool of the system: no apt-get, no compiler.
            "PATH": "",
            "PIP_NO_INDEX": "1",
            "PIP_CONFIG_FILE": os.devnull,
            "LEAVE_WITH": str(leave_with),
        }
        return subprocess.run(
            [sys.executable, str(self.root / "scripts" / script), *arguments],
            cwd=self.root.parent,
            env=environ,
            capture_output=True,
            text=True,
            timeout=300,
            check=False,
        )

    @property
    def builds(self) -> int:
        """How often something was installed."""
        path = self.root / "builds"
        return len(path.read_text()) if path.exists() else 0


@pytest.fixture(scope="module")
def checkout(tmp_path_factory: pytest.TempPathFactory) -> Checkout:
    """Make the checkout, once: its first start takes a few seconds."""
    root = tmp_path_factory.mktemp("scripts") / "check out"
    shutil.copytree(
        SCRIPTS,
        root / "scripts",
        ignore=lambda folder, names: {n for n in names if not n.endswith(".py")},
    )
    (root / "pyproject.toml").write_text(PYPROJECT)
    (root / "backend.py").write_text(BACKEND)
    for package in ("trainer", "pytest"):
        (root / package).mkdir()
        (root / package / "__init__.py").write_text("")
        (root / package / "__main__.py").write_text(CALLED)
    return Checkout(root)


def called(result: subprocess.CompletedProcess[str]) -> list[object]:
    found: list[object] = json.loads(result.stdout.strip().splitlines()[-1])
    return found


@cache
def started_first(checkout: Checkout) -> subprocess.CompletedProcess[str]:
    return checkout.run("run.py", "next", "--json", "a b", leave_with=3)


@pytest.fixture
def first_start(checkout: Checkout) -> subprocess.CompletedProcess[str]:
    """Start the program where nothing was set up: once, for it takes longest."""
    return started_first(checkout)


def test_the_first_start_sets_up_and_hands_over(
    checkout: Checkout, first_start: subprocess.CompletedProcess[str]
) -> None:
    """Arguments go through, the exit code comes back, stdout is the program's alone."""
    prefix, folder, arguments = called(first_start)

    assert 3 == first_start.returncode
    assert str(checkout.root / ".venv") == prefix
    assert str(checkout.root.parent) == folder
    assert ["next", "--json", "a b"] == arguments
    assert 1 == first_start.stdout.count("\n")
    assert "Making .venv" in first_start.stderr


def test_a_sound_that_cannot_be_installed_is_said_in_one_line(
    checkout: Checkout, first_start: subprocess.CompletedProcess[str]
) -> None:
    """Without it the rest works; it isn't tried again until the ground changes."""
    second = checkout.run("run.py")

    assert (3, 0) == (first_start.returncode, second.returncode)
    said = [line for line in first_start.stderr.splitlines() if "Sound" in line]
    assert 1 == len(said)
    assert said[0].startswith("Sound is left out, the rest works. ")
    assert "" == second.stderr


def test_a_second_start_installs_nothing(checkout: Checkout) -> None:
    """While nothing changed, the start is immediate."""
    checkout.run("run.py")
    before = checkout.builds
    result = checkout.run("run.py")

    assert ("", before) == (result.stderr, checkout.builds)


def test_a_changed_pyproject_is_installed_again(checkout: Checkout) -> None:
    """And the sound gets its chance again."""
    checkout.run("run.py")
    before = checkout.builds
    # Something that is there: nothing is fetched here.
    changed = PYPROJECT.replace("a-package-that-is-nowhere", "pip")
    (checkout.root / "pyproject.toml").write_text(changed)
    result = checkout.run("run.py")

    assert 0 == result.returncode
    assert checkout.builds > before
    assert "Sound is left out" not in result.stderr
    assert "" == checkout.run("run.py").stderr


def test_the_tests_run_in_the_checkout_with_their_extras(checkout: Checkout) -> None:
    """``test.py`` says which Python, passes arguments and exit code, keeps [test]."""
    result = checkout.run("test.py", "-k", "breathing", leave_with=1)
    bare = checkout.run("test.py")
    checkout.run("run.py")
    stamp = json.loads((checkout.root / ".venv" / "setup-stamp.json").read_text())

    assert 1 == result.returncode
    assert result.stdout.startswith("Python 3.")
    assert [str(checkout.root), ["-k", "breathing"]] == called(result)[1:]
    arguments = called(bare)[2]
    assert isinstance(arguments, list)
    assert "-n" == arguments[0]
    assert ["photo", "test"] == stamp["extras"]


def test_a_set_up_that_was_cut_off_is_finished(checkout: Checkout) -> None:
    """Killed before pip was there, or in the middle of it: the next start mends it."""
    checkout.run("run.py")
    venv = checkout.root / ".venv"
    for found in venv.glob("[Ll]ib/**/site-packages/pip"):
        shutil.rmtree(found)
    (venv / "setup-stamp.json").unlink()

    result = checkout.run("run.py", leave_with=4)
    assert (4, 1) == (result.returncode, result.stdout.count("\n"))


def test_an_environment_of_another_make_is_not_thrown_away(tmp_path: Path) -> None:
    """A .venv that this script didn't make, for another Python, is left alone."""
    shutil.copytree(SCRIPTS, tmp_path / "scripts")
    (tmp_path / "pyproject.toml").write_text(PYPROJECT)
    (tmp_path / ".venv").mkdir()
    (tmp_path / ".venv" / "pyvenv.cfg").write_text("version = 3.8.1\n")
    result = Checkout(tmp_path).run("run.py")

    assert (1, 1) == (result.returncode, result.stderr.count("\n"))
    assert "remove it and start again" in result.stderr
    assert (tmp_path / ".venv" / "pyvenv.cfg").exists()


def test_another_python_gets_one_sentence() -> None:
    """On a Python that is too old or too new, nothing is made and that is said."""
    for script in ("run.py", "test.py"):
        for version in ("(3, 10, 4)", "(3, 14, 0)"):
            code = (
                f"import runpy, sys; sys.version_info = {version};"
                f"runpy.run_path({str(SCRIPTS / script)!r}, run_name='__main__')"
            )
            result = subprocess.run(
                [sys.executable, "-c", code],
                capture_output=True,
                text=True,
                timeout=60,
                check=False,
            )
            assert (1, "") == (result.returncode, result.stdout)
            assert 1 == result.stderr.count("\n")
            assert "Python 3.11, 3.12 or 3.13 is needed" in result.stderr


@pytest.mark.skipif(os.name == "nt", reason="the script is a shell's")
def test_ci_runs_everything_and_fails_if_anything_does() -> None:
    """``.ci/run`` is executable and names tests, lint, types and imports."""
    script = SCRIPTS.parent / ".ci" / "run"
    text = script.read_text(encoding="utf-8")

    assert os.access(script, os.X_OK)
    for part in ("scripts/test.py", "ruff check", "mypy", "lint-imports"):
        assert part in text

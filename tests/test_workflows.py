"""The public host's runs do what the README says, on the systems that it names."""

from __future__ import annotations

import re
import shlex
from pathlib import Path
from typing import Any

import pytest
import yaml

ROOT = Path(__file__).parent.parent
WORKFLOWS = sorted((ROOT / ".github" / "workflows").glob("*.yml"))


def read(path: Path) -> dict[Any, Any]:
    found = yaml.safe_load(path.read_text(encoding="utf-8"))
    assert isinstance(found, dict)
    return found


def test_there_is_one() -> None:
    """Else the tests below say nothing."""
    assert ["tests.yml"] == [path.name for path in WORKFLOWS]


@pytest.mark.parametrize("path", WORKFLOWS, ids=lambda path: path.name)
def test_it_runs_the_readmes_commands_and_nothing_else(path: Path) -> None:
    """``scripts/test.py`` as it is, ``scripts/run.py`` with a command of the README."""
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    known = re.findall(
        r"^(?:python3 scripts/\w+\.py|trainer .*?)(?= +#|$)", readme, re.M
    )
    allowed = {tuple(shlex.split(line)) for line in known}
    allowed |= {
        ("python3", "scripts/run.py", *words[1:])
        for words in allowed
        if words[0] == "trainer"
    }
    runs = [
        tuple(shlex.split(step["run"]))
        for job in read(path)["jobs"].values()
        for step in job["steps"]
        if "run" in step
    ]

    assert ("python3", "scripts/test.py") in runs
    assert set() == set(runs) - allowed


def test_it_covers_the_systems_and_pythons_of_the_readme() -> None:
    """Three systems; every Python that the package may be installed on."""
    (path,) = WORKFLOWS
    matrix = read(path)["jobs"]["tests"]["strategy"]["matrix"]
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    pythons = re.findall(r"3\.\d+", readme[readme.index("Python 3.11") :][:40])

    systems = {"Linux": "ubuntu", "macOS": "macos", "Windows": "windows"}
    assert all(system in readme for system in systems)
    assert set(systems.values()) == {each.partition("-")[0] for each in matrix["os"]}
    assert pythons == matrix["python"]

"""Folders and files without permission, met by somebody who isn't root."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.cli.conftest import Cli

pytestmark = pytest.mark.skipif(os.name == "nt", reason="modes are POSIX's")

NOBODY = 65534
_EACH = """
import contextlib, importlib, io, json, os, pkgutil, sys
import trainer
if os.geteuid() == 0:
    # Loaded before: packages and codecs may be out of reach for other users.
    import codecs, tomlkit, zoneinfo
    for each in ("ascii", "utf-8-sig", "unicode-escape"):
        codecs.lookup(each)
    for found in pkgutil.walk_packages(trainer.__path__, "trainer."):
        if not found.name.startswith(("trainer.tui", "trainer.sound.worker")):
            importlib.import_module(found.name)
    os.setgroups([]); os.setgid(65534); os.setuid(65534)
from trainer.cli.main import main
for line in json.load(sys.stdin):
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        code = int(main(line))
    print(json.dumps([code, err.getvalue()]))
"""
"""Runs command lines, one after the other, as an ordinary user."""


@pytest.fixture
def folder(cli: Cli) -> Iterator[Path]:
    """Give a folder with a log in ``mine``, and what may not be looked into."""
    cli.ok("add", "hang", "--held", "30")
    # pytest's own folders are closed to other users.
    folder = Path(tempfile.mkdtemp())
    try:
        (folder / "mine").mkdir()
        shutil.copy(cli.db, folder / "mine" / "log.db")
        (folder / "closed").mkdir()
        (folder / "reading").mkdir()
        shutil.copy(cli.db, folder / "reading" / "log.db")
        for each in (folder, *folder.rglob("*")):
            if os.geteuid() == 0:
                os.chown(each, NOBODY, NOBODY)
        (folder / "reading").chmod(0o500)
        (folder / "closed").chmod(0o000)
        yield folder
    finally:
        for name in ("reading", "closed"):
            (folder / name).chmod(0o700)
        shutil.rmtree(folder)


def test_each_command_says_it_in_a_sentence(folder: Path) -> None:
    """No traceback, nothing of ours, an exit code that is promised; and where the file
    can be read, it is."""
    closed, reading = str(folder / "closed"), str(folder / "reading" / "log.db")
    hidden = f"{closed}/log.db"
    lines = {
        3: [
            ["next", "--db", hidden],
            ["next", "--db", f"{closed}/sub/log.db"],
            ["review", "--db", hidden],
            ["add", "hang", "--held", "20", "--db", hidden],
            ["add", "hang", "--held", "20", "--db", reading],
            ["undo", "--yes", "--db", reading],
            ["data", "backup", f"{closed}/copy.db"],
            ["data", "backup", "--db", reading],
            ["session", "--plain", "--exercise", "hang", "--db", reading],
        ],
        2: [
            ["data", "export", f"{closed}/x.json"],
            ["data", "import", f"{closed}/x.json"],
            ["data", "salvage", f"{closed}/x.json"],
            ["review", "--html", f"{closed}/x.html"],
            ["plan", "save", f"{closed}/x.toml"],
            ["plan", "use", f"{closed}/x.toml"],
            ["plan", "calendar", f"{closed}/x.ics"],
        ],
        1: [
            ["data", "export", "--csv", f"{closed}/csv"],
            ["data", "restore", f"{closed}/x.db", "--yes"],
            ["demo", "--no-open"],
        ],
        0: [
            ["next", "--db", reading],
            ["data", "check", "--db", reading],
            ["data", "path"],
        ],
    }
    wanted = [(code, line) for code, some in lines.items() for line in some]
    given = as_nobody(folder, [line for _, line in wanted])

    for (code, line), (found, said) in zip(wanted, given, strict=True):
        assert (code, line) == (found, line), said[-1500:]
        assert "our fault" not in said
        if code:
            assert 1 == said.count("\n"), line


def test_settings_that_cannot_be_read_are_said(folder: Path) -> None:
    """Not passed over as if there were none: exit 2; a state folder that nobody may
    look into comes before that and keeps nobody from anything."""
    where = {"XDG_CONFIG_HOME": str(folder / "closed")}
    line = ["session", "--plain", "--exercise", "hang", "--anyway"]
    ((code, said),) = as_nobody(folder, [line], **where)

    assert 2 == code, said
    assert "settings.toml can't be read: permission denied" in said


def as_nobody(
    folder: Path, lines: list[list[str]], **environ: str
) -> list[tuple[int, str]]:
    """Run command lines as an ordinary user; give codes and what stood on stderr."""
    done = subprocess.run(
        [sys.executable, "-c", _EACH],
        input=json.dumps(lines),
        env={
            **os.environ,
            "TRAINER_DB": str(folder / "mine" / "log.db"),
            "HOME": str(folder),
            "XDG_DATA_HOME": str(folder / "closed"),
            "XDG_CONFIG_HOME": str(folder / "mine"),
            "XDG_STATE_HOME": str(folder / "closed"),
            "ALSA_CONFIG_PATH": os.devnull,
            **environ,
        },
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    if "ModuleNotFoundError" in done.stderr:
        pytest.skip("the interpreter itself is out of reach for other users here")
    assert 0 == done.returncode, done.stderr
    return [tuple(json.loads(line)) for line in done.stdout.splitlines()]

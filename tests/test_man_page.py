"""The man page that ships: made from the help, up to date, and well-formed."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.cli.test_every_command import commands

ROOT = Path(__file__).parent.parent
PAGE = ROOT / "scripts" / "man" / "trainer.1"


def test_it_says_what_the_help_says() -> None:
    """Made anew it is the same, byte for byte."""
    made = subprocess.run(
        [sys.executable, ROOT / "scripts" / "make_man_page.py", "-"],
        capture_output=True,
        check=True,
        timeout=120,
    ).stdout

    assert PAGE.read_bytes().replace(b"\r\n", b"\n") == made, (
        "run scripts/make_man_page.py"
    )


def test_every_command_has_its_place() -> None:
    """Each command and each of its options stand in it."""
    text = PAGE.read_text("utf-8").replace("\\-", "-")

    for path, command in commands():
        assert path == "trainer" or f".SS {path}\n" in text
        for parameter in command.params:
            if parameter.param_type_name == "option":
                assert all(name in text for name in parameter.opts)


def test_a_formatter_has_nothing_to_say_against_it() -> None:
    """Well-formed roff: groff with all its warnings on says nothing, and sets it."""
    groff = shutil.which("groff")
    if groff is None:
        pytest.skip("groff isn't installed here")
    done = subprocess.run(
        [groff, "-man", "-Tutf8", "-Kutf8", "-ww", PAGE],
        capture_output=True,
        check=True,
        timeout=120,
    )

    assert b"" == done.stderr
    assert "User Commands" in done.stdout.decode()

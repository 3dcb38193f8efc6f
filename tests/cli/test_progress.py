"""Long work shows that it goes on: on a terminal, on stderr, and nowhere else."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

pytestmark = pytest.mark.skipif(os.name == "nt", reason="pseudo-terminals are POSIX")

WAITING = """
import sys
from trainer.cli import diagnostics
diagnostics.SHOWN_AFTER_S = 0
with diagnostics.working("Importing"):
    sys.stdin.readline()
print('{"done": true}')
"""
"""Work that takes until somebody lets it end."""
AT_WORK = """
import sys
from trainer.cli import diagnostics
from trainer.cli.main import main
diagnostics.SHOWN_AFTER_S = 0
db, copy, export = sys.argv[1:]
codes = [
    main(["--db", db, *command])
    for command in (
        ["demo", "--no-open"],
        ["data", "export", export],
        ["data", "import", export, "--yes"],
        ["data", "backup", copy],
        ["data", "restore", copy, "--yes"],
        ["review", "--json"],
    )
]
raise SystemExit(max(codes))
"""
"""The real commands, shown at once: how long they take isn't the matter here."""


def on_a_terminal(program: list[str], out: Path) -> tuple[bytes, bytes]:
    """Run PROGRAM with stderr on a terminal, and let it end once that shows something.

    Returns:
        What came on stdout, by way of the file OUT, and what on the terminal.
    """
    import pty

    terminal, stderr = pty.openpty()
    with (
        out.open("wb") as stdout,
        subprocess.Popen(
            program,
            stdin=subprocess.PIPE,
            stdout=stdout,
            stderr=stderr,
            env={**os.environ, "TERM": "xterm-256color"},
        ) as child,
    ):
        os.close(stderr)
        shown = b""
        try:
            while piece := os.read(terminal, 65536):
                shown += piece
                if b"Importing" in shown and child.stdin and not child.stdin.closed:
                    child.stdin.close()
        except OSError:  # Linux says so when the last writer is gone
            pass
    os.close(terminal)
    assert child.returncode == 0, shown
    return out.read_bytes(), shown


def test_work_that_takes_longer_shows_on_a_terminal_and_goes(tmp_path: Path) -> None:
    """Its name and its seconds are there while it goes on, and gone after; what stdout
    has is the answer alone."""
    out, shown = on_a_terminal([sys.executable, "-c", WAITING], tmp_path / "out")

    assert {"done": True} == json.loads(out)
    assert b"Importing 0:00:0" in shown.replace(b"\x1b[33m", b"").replace(
        b"\x1b[0m", b""
    )
    assert shown.rstrip().endswith((b"\x1b[2K", b"\x1b[?25h"))


def test_nothing_is_shown_where_stderr_is_no_terminal() -> None:
    """A log of errors has errors alone in it."""
    done = subprocess.run(
        [sys.executable, "-c", WAITING],
        stdin=subprocess.DEVNULL,
        capture_output=True,
        check=True,
    )

    assert {"done": True} == json.loads(done.stdout)
    assert b"" == done.stderr


def test_every_long_command_shows_it(tmp_path: Path) -> None:
    """Making up a trainee, importing, restoring, looking back; stdout is as ever."""
    places = [str(tmp_path / name) for name in ("t.db", "copy.db", "export.json")]
    out, shown = on_a_terminal(
        [sys.executable, "-c", AT_WORK, *places], tmp_path / "out"
    )

    said = ("Making up a trainee", "Importing", "Restoring", "Looking back")
    assert [] == [words for words in said if words.encode() not in shown]
    assert b"answers" in out
    assert b"\x1b" not in out

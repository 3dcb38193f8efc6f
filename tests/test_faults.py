"""The campaigns in short: each kind of fault once, and some nonsense, in every run."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
pytestmark = [
    pytest.mark.xdist_group("scripts"),
    pytest.mark.skipif(os.name == "nt", reason="pseudo-terminals are a POSIX thing"),
]


def run(script: str, *arguments: str, home: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, str(ROOT / "scripts" / script), *arguments],
        capture_output=True,
        text=True,
        timeout=600,
        cwd=home,
        env={
            **os.environ,
            "PYTHONPATH": os.pathsep.join((os.environ["PYTHONPATH"], str(ROOT))),
        },
        check=False,
    )


def test_faults_in_real_sessions_lose_nothing(tmp_path: Path) -> None:
    """Killed, told to end, stopped, cut off from its terminal, its file replaced and
    gone: the table counts no hold lost, no process left, no damage unsaid."""
    faults = "SIGKILL;SIGTERM twice;SIGSTOP, SIGCONT;terminal closed;replaced;deleted"
    done = run(
        *("faults.py", "--runs", "1", "--front", "plain", "--jobs", "6"),
        *("--only", faults),
        home=tmp_path,
    )

    assert 0 == done.returncode, done.stdout + done.stderr
    head, *rows = done.stdout.splitlines()
    assert {"fault", "lost", "orphans", "integrity"} <= set(head.split())
    assert 6 == len(rows)


def test_killed_half_way_it_is_whole_or_not_at_all(tmp_path: Path) -> None:
    """The longest migration, an import, a restore: the rows are those before or those
    after, wherever the kill comes."""
    works = ("migration from m001", "import", "restore")
    done = run("kills.py", "--kills", "6", *works, home=tmp_path)

    assert 0 == done.returncode, done.stdout + done.stderr
    assert set(works) <= {line[:22].strip() for line in done.stdout.splitlines()}


def test_nonsense_is_answered_in_sentences(tmp_path: Path) -> None:
    """Documents, settings and damaged files break nothing of ours."""
    done = run(
        *("fuzz.py", "--minutes", "0", "--examples", "6"),
        *("documents", "plans", "settings", "damaged"),
        home=tmp_path,
    )

    assert 0 == done.returncode, done.stdout + done.stderr
    assert 5 == len(done.stdout.splitlines())

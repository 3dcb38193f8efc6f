"""What the tests of sound share: the scripts as modules, a clean process table."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

# The makers and measurers are scripts, not part of the package.
sys.path.append(str(Path(__file__).resolve().parents[2] / "scripts"))


@pytest.fixture
def children() -> Iterator[None]:
    """Fail a test that leaves a child process behind, dead or alive."""
    before = child_pids()
    yield
    assert before >= child_pids()


def child_pids() -> set[int]:
    """Give the process numbers of all our children, zombies among them (Linux)."""
    found = set()
    for stat in Path("/proc").glob("[0-9]*/stat"):
        try:
            fields = stat.read_text().rpartition(")")[2].split()
        except OSError:
            continue
        if int(fields[1]) == os.getpid():
            found.add(int(stat.parent.name))
    return found

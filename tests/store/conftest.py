"""A real data file for each test, without a row."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.new_files import new_store
from tests.store.makers import Makers
from trainer.core.clock import ManualClock
from trainer.store import Store


@pytest.fixture
def clock() -> ManualClock:
    return ManualClock()


@pytest.fixture
def make(clock: ManualClock) -> Makers:
    return Makers(clock)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "data" / "log.db"


@pytest.fixture
def store(path: Path, clock: ManualClock) -> Iterator[Store]:
    with new_store(path, clock) as opened:
        yield opened


@pytest.fixture
def other(tmp_path: Path, clock: ManualClock) -> Iterator[Store]:
    """Another machine's data file."""
    with new_store(tmp_path / "other" / "log.db", clock) as opened:
        yield opened

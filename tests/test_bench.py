"""The bench's own arithmetic and its steady rows; its times are claimed nowhere."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path
from types import ModuleType

import pytest

SCRIPTS = Path(__file__).parent.parent / "scripts"


@pytest.fixture(autouse=True)
def _beside_each_other(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let a script import those that lie beside it, as when it is run."""
    monkeypatch.syspath_prepend(str(SCRIPTS))


def script(name: str) -> ModuleType:
    """Load a script by its file."""
    spec = importlib.util.spec_from_file_location(name, SCRIPTS / f"{name}.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    # A dataclass looks its own module up.
    sys.modules[name] = module
    spec.loader.exec_module(module)
    return module


def test_an_hour_of_uneven_looks_leaves_no_drift() -> None:
    """Every hold begins when the plan says: phases are chained by deadlines."""
    assert script("bench_phases").drift_s() == pytest.approx(0, abs=1e-9)


def test_a_goal_is_judged_row_by_row() -> None:
    """At the goal it is met, above it not; the row says so in a word."""
    bench = script("bench")
    rows = [bench.ratio_row("x", "", "", ratio, 1.5) for ratio in (1.5, 1.51)]
    limits = [bench.limit_row("x", ms, 5) for ms in (5, 5.1, float("nan"))]

    assert ["yes", "NO"] == [row.met for row in rows]
    assert ["yes", "NO", "NO"] == [row.met for row in limits]
    assert bench.row_text(rows[1]).endswith("≤ 1.5 ×  NO")

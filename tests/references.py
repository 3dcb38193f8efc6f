"""The large libraries that figures are checked against, each loaded at its first use.

Together they take a second and a half to load. Every worker reads every test's module;
only the one that runs these tests is to pay for it, so they are one group.
"""

from __future__ import annotations

from importlib import import_module
from importlib.resources import files
from typing import Any

import pytest

in_one_worker = pytest.mark.xdist_group("references")


class _Library:
    """Stands for a module until something of it is asked for."""

    def __init__(self, name: str) -> None:
        self._name = name

    def __getattr__(self, attribute: str) -> Any:
        if attribute.startswith("_"):  # pytest asks whatever a module has what it is
            raise AttributeError(attribute)
        return getattr(import_module(self._name), attribute)


def data_of_scipy(folder: str, name: str) -> list[str]:
    """Read the lines of a file of data that scipy's own tests bring along."""
    return (
        (files("scipy.stats.tests") / "data" / folder / name).read_text().splitlines()
    )


ndimage: Any = _Library("scipy.ndimage")
nile: Any = _Library("statsmodels.datasets.nile")
pandas: Any = _Library("pandas")
pyloudnorm: Any = _Library("pyloudnorm")
pymannkendall: Any = _Library("pymannkendall")
signal: Any = _Library("scipy.signal")
stats: Any = _Library("scipy.stats")
structural: Any = _Library("statsmodels.tsa.statespace.structural")

"""The README's pictures say what the program shows today."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path
from types import ModuleType

import pytest

ROOT = Path(__file__).parent.parent
PICTURES = ROOT / "scripts" / "pictures"


def _draw() -> ModuleType:
    spec = importlib.util.spec_from_file_location("draw", PICTURES / "draw.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules["draw"] = module
    spec.loader.exec_module(module)
    return module


draw = _draw()


@pytest.mark.parametrize("name", draw.PICTURES)
async def test_a_picture_is_up_to_date(name: str) -> None:
    """Its words are those of the screen; if not, run ``scripts/pictures/draw.py``."""
    kept = (PICTURES / f"{name}.svg").read_text(encoding="utf-8")

    assert draw.said(await draw.DRAWN[name]()) == draw.said(kept)
    assert f"scripts/pictures/{name}.svg" in (ROOT / "README.md").read_text("utf-8")


@pytest.mark.parametrize("name", draw.PICTURES)
def test_a_picture_fetches_nothing_and_needs_no_font(name: str) -> None:
    """It looks the same wherever it is shown: what fonts draw differently are paths."""
    kept = (PICTURES / f"{name}.svg").read_text(encoding="utf-8")

    assert "http" not in kept.replace("http://www.w3.org/", "")
    assert "url(http" not in kept
    assert not any(
        0x2580 <= ord(char) <= 0x259F or ord(char) >= 0x2800 for char in kept
    )

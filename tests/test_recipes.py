"""The recipes of DEVELOPERS.md are true: each is followed on a copy."""

from __future__ import annotations

import importlib.util
import re
import sys
from pathlib import Path
from types import ModuleType

import pytest

ROOT = Path(__file__).parent.parent


def _recipes() -> ModuleType:
    path = ROOT / "scripts" / "recipes.py"
    spec = importlib.util.spec_from_file_location("recipes", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules["recipes"] = module
    spec.loader.exec_module(module)
    return module


recipes = _recipes()


def named_files(recipe: str) -> set[str]:
    """Give the files that DEVELOPERS.md names in a recipe, from the checkout's root."""
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    title = f"**{recipe[0].upper()}{recipe[1:]}.**"
    (paragraph,) = re.findall(re.escape(title) + r"(.*?)\n\n", text, re.S)
    names = re.findall(r"`([\w/.-]+\.(?:py|sql|json|wav|md|css|j2))`", paragraph)
    top = ("tests/", "sounds/", "scripts/", "README")
    paths = {name if name.startswith(top) else f"trainer/{name}" for name in names}
    return {path for path in paths if not path.startswith("scripts/")}


@pytest.mark.parametrize("name", list(recipes.RECIPES))
def test_a_recipe_touches_what_it_says_and_works(name: str, tmp_path: Path) -> None:
    """Done as written on a copy, it shows what was added, and touches no other file."""
    copy = recipes.copy_of(ROOT, tmp_path)

    recipes.RECIPES[name].follow(copy)

    assert named_files(name) == set(copy.touched)

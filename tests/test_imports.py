"""The import law: who may load what, read from the source and seen at run time."""

from __future__ import annotations

import ast
import json
import subprocess
import sys
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parent.parent / "trainer"

ONLY_IN = {
    "textual": ("trainer.tui",),
    "sqlite_utils": ("trainer.store.schema",),
    "simpleaudio": ("trainer.sound.engines",),
    "miniaudio": ("trainer.sound.engines",),
    "jinja2": ("trainer.report",),
    "click": ("trainer.cli",),
    "tomlkit": ("trainer.settings.settings", "trainer.plan_file"),
    "platformdirs": ("trainer.settings.paths",),
    "PIL": ("trainer.photo",),
}
"""Other people's packages, and the only places of ours that may load them."""
CLOCKS = {("time", "time"), ("time", "monotonic"), ("time", "perf_counter")} | {
    (kind, name) for kind in ("datetime", "date") for name in ("now", "today", "utcnow")
}


@cache
def modules() -> list[tuple[str, ast.Module]]:
    """Read the package: (module's name, its tree), in order."""
    found = []
    for path in sorted(PACKAGE.rglob("*.py")):
        parts = path.relative_to(PACKAGE.parent).with_suffix("").parts
        name = ".".join(parts).removesuffix(".__init__")
        found.append((name, ast.parse(path.read_text(encoding="utf-8"))))
    return found


def imports(tree: ast.Module) -> Iterator[str]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            yield node.module


def test_each_package_of_others_is_loaded_in_one_place() -> None:
    """Only the named module or package of ours imports each third-party package."""
    strays = [
        (module, imported)
        for module, tree in modules()
        for imported in imports(tree)
        for package, homes in ONLY_IN.items()
        if imported.partition(".")[0] == package
        and not any(module == home or module.startswith(home + ".") for home in homes)
    ]

    assert [] == strays


def test_the_core_imports_the_standard_library_and_itself() -> None:
    """``trainer.core`` needs nothing else, so it can be read and tested alone."""
    strays = [
        (module, imported)
        for module, tree in modules()
        if module.startswith("trainer.core")
        for imported in imports(tree)
        if not imported.startswith("trainer.core")
        and imported.partition(".")[0] not in sys.stdlib_module_names
    ]

    assert [] == strays


def test_only_the_system_clock_reads_a_clock() -> None:
    """No module but ``core.clock`` calls time.time, monotonic, now or today."""
    strays = [
        (module, f"{node.value.id}.{node.attr}")
        for module, tree in modules()
        if module not in ("trainer.core.clock", "trainer.sound.worker")
        for node in ast.walk(tree)
        if isinstance(node, ast.Attribute)
        and isinstance(node.value, ast.Name)
        and (node.value.id, node.attr) in CLOCKS
    ]

    assert [] == strays


def test_nobody_prints_past_the_two_writers() -> None:
    """``print`` is called in ``cli.output`` and ``cli.diagnostics`` alone."""
    strays = [
        module
        for module, tree in modules()
        if module not in ("trainer.cli.output", "trainer.cli.diagnostics")
        for node in ast.walk(tree)
        if isinstance(node, ast.Call)
        and isinstance(node.func, ast.Name)
        and node.func.id == "print"
    ]

    assert [] == strays


def drawn(trees: dict[str, ast.Module]) -> dict[str, set[str]]:
    """Draw who imports whom, at the top of a module or inside a function."""
    arrows: dict[str, set[str]] = {}
    for module, tree in trees.items():
        named: set[str] = set()
        for node in ast.walk(tree):
            if isinstance(node, ast.Import):
                named |= {alias.name for alias in node.names}
            elif isinstance(node, ast.ImportFrom) and node.module:
                inner = {f"{node.module}.{alias.name}" for alias in node.names}
                named |= (inner & trees.keys()) or {node.module}
        arrows[module] = (named & trees.keys()) - {module}
    return arrows


def in_circles(arrows: dict[str, set[str]]) -> list[str]:
    """Take away what nobody left imports, or what imports nobody left, until it stays.

    What is left leads round in a circle, or from one circle to another.
    """
    left = set(arrows)
    while True:
        inward = {to for module in left for to in arrows[module]}
        free = {m for m in left if m not in inward or not arrows[m] & left}
        if not free:
            return sorted(left)
        left -= free


def test_nothing_imports_in_a_circle() -> None:
    """No module of the package or of the scripts reaches itself, however late, not for
    the names of its types either."""
    scripts = PACKAGE.parent / "scripts"
    trees = dict(modules()) | {
        path.stem: ast.parse(path.read_text(encoding="utf-8"))
        for path in scripts.glob("*.py")
    }

    assert [] == in_circles(drawn(trees))
    late = {"a": ast.parse("def f():\n    import b"), "b": ast.parse("import a")}
    assert ["a", "b"] == in_circles(drawn(late))


def test_only_the_command_line_opens_the_full_screen_program() -> None:
    """No page imports ``tui.app``: pages open each other through ``tui.door``."""
    importers = {
        module
        for module, to in drawn(dict(modules())).items()
        if "trainer.tui.app" in to
    }

    assert {"trainer.cli.session"} == importers


LOADED = """
import io, json, sys
from contextlib import redirect_stdout
from trainer.cli.main import main
with redirect_stdout(io.StringIO()):
    code = main(sys.argv[1:])
print(json.dumps([int(code), sorted(name.partition(".")[0] for name in sys.modules)]))
"""


def loaded_by(*arguments: str) -> tuple[int, set[str]]:
    result = subprocess.run(
        [sys.executable, "-c", LOADED, *arguments],
        capture_output=True,
        text=True,
        check=True,
        timeout=60,
    )
    code, names = json.loads(result.stdout)
    return code, set(names)


@pytest.mark.parametrize(
    "arguments", [["--help"], ["--version"], ["add", "--help"], ["session", "--help"]]
)
def test_help_loads_neither_textual_nor_sqlite_utils(arguments: list[str]) -> None:
    """Asking for help or the version starts nothing heavy."""
    code, names = loaded_by(*arguments)

    assert 0 == code
    heavy = {"textual", "rich", "sqlite_utils", "numpy", "simpleaudio", "miniaudio"}
    assert set() == names & heavy


@pytest.mark.parametrize("arguments", [["plan", "show"], ["data", "path"]])
def test_commands_do_not_load_the_screens(arguments: list[str]) -> None:
    """A command that prints loads no Textual."""
    code, names = loaded_by(*arguments)

    assert 0 == code
    assert set() == names & {"textual", "rich"}


def test_a_log_that_is_there_is_read_without_what_makes_one(tmp_path: Path) -> None:
    """sqlite_utils is loaded to make or migrate a file, and for nothing else."""
    log = ["--db", str(tmp_path / "log.db")]
    made, while_made = loaded_by(*log, "add", "hang", "--held", "30")
    read, while_read = loaded_by(*log, "next", "--json")

    assert (0, 0) == (made, read)
    assert "sqlite_utils" in while_made
    assert "sqlite_utils" not in while_read


def test_no_settings_file_needs_no_reader_of_one(tmp_path: Path) -> None:
    """Where no settings were written, the defaults come without a TOML parser."""
    code = (
        "import sys; from pathlib import Path\n"
        "from trainer.settings.settings import read_settings\n"
        "read_settings(Path(sys.argv[1])); print('tomllib' in sys.modules)"
    )
    result = subprocess.run(
        [sys.executable, "-c", code, str(tmp_path / "settings.toml")],
        capture_output=True,
        text=True,
        check=True,
        timeout=60,
    )

    assert "False" == result.stdout.strip()


def test_the_package_root_loads_nothing() -> None:
    """``import trainer`` costs nothing until something is used."""
    result = subprocess.run(
        [
            sys.executable,
            "-c",
            "import sys, trainer; print([m for m in sys.modules if 'trainer.' in m])",
        ],
        capture_output=True,
        text=True,
        check=True,
        timeout=60,
    )

    assert "[]" == result.stdout.strip()

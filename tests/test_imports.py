"""The import law: who may load what, read from the source and seen at run time."""

from __future__ import annotations

import ast
import json
import subprocess
import sys
from collections.abc import Iterable, Iterator
from pathlib import Path

import pytest

from tests.source import Module, modules, taken_apart

SCRIPTS = Path(__file__).parent.parent / "scripts"
# Read by one worker, once.
of_the_source = pytest.mark.xdist_group("source")

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


def imports(module: Module) -> Iterator[str]:
    for node in module.each(ast.Import):
        yield from (alias.name for alias in node.names)
    for origin in module.each(ast.ImportFrom):
        if origin.module:
            yield origin.module


@of_the_source
def test_each_package_of_others_is_loaded_in_one_place() -> None:
    """Only the named module or package of ours imports each third-party package."""
    strays = [
        (module.name, imported)
        for module in modules()
        for imported in imports(module)
        for package, homes in ONLY_IN.items()
        if imported.partition(".")[0] == package
        and not any(f"{module.name}.".startswith(f"{home}.") for home in homes)
    ]

    assert [] == strays


@of_the_source
def test_the_core_imports_the_standard_library_and_itself() -> None:
    """``trainer.core`` needs nothing else, so it can be read and tested alone."""
    strays = [
        (module.name, imported)
        for module in modules()
        if module.name.startswith("trainer.core")
        for imported in imports(module)
        if not imported.startswith("trainer.core")
        and imported.partition(".")[0] not in sys.stdlib_module_names
    ]

    assert [] == strays


@of_the_source
def test_only_the_system_clock_reads_a_clock() -> None:
    """No module but ``core.clock`` calls time.time, monotonic, now or today."""
    strays = [
        (module.name, f"{node.value.id}.{node.attr}")
        for module in modules()
        if module.name not in ("trainer.core.clock", "trainer.sound.worker")
        for node in module.each(ast.Attribute)
        if isinstance(node.value, ast.Name) and (node.value.id, node.attr) in CLOCKS
    ]

    assert [] == strays


@of_the_source
def test_nobody_prints_past_the_two_writers() -> None:
    """``print`` is called in ``cli.output`` and ``cli.diagnostics`` alone."""
    strays = [
        module.name
        for module in modules()
        if module.name not in ("trainer.cli.output", "trainer.cli.diagnostics")
        for node in module.each(ast.Call)
        if isinstance(node.func, ast.Name) and node.func.id == "print"
    ]

    assert [] == strays


def drawn(read: Iterable[Module]) -> dict[str, set[str]]:
    """Draw who imports whom, at the top of a module or inside a function."""
    arrows: dict[str, set[str]] = {}
    known = {module.name: module for module in read}
    for name, module in known.items():
        named = {alias.name for node in module.each(ast.Import) for alias in node.names}
        for node in module.each(ast.ImportFrom):
            if node.module:
                inner = {f"{node.module}.{alias.name}" for alias in node.names}
                named |= (inner & known.keys()) or {node.module}
        arrows[name] = (named & known.keys()) - {name}
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


@of_the_source
def test_nothing_imports_in_a_circle() -> None:
    """No module of the package or of the scripts reaches itself, however late, not for
    the names of its types either."""
    scripts = [
        taken_apart(path.read_text(encoding="utf-8"), name=path.stem)
        for path in SCRIPTS.glob("*.py")
    ]

    assert [] == in_circles(drawn([*modules(), *scripts]))
    late = taken_apart("def f():\n    import b", name="a")
    assert ["a", "b"] == in_circles(drawn([late, taken_apart("import a", name="b")]))


@of_the_source
def test_only_the_command_line_opens_the_full_screen_program() -> None:
    """No page imports ``tui.app``: pages open each other through ``tui.door``."""
    importers = {
        module for module, to in drawn(modules()).items() if "trainer.tui.app" in to
    }

    assert {"trainer.cli.session"} == importers


LOADED = """
import io, json, sys
from contextlib import redirect_stdout
tried = set()
class NotHere:
    # Comes with the tests alone, and is slow to load: to have asked for it is enough.
    def find_spec(name, path=None, target=None):
        if name in ("numpy", "pandas"):
            tried.add(name)
            raise ModuleNotFoundError(name)
sys.meta_path.insert(0, NotHere)
from trainer.cli.main import main
with redirect_stdout(io.StringIO()):
    code = main(sys.argv[1:])
loaded = tried | {name.partition(".")[0] for name in sys.modules}
print(json.dumps([int(code), sorted(loaded)]))
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

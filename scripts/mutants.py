"""Change the core in small ways, one at a time, and see whether a test notices.

    python scripts/mutants.py COUNT [--seed N] [--log FILE] [--only PART] [--again]

Each mutant differs in one operator, one number, one truth value or one call of ``min``
and ``max`` from the module it was made of. First the quick tests of its room are run
once, and it is noted which of them come by each line; then a mutant is tried with the
tests that come by its line, the quickest first, in a process that has everything else
loaded already. A mutant that none of them notices is tried with all quick tests of the
room, and then with the thorough ones. One that still isn't noticed has survived, and is
printed with its line, unless ``mutants.toml`` names it as equal and says why. What was
tried stands in the log, so that a campaign goes on where it was stopped; with
``--again`` those that survived are tried anew, but for the equal ones.

A mutant is known by its line's text and by what is changed in it. A seed puts them in
an order that other lines have no part in: a campaign goes on over tests that were
added, and over lines that were mended, with the same mutants.

A script of our own: the registry's tools start the tests anew for each mutant, with the
libraries that they are checked against, which takes longer than the tests. It is
general, and knows nothing of what it changes. Needs a system that can fork.
"""

from __future__ import annotations

import argparse
import ast
import hashlib
import importlib
import importlib.abc
import importlib.machinery
import importlib.util
import json
import os
import pickle
import resource
import shutil
import sys
import tempfile
import time
import tomllib
from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, field
from pathlib import Path
from types import CodeType, ModuleType

import coverage
import pytest

ROOT = Path(__file__).parents[1]
EQUAL = Path(__file__).with_name("mutants.toml")
"""Mutants that do the same as what they were made of, each with the reason."""


@dataclass(frozen=True)
class Room:
    """A folder of the core that is changed, and the tests that should notice."""

    name: str
    quick: tuple[str, ...]
    """Of these it is noted which lines they come by."""
    thorough: tuple[str, ...]
    """These are tried on what no quick one notices."""


NEXT_WEEK = tuple(
    f"tests/core/next_week/test_{name}.py"
    for name in ("rules", "edges", "ladder", "texts")
)
SESSION = "tests/core/session"
ROOMS = (
    Room(
        "next_week",
        NEXT_WEEK,
        tuple(
            f"tests/core/next_week/test_{name}.py"
            for name in ("sentences", "properties")
        ),
    ),
    Room("capacity", ("tests/core/capacity",), NEXT_WEEK),
    Room(
        "review",
        ("tests/core/review",),
        ("tests/cli/test_review.py", "tests/report/test_page.py"),
    ),
    Room(
        "session",
        tuple(
            f"{SESSION}/test_{name}.py"
            for name in ("machine", "answers", "program", "clearance", "instants")
        ),
        (f"{SESSION}/test_properties.py",),
    ),
)
QUIET = (
    "-q",
    "-x",
    "--tb=no",
    "-pno:cacheprovider",
    "-pno:xdist",
    "--hypothesis-profile=mutants",
)
SECONDS = 20
"""A mutant that takes so much longer than its tests, on the processor, hangs."""
THOROUGH_S = 120
"""So long the thorough tests may take."""
SLOWER = 4
"""And so many times as long as they took while it was noted what they come by."""
PASSED, FAILED, INTERRUPTED = 0, 1, 2
"""Exit codes of pytest: interrupted is a module that can't even be imported."""

COMPARED: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.LtE,
    ast.LtE: ast.Lt,
    ast.Gt: ast.GtE,
    ast.GtE: ast.Gt,
    ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq,
    ast.Is: ast.IsNot,
    ast.IsNot: ast.Is,
    ast.In: ast.NotIn,
    ast.NotIn: ast.In,
}
RECKONED: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
}
SWAPPED = {"min": "max", "max": "min", "any": "all", "all": "any"}


@dataclass(frozen=True)
class Mutant:
    """One small change."""

    path: str
    line: int
    text: str
    """The line, without the space around it."""
    what: str
    twin: int
    """How many changes alike the module has before it: same text, same change."""
    nth: int
    """Which of the module's changes it is."""

    @property
    def key(self) -> Key:
        """What it is known by, wherever its line stands in the module."""
        return self.path, self.text, self.what, self.twin


Key = tuple[str, str, str, int]


def changes(tree: ast.Module) -> Iterator[tuple[int, str, ast.AST]]:
    """Make each change of TREE in turn and undo it; give its line and what it is.

    Decorators are left alone, which declare how a thing is kept and not what it does,
    and so is ``zip``'s *strict*, which no right program ever comes to feel.
    """
    declared = {
        part
        for node in ast.walk(tree)
        if isinstance(node, ast.ClassDef | ast.FunctionDef)
        for decorator in node.decorator_list
        for part in ast.walk(decorator)
    }
    declared |= {
        node.value
        for node in ast.walk(tree)
        if isinstance(node, ast.keyword) and node.arg == "strict"
    }
    for node in ast.walk(tree):
        if node in declared:
            continue
        if isinstance(node, ast.Compare):
            for place, old in enumerate(node.ops):
                node.ops[place] = COMPARED[type(old)]()
                yield node.lineno, f"{_name(old)} to {_name(node.ops[place])}", node
                node.ops[place] = old
        elif isinstance(node, ast.BinOp) and type(node.op) in RECKONED:
            old_op = node.op
            node.op = RECKONED[type(old_op)]()
            yield node.lineno, f"{_name(old_op)} to {_name(node.op)}", node
            node.op = old_op
        elif isinstance(node, ast.BoolOp):
            old_bool = node.op
            node.op = ast.Or() if isinstance(old_bool, ast.And) else ast.And()
            yield node.lineno, f"{_name(old_bool)} to {_name(node.op)}", node
            node.op = old_bool
        elif isinstance(node, ast.Constant) and type(node.value) in (int, float, bool):
            value = node.value
            node.value = not value if isinstance(value, bool) else value + 1
            yield node.lineno, f"{value} to {node.value}", node
            node.value = value
        elif isinstance(node, ast.Name) and node.id in SWAPPED:
            name = node.id
            node.id = SWAPPED[name]
            yield node.lineno, f"{name} to {node.id}", node
            node.id = name


def _name(node: ast.AST) -> str:
    return type(node).__name__


def candidates(part: str) -> list[Mutant]:
    """List every change that can be made in the rooms, where the path holds PART."""
    found = []
    for room in ROOMS:
        for path in sorted((ROOT / "trainer/core" / room.name).glob("*.py")):
            name = path.relative_to(ROOT).as_posix()
            if part in name:
                found += list(_mutants_of(name, path.read_text(encoding="utf-8")))
    return found


def _mutants_of(name: str, source: str) -> Iterator[Mutant]:
    lines = source.splitlines()
    alike: Counter[tuple[str, str]] = Counter()
    for nth, (line, what, _) in enumerate(changes(ast.parse(source))):
        text = lines[line - 1].strip()
        yield Mutant(name, line, text, what, alike[text, what], nth)
        alike[text, what] += 1


def in_order(mutants: Iterable[Mutant], seed: int) -> list[Mutant]:
    """Put MUTANTS in the order of SEED; others in between don't change it."""

    def place(mutant: Mutant) -> bytes:
        return hashlib.sha256(repr((seed, mutant.key)).encode()).digest()

    return sorted(mutants, key=place)


def read_equal(mutants: Iterable[Mutant]) -> dict[Key, str]:
    """Read which MUTANTS do the same as what they were made of, and why each does."""
    known = {mutant.key for mutant in mutants}
    told = tomllib.loads(EQUAL.read_text(encoding="utf-8"))["equal"]
    equal = {
        (one["path"], one["line"], one["change"], one.get("twin", 0)): one["why"]
        for one in told
    }
    for key in equal.keys() - known:
        raise SystemExit(f"{EQUAL.name} names a change that can't be made: {key}")
    return equal


def mutated(mutant: Mutant) -> CodeType:
    """Return the module with that change."""
    path = Path(mutant.path)
    tree = ast.parse(path.read_text(encoding="utf-8"))
    for nth, _ in enumerate(changes(tree)):
        if nth == mutant.nth:
            return compile(tree, str(path.resolve()), "exec")
    raise LookupError(f"no change {mutant.nth} in {mutant.path}")


class Changed(importlib.abc.MetaPathFinder, importlib.machinery.SourceFileLoader):
    """Finds one module as the mutant has it."""

    def __init__(self, mutant: Mutant) -> None:
        name = mutant.path.removesuffix(".py").replace("/", ".")
        super().__init__(name, str(Path(mutant.path).resolve()))
        self._code = mutated(mutant)

    def find_spec(
        self, fullname: str, path: object, target: object = None
    ) -> importlib.machinery.ModuleSpec | None:
        """Find the module that was changed, and leave all others to others."""
        if fullname != self.name:
            return None
        return importlib.util.spec_from_file_location(fullname, self.path, loader=self)

    def get_code(self, fullname: str) -> CodeType:
        """Return the changed code, which is never written to a cache."""
        return self._code


@dataclass
class Survey:
    """Which tests come by which lines, and how long each takes on the processor."""

    by_line: dict[tuple[str, int], set[str]] = field(default_factory=dict)
    """Path and line. Lines of a module outside of its functions aren't in it."""
    took_s: dict[str, float] = field(default_factory=dict)
    loaded: list[str] = field(default_factory=list)
    """The libraries that the tests load."""

    def quickest_first(self, tests: Iterable[str]) -> list[str]:
        """Order tests by the time that they took."""
        return sorted(tests, key=lambda test: (self.took_s[test], test))


class _Noting:
    """A plugin that tells coverage which test runs, with nothing remembered."""

    def __init__(self, cover: coverage.Coverage) -> None:
        self.cover = cover
        self.took_s: dict[str, float] = {}
        self.begun_s = 0.0

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_setup(self, item: pytest.Item) -> Iterator[None]:
        _forget()
        self.begun_s = time.process_time()
        self.cover.switch_context(f"{item.nodeid}|setup")
        return (yield)

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_call(self, item: pytest.Item) -> Iterator[None]:
        self.cover.switch_context(f"{item.nodeid}|call")
        return (yield)

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_teardown(self, item: pytest.Item) -> Iterator[None]:
        self.cover.switch_context("")
        self.took_s[item.nodeid] = time.process_time() - self.begun_s
        return (yield)


def _forget() -> None:
    """Empty what functions remember, so that each test comes by all of its lines."""
    for name, module in list(sys.modules.items()):
        if name.startswith("trainer."):
            for value in list(vars(module).values()):
                clear = getattr(value, "cache_clear", None)
                if clear is not None:
                    clear()


def survey(room: Room) -> Survey:
    """Run the quick tests of a room once and note what they come by.

    What a fixture came by counts for all tests of its file, which may share it.
    """
    cover = coverage.Coverage(data_file=None, source=[f"trainer/core/{room.name}"])
    noting = _Noting(cover)
    cover.start()
    if pytest.main([*QUIET, *room.quick], plugins=[noting]) != PASSED:
        raise SystemExit("The tests fail as they are: nothing to be learned.")
    cover.stop()
    found = Survey(took_s=dict(noting.took_s))
    of_file: dict[str, set[str]] = defaultdict(set)
    for test in found.took_s:
        of_file[test.partition("::")[0]].add(test)
    data = cover.get_data()
    for file in data.measured_files():
        name = Path(file).relative_to(Path.cwd()).as_posix()
        for line, contexts in data.contexts_by_lineno(file).items():
            tests: set[str] = set()
            for context in filter(None, contexts):
                test, _, phase = context.rpartition("|")
                alone = phase == "call"
                tests |= {test} if alone else of_file[test.partition("::")[0]]
            if tests:
                found.by_line[name, line] = tests
    found.loaded = [name for name, module in sys.modules.items() if _is_other(module)]
    return found


def _is_other(module: ModuleType) -> bool:
    """Tell whether a module is a library: what is ours would bring its fellows along.

    A script of ours that a test loads imports the core; and a core that was loaded
    before its change is never changed.
    """
    if module.__name__ == "__main__" or not getattr(module, "__spec__", None):
        return False
    file = getattr(module, "__file__", None)
    return file is None or not Path(file).is_relative_to(Path.cwd())


def in_a_child(work: Callable[[], int], *, limit_s: float = 0) -> int:
    """Do WORK in a process of its own, silent; return its code, or -1 over the limit.

    LIMIT_S is in seconds of the processor; 0: none.
    """
    sys.stdout.flush()
    child = os.fork()
    if child == 0:
        code = 70
        try:
            if limit_s:
                whole = int(limit_s) + 1
                resource.setrlimit(resource.RLIMIT_CPU, (whole, whole))
            nowhere = os.open(os.devnull, os.O_WRONLY)
            os.dup2(nowhere, 1)
            os.dup2(nowhere, 2)
            code = work()
        finally:
            os._exit(code)
    _, status = os.waitpid(child, 0)
    return os.waitstatus_to_exitcode(status) if os.WIFEXITED(status) else -1


def notices(mutant: Mutant, tests: Sequence[str], limit_s: float) -> bool:
    """Tell whether one of TESTS notices the change."""

    def run(names: Sequence[str]) -> int:
        sys.meta_path.insert(0, Changed(mutant))
        return int(pytest.main([*QUIET, *names]))

    code = in_a_child(lambda: run(tests), limit_s=limit_s)
    if code not in (PASSED, FAILED, INTERRUPTED, -1):
        # A test that isn't there: the change is in what names it.
        files = list(dict.fromkeys(test.partition("::")[0] for test in tests))
        code = in_a_child(lambda: run(files), limit_s=10 * limit_s)
    return code != PASSED


def try_it(mutant: Mutant, room: Room, known: Survey) -> bool:
    """Tell whether a test notices the change."""
    near = known.by_line.get((mutant.path, mutant.line), set())
    for tests in (near, known.took_s.keys() - near):
        if tests:
            limit_s = SECONDS + SLOWER * sum(known.took_s[test] for test in tests)
            if notices(mutant, known.quickest_first(tests), limit_s):
                return True
    return notices(mutant, room.thorough, THOROUGH_S)


def read_log(log: Path) -> dict[Key, bool]:
    """Read which mutants were tried before, and whether each was noticed."""
    if not log.exists():
        return {}
    lines = [json.loads(line) for line in log.read_text(encoding="utf-8").splitlines()]
    return {
        (one["path"], one["text"], one["what"], one["twin"]): one["noticed"]
        for one in lines
    }


def campaign(
    chosen: Sequence[Mutant], tried: dict[Key, bool], *, log: Path
) -> list[bool]:
    """Try the CHOSEN mutants, those TRIED not again, and tell what came of all."""
    if all(mutant.key in tried for mutant in chosen):
        return [tried[mutant.key] for mutant in chosen]
    rooms = {room.name: room for room in ROOMS}
    known: dict[str, Survey] = {}
    for mutant in chosen:
        if mutant.key in tried:
            continue
        name = mutant.path.split("/")[2]
        if name not in known:
            known[name] = _surveyed(rooms[name], log)
        begun = time.monotonic()
        noticed = try_it(mutant, rooms[name], known[name])
        tried[mutant.key] = noticed
        with log.open("a", encoding="utf-8") as out:
            out.write(json.dumps(asdict(mutant) | {"noticed": noticed}) + "\n")
        word = "noticed " if noticed else "SURVIVED"
        took_s = time.monotonic() - begun
        print(
            f"{word} {took_s:5.1f} s {mutant.path}:{mutant.line} {mutant.what}",
            flush=True,
        )
    return [tried[mutant.key] for mutant in chosen]


def _surveyed(room: Room, log: Path) -> Survey:
    """Make the survey in a process of its own, and load here what it had to load.

    It stands beside the log, for as long as the room and its tests are what they were.
    """
    files = [*Path(f"trainer/core/{room.name}").glob("*.py")]
    for test in map(Path, room.quick):
        files += [*test.glob("*.py")] if test.is_dir() else [test]
    print_of = hashlib.sha256(b"".join(path.read_bytes() for path in sorted(files)))
    place = log.with_name(f"{log.stem}-{print_of.hexdigest()[:16]}.survey")

    def work() -> int:
        place.write_bytes(pickle.dumps(survey(room)))
        return 0

    if not place.exists() and in_a_child(work) != 0:
        raise SystemExit("The tests fail as they are: nothing to be learned.")
    known: Survey = pickle.loads(place.read_bytes())
    for name in known.loaded:
        try:
            importlib.import_module(name)
        except ImportError:
            continue  # Made at run time: the child makes it anew.
    if any(name.partition(".")[0] == "trainer" for name in sys.modules):
        raise SystemExit("The core is loaded already: no change would be seen.")
    took_s = sum(known.took_s.values())
    print(f"{room.name}: {len(known.took_s)} tests, {took_s:.0f} s", flush=True)
    return known


def main() -> None:
    """Read the command line and run the campaign on a copy of the tree."""
    parser = argparse.ArgumentParser(description="See whether tests notice changes.")
    parser.add_argument("count", type=int)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--log", type=Path, default=Path("mutants.jsonl"))
    parser.add_argument("--only", default="", metavar="PART")
    parser.add_argument("--again", action="store_true")
    given = parser.parse_args()
    could = in_order(candidates(given.only), given.seed)
    equal = read_equal(candidates(""))
    chosen, log = could[: given.count], given.log.resolve()
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder).resolve() / "tree"
        without = shutil.ignore_patterns(".git", ".venv", "__pycache__", ".hypothesis")
        shutil.copytree(ROOT, copy, ignore=without)
        os.chdir(copy)
        sys.path.insert(0, str(copy))
        tried = read_log(log)
        if given.again:
            tried = {key: was for key, was in tried.items() if was or key in equal}
        noticed = campaign(chosen, tried, log=log)
    for line in table(chosen, noticed, equal):
        print(line)
    print(f"seed {given.seed}; {len(could)} could be made")


def table(
    chosen: Sequence[Mutant], noticed: Sequence[bool], equal: Mapping[Key, str]
) -> Iterator[str]:
    """Say which mutants survived, and how many of each room were noticed.

    The share is out of those that a test could notice.
    """
    counts: dict[str, Counter[str]] = defaultdict(Counter)
    for mutant, was in zip(chosen, noticed, strict=True):
        what = "noticed" if was else "equal" if mutant.key in equal else "survived"
        counts[mutant.path.split("/")[2]][what] += 1
        said = f"{mutant.path}:{mutant.line} {mutant.what}: {mutant.text}"
        if was and mutant.key in equal:
            yield f"said to be equal, and noticed: {said}"
        elif what == "equal":
            yield f"equal: {said}\n    {equal[mutant.key]}"
        elif what == "survived":
            yield f"survived: {said}"
    yield f"{'':<10} tried noticed equal survived share"
    rows = [*sorted(counts.items()), ("all", sum(counts.values(), Counter()))]
    for room, of_it in rows:
        could = of_it["noticed"] + of_it["survived"]
        yield (
            f"{room:<10} {of_it.total():>5} {of_it['noticed']:>7} {of_it['equal']:>5}"
            f" {of_it['survived']:>8} {of_it['noticed'] / max(1, could):>5.1%}"
        )


if __name__ == "__main__":
    main()

"""Change the core in small ways, one at a time, and see whether a test notices.

    python scripts/mutants.py COUNT [--seed N] [--log FILE] [--only PART]

Each mutant differs in one operator, one number, one truth value or one call of ``min``
and ``max`` from the module it was made of. It is tried on a copy of the tree with the
tests that are named for its room; a mutant that no test notices has survived, and is
printed with its line. What was tried stands in the log, so that a campaign goes on
where it was stopped. A seed gives the same mutants in the same order.

A script of our own, for want of time to fit one of the registry's tools to the tree: it
is general, and knows nothing of what it changes.
"""

from __future__ import annotations

import argparse
import ast
import json
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from pathlib import Path
from random import Random

ROOT = Path(__file__).parents[1]
NEXT_WEEK = ("test_rules", "test_edges", "test_ladder", "test_texts", "test_sentences")
TESTS = {
    "trainer/core/next_week": [f"tests/core/next_week/{name}.py" for name in NEXT_WEEK],
    "trainer/core/capacity": ["tests/core/capacity", "tests/core/next_week"],
    "trainer/core/review": ["tests/core/review", "tests/cli/test_review.py"],
    "trainer/core/session": ["tests/core/session"],
}
"""Each room with the tests that should notice."""
QUIET = ("-q", "-x", "-n0", "-p", "no:cacheprovider")
SECONDS = 900
"""A mutant that takes so long hangs, which is noticed too."""

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
    what: str
    nth: int
    """Which of the module's changes it is."""


def changes(tree: ast.Module) -> Iterator[tuple[int, str, ast.AST]]:
    """Make each change of TREE in turn and undo it; give its line and what it is."""
    for node in ast.walk(tree):
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
    """List every change that can be made in the rooms whose path holds PART."""
    found = []
    for room in TESTS:
        for path in sorted((ROOT / room).glob("*.py")):
            name = path.relative_to(ROOT).as_posix()
            if part in name:
                tree = ast.parse(path.read_text(encoding="utf-8"))
                found += [
                    Mutant(name, line, what, nth)
                    for nth, (line, what, _) in enumerate(changes(tree))
                ]
    return found


def mutated(mutant: Mutant) -> str:
    """Return the module's source with that change."""
    tree = ast.parse((ROOT / mutant.path).read_text(encoding="utf-8"))
    for nth, _ in enumerate(changes(tree)):
        if nth == mutant.nth:
            return ast.unparse(tree)
    raise LookupError(f"no change {mutant.nth} in {mutant.path}")


def try_it(mutant: Mutant, copy: Path) -> bool:
    """Tell whether a test notices the change, on the copy of the tree."""
    target = copy / mutant.path
    room = mutant.path.rpartition("/")[0]
    target.write_text(mutated(mutant), encoding="utf-8")
    try:
        done = subprocess.run(
            [
                sys.executable,
                "-m",
                "pytest",
                "-q",
                "-x",
                "-n0",
                "-p",
                "no:cacheprovider",
            ]
            + TESTS[room],
            cwd=copy,
            env=os.environ | {"PYTHONPATH": str(copy), "PYTHONDONTWRITEBYTECODE": "1"},
            capture_output=True,
            timeout=SECONDS,
            check=False,
        )
    except subprocess.TimeoutExpired:
        return True
    finally:
        shutil.copyfile(ROOT / mutant.path, target)
    return done.returncode != 0


def read_log(log: Path) -> dict[tuple[str, int, str], bool]:
    """Read which mutants were tried before, and whether each was noticed."""
    if not log.exists():
        return {}
    lines = [json.loads(line) for line in log.read_text(encoding="utf-8").splitlines()]
    return {(one["path"], one["nth"], one["what"]): one["noticed"] for one in lines}


def campaign(count: int, *, seed: int, log: Path, part: str) -> None:
    """Try COUNT mutants, those in the log not again, and print what came of all."""
    chosen = candidates(part)
    Random(seed).shuffle(chosen)
    tried = read_log(log)
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder) / "tree"
        without = shutil.ignore_patterns(".git", ".venv", "__pycache__", ".hypothesis")
        shutil.copytree(ROOT, copy, ignore=without)
        for mutant in chosen[:count]:
            key = mutant.path, mutant.nth, mutant.what
            if key not in tried:
                tried[key] = try_it(mutant, copy)
                with log.open("a", encoding="utf-8") as out:
                    row = asdict(mutant) | {"noticed": tried[key]}
                    out.write(json.dumps(row) + "\n")
            word = "noticed " if tried[key] else "SURVIVED"
            print(f"{word} {mutant.path}:{mutant.line} {mutant.what}", flush=True)
    mine = [tried[one.path, one.nth, one.what] for one in chosen[:count]]
    print(
        f"seed {seed}: {sum(mine)} of {len(mine)} noticed ({len(chosen)} could be made)"
    )


def main() -> None:
    """Read the command line and run the campaign."""
    parser = argparse.ArgumentParser(description="See whether tests notice changes.")
    parser.add_argument("count", type=int)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--log", type=Path, default=Path("mutants.jsonl"))
    parser.add_argument("--only", default="", metavar="PART")
    given = parser.parse_args()
    campaign(given.count, seed=given.seed, log=given.log, part=given.only)


if __name__ == "__main__":
    main()

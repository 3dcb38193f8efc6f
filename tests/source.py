"""The package's own source, parsed and walked once for all who read it."""

from __future__ import annotations

import ast
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import TypeVar

import trainer

PACKAGE = Path(trainer.__file__).parent

Kind = TypeVar("Kind", bound=ast.AST)


@dataclass(frozen=True)
class Module:
    """One file of source, taken apart."""

    name: str
    """As it is imported."""
    file: str
    """Its path within the package, with slashes."""
    nodes: dict[type[ast.AST], list[ast.AST]]
    """All that it is made of, wherever it stands, by kind."""

    def each(self, kind: type[Kind]) -> Iterator[Kind]:
        """Give every node of a kind."""
        for node in self.nodes.get(kind, ()):
            assert isinstance(node, kind)
            yield node


def taken_apart(source: str, *, name: str, file: str = "") -> Module:
    """Parse a source."""
    nodes: dict[type[ast.AST], list[ast.AST]] = defaultdict(list)
    for node in ast.walk(ast.parse(source)):
        nodes[type(node)].append(node)
    return Module(name, file, dict(nodes))


@cache
def modules() -> tuple[Module, ...]:
    """Read the whole package, in the order of its paths."""
    found = []
    for path in sorted(PACKAGE.rglob("*.py")):
        within = path.relative_to(PACKAGE)
        name = ".".join((PACKAGE.name, *within.with_suffix("").parts))
        found.append(
            taken_apart(
                path.read_text(encoding="utf-8"),
                name=name.removesuffix(".__init__"),
                file=within.as_posix(),
            )
        )
    return tuple(found)

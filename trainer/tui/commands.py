"""The palette: what the page's live keys do, by name, and nothing else."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from typing import TYPE_CHECKING, Any

from textual.app import SystemCommand
from textual.screen import Screen

from trainer.tui.screens.page import Page
from trainer.tui.theme import DAY, LAMP, PLAIN

if TYPE_CHECKING:
    from trainer.tui.program import Program

THEME_WORDS = {
    LAMP: "A dark page.",
    DAY: "A light page.",
    PLAIN: "Black and white alone.",
}
# The framework's own bindings have no id: moving the focus, copying.
_MOVING = ("fields.", "page.")


def commands(app: Program, screen: Screen[Any]) -> Iterator[SystemCommand]:
    """Give one command for each live binding that has a name, as ``page: what``."""
    area = screen.HEADING.lower() if isinstance(screen, Page) else "trainer"
    done: set[str] = set()
    for node, binding, enabled, tooltip in screen.active_bindings.values():
        named = binding.id or ""
        if not named or not enabled or named.startswith(_MOVING):
            continue
        if binding.action in done:
            continue
        done.add(binding.action)
        where = "trainer" if named.startswith("everywhere.") else area
        yield SystemCommand(
            f"{where}: {binding.description.lower()}",
            tooltip or binding.description,
            partial(app.run_action, binding.action, node),
        )
    for name, words in THEME_WORDS.items():
        yield SystemCommand(
            f"view: {name}", words, partial(app.keep_theme, name), discover=False
        )

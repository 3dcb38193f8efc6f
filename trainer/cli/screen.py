"""Whether the full-screen program can open here, and opening it."""

from __future__ import annotations

import os
import sys
from collections.abc import Mapping
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from trainer.cli.context import CliContext

SMALLEST = (60, 20)
"""Columns and rows below which the screens can't be used."""


def why_no_screen(environ: Mapping[str, str]) -> str | None:
    """Give the sentence that says why the full screen can't open, or None if it can."""
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        return (
            "there is no terminal here to open the full screen on. Run it in one,"
            " or run trainer session --plain."
        )
    if environ.get("TERM") == "dumb":
        return "this terminal can't draw a full screen. Run trainer session --plain."
    columns, rows = os.get_terminal_size(sys.stdout.fileno())
    if 0 < columns < SMALLEST[0] or 0 < rows < SMALLEST[1]:
        return (
            f"the terminal is {columns}×{rows}, the full screen needs"
            f" {SMALLEST[0]}×{SMALLEST[1]}. Make it larger, or run"
            " trainer session --plain."
        )
    return None


def open_program(
    state: CliContext, *, start: str = "today", session: object = None
) -> int:
    """Open the full-screen program, on Today unless START says otherwise."""
    from trainer.tui.app import run_app

    return run_app(
        db_path=state.db_path,
        paths=state.paths,
        settings=state.settings(),
        clock=state.clock,
        start=start,
        session=session,
    )

"""Whether the full-screen program can open here, and opening it."""

from __future__ import annotations

import os
import sys
from collections.abc import Mapping
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from trainer.cli.context import CliContext
    from trainer.request import SessionRequest

SMALLEST = (60, 20)
"""Columns and rows below which the screens can't be used."""


def why_no_screen(environ: Mapping[str, str]) -> tuple[str, str] | None:
    """Give why the full screen can't open and what to do; None if it can."""
    plain = "run trainer session --plain"
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        return "There is no terminal for the full screen", f"Run it in one, or {plain}"
    if environ.get("TERM") == "dumb":
        return "This terminal can't draw a full screen", plain.capitalize()
    columns, rows = os.get_terminal_size(sys.stdout.fileno())
    if 0 < columns < SMALLEST[0] or 0 < rows < SMALLEST[1]:
        return (
            f"The terminal is {columns}×{rows} and the full screen needs"
            f" {SMALLEST[0]}×{SMALLEST[1]}",
            f"Make it larger, or {plain}",
        )
    return None


def open_program(
    state: CliContext, *, start: str = "today", session: SessionRequest | None = None
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

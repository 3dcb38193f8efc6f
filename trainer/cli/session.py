"""``trainer session``: train now."""

from __future__ import annotations

import os
import sys
from collections.abc import Mapping
from typing import TYPE_CHECKING

import click

from trainer.cli import options
from trainer.cli.context import CliContext, pass_context, usual_options
from trainer.cli.options import (
    TARGET,
    Parsed,
    complete_exercise,
    known_exercise,
    parse_number,
    seconds_between,
    whole_between,
)
from trainer.core.plan.plan import LONGEST_REST_S, MOST_SETS
from trainer.errors import UsageError
from trainer.training.request import FASTEST, SessionRequest

if TYPE_CHECKING:
    from pathlib import Path

    from trainer.cli.context import CliContext
    from trainer.core.angle.marking import Marked
    from trainer.settings.settings import Settings
    from trainer.training.request import SessionRequest


# Whether the full-screen program can open here, and opening it.

SMALLEST = (60, 20)
"""Columns and rows below which the screens can't be used."""


def why_no_screen(environ: Mapping[str, str]) -> tuple[str, str] | None:
    """Return why the full screen can't open and what to do; None if it can."""
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


def mark_photo(state: CliContext, photo: Path) -> Marked | None:
    """Open the screen on which a photo is marked; None: it was left.

    Raises:
        TrainerError: it can't be looked at as a photo.
    """
    from trainer.tui.photo.app import mark_photo as mark

    return mark(photo, settings=state.settings())


SPEED = Parsed("speed", lambda text: parse_number(text, "a speed", 1, FASTEST))


@click.command(
    "session",
    epilog=options.epilog(
        "trainer session",
        "trainer session --exercise hang --sets 3 --target 30 --rest 60",
        "trainer session --plain --rehearse --speed 5",
        exercises=True,
    ),
)
@click.option("--plain", is_flag=True, help="Line by line, without a full screen.")
@click.option("--rehearse", is_flag=True, help="Lead it, but log nothing.")
@click.option("--speed", type=SPEED, help="A rehearsal's pace, 1 to 20 times.")
@click.option(
    "--exercise",
    metavar="ID",
    shell_complete=complete_exercise,
    help="This exercise alone, no warm-up.",
)
@click.option("--sets", type=whole_between("sets", 1, MOST_SETS), help="Its sets.")
@click.option(
    "--target",
    "target_s",
    type=TARGET,
    help="Its target in seconds, for this time only.",
)
@click.option(
    "--rest",
    "rest_s",
    type=seconds_between(0, LONGEST_REST_S),
    help="Its rest in seconds; at least twice the target is taken.",
)
@click.option(
    "--anyway",
    is_flag=True,
    help="Past what is held back for you: at your own risk, and kept.",
)
@usual_options
@pass_context
def session_command(
    context: CliContext,
    *,
    plain: bool,
    rehearse: bool,
    speed: float | None,
    exercise: str | None,
    sets: int | None,
    target_s: float | None,
    rest_s: float | None,
    anyway: bool,
) -> int:
    """Train now, on the full screen or line by line.

    Started once, it runs by itself: set-up, hold, come-out, rest, led by ear. Without
    --exercise it is what the plan has for today; with it, that exercise alone, which
    sets no target. Come down while you still can; breathe out, never strain.
    """
    if speed is not None and not rehearse:
        raise UsageError("--speed goes with --rehearse only", "Add --rehearse")
    for name, value in (("sets", sets), ("target", target_s), ("rest", rest_s)):
        if value is not None and exercise is None:
            raise UsageError(
                f"--{name} goes with --exercise", "Say which, as --exercise hang"
            )
    if exercise is not None:
        opened = context.open_to_read if rehearse else context.open_store
        with opened() as store:
            exercise = known_exercise(exercise, store.plan().known_ids())
    request = SessionRequest(
        exercise=exercise,
        sets=sets,
        target_s=target_s,
        rest_s=rest_s,
        anyway=anyway,
        rehearse=rehearse,
        speed=speed or 1.0,
    )
    return _plain(context, request) if plain else _full_screen(context, request)


def _plain(context: CliContext, request: SessionRequest) -> int:
    from trainer.cli.plain.run import run_plain

    return run_plain(context, request)


def _full_screen(context: CliContext, request: SessionRequest) -> int:

    reason = why_no_screen(context.environ)
    if reason is not None:
        raise UsageError(*reason)
    return open_program(context, start="session", session=request)


def refuse_bad_keys(settings: Settings) -> None:
    """Refuse remaps of keys that the screens would refuse.

    Raises:
        ConfigError: one can't be used; says why.
    """
    from trainer.tui.keymap import check_remaps

    check_remaps(settings.keys)

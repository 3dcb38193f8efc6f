"""``trainer rest-week``: a week off that was meant."""

from __future__ import annotations

import click

from trainer.cli import options, output
from trainer.cli.context import CliContext, pass_context, usual_options
from trainer.core import words
from trainer.core.weeks import IsoWeek
from trainer.errors import ExitCode


@click.command(
    "rest-week",
    epilog=options.epilog(
        "trainer rest-week 2026-W30", "trainer rest-week 2026-W30 --undo"
    ),
)
@click.argument("week", type=options.WEEK, metavar="YYYY-Www")
@click.option("--undo", is_flag=True, help="Make it an ordinary week again.")
@usual_options
@pass_context
def rest_week_command(context: CliContext, *, week: IsoWeek, undo: bool) -> int:
    """Make a week off count as meant.

    It isn't counted as missed, and every target is kept.
    """
    with context.open_store() as store:
        changed = store.set_rest_week(week, on=not undo)
    named = f"The week of {words.day(week.monday)} ({week})"
    state = "an ordinary week" if undo else "a rest week"
    if changed:
        output.line(f"{named} is now {state}.")
    else:
        output.line(f"{named} was {state} already; nothing changed.")
    return ExitCode.DONE

"""``trainer review`` and ``trainer demo``: what the weeks of holds say."""

from __future__ import annotations

import shutil
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import click

from trainer.cli import diagnostics, output
from trainer.cli.context import (
    CliContext,
    db_option,
    may_write,
    pass_context,
    write_file,
)
from trainer.errors import ExitCode, UsageError

if TYPE_CHECKING:
    from trainer.core.charts.canvas import Glyphs
    from trainer.core.review.review import Review

NARROWEST, WIDEST = 60, 120
"""Columns that a picture is drawn in, whatever the terminal says."""
PICTURE_ROWS = 14
MOST_WEEKS = 2000


@click.command("review")
@click.option(
    "--weeks",
    type=click.IntRange(1, MOST_WEEKS),
    metavar="N",
    help="Look back over N weeks, the running one among them (12).",
)
@click.option("--short", is_flag=True, help="The five answers alone.")
@click.option("--json", "as_json", is_flag=True, help="One JSON document.")
@click.option(
    "--html",
    "html_file",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="Write one page for a coach: nothing fetched, no script, printable.",
)
@click.option("--yes", is_flag=True, help="Replace a page that is there.")
@db_option
@pass_context
def review_command(
    context: CliContext,
    *,
    weeks: int | None,
    short: bool,
    as_json: bool,
    html_file: Path | None,
    yes: bool,
) -> int:
    """What the weeks of holds say.

    First five answers: is it being done, is it getting better, where is it felt, what
    hurts, what is next. Then the pictures, each with a sentence that says what it
    shows: days and weeks, kept against target with its RPE, time overhead, when each
    cap is likely to be reached, where the stretch was felt, and every pain.
    """
    from trainer.core.review.review import DEFAULT_WEEKS, with_forecasts
    from trainer.report.gather import gather

    if as_json and html_file is not None:
        raise UsageError("--json and --html don't go together", "Choose one of them")
    if short and (as_json or html_file is not None):
        raise UsageError(
            "--short goes with neither --json nor --html",
            "Both of them begin with the five answers anyway",
        )
    if html_file is not None and str(html_file) != "-":
        may_write(html_file, replace=yes)
    today = context.clock.wall().date()
    with context.open_to_read() as store:
        found = gather(store, today=today, weeks=weeks or DEFAULT_WEEKS)
    if short:
        _show(found, context, short=True)
        return ExitCode.DONE
    found = with_forecasts(found)
    if as_json:
        from trainer.report.as_json import review_as_dict

        output.document(review_as_dict(found))
    elif html_file is not None:
        _write_page(found, html_file, replace=yes)
    else:
        _show(found, context)
    return ExitCode.DONE


def _write_page(found: Review, path: Path, *, replace: bool) -> None:
    from trainer.report.page import render_page

    page = render_page(found)
    if str(path) == "-":
        output.text(page)
        return
    write_file(path, page, replace=replace)
    diagnostics.say(
        f"Written: {path}. It holds what you logged; send it to whom you trust."
    )


def _show(found: Review, context: CliContext, *, short: bool = False) -> None:
    from trainer.core.charts.canvas import ASCII, glyphs_for, to_ascii

    glyphs = glyphs_for(sys.stdout.encoding, context.environ)
    columns = shutil.get_terminal_size((100, 30)).columns
    width = min(WIDEST, max(NARROWEST, columns - 1))
    for text in review_lines(found, width=width, glyphs=glyphs, short=short):
        output.line(to_ascii(text) if glyphs is ASCII else text)


def review_lines(
    found: Review, *, width: int, glyphs: Glyphs, short: bool = False
) -> Iterator[str]:
    """Give the whole review as lines of plain text; SHORT: the answers alone."""
    import textwrap

    from trainer.core.answers import MADE_UP
    from trainer.core.charts.canvas import plain
    from trainer.core.charts.pages import pages
    from trainer.core.text import clean

    whose = f"{clean(found.name)}: r" if found.name else "R"
    yield f"{whose}eview of {say_period(found)}"
    if found.made_up:
        yield MADE_UP
    parts = pages(found)
    if not parts:
        yield "No holds in these weeks."
    for number, part in enumerate(parts[:1] if short else parts):
        yield ""
        if number:
            yield part.title.upper()
        for sentence in (*part.cautions, *part.sentences):
            yield from textwrap.wrap(sentence, width)
        if picture := plain(part.draw(width, PICTURE_ROWS, glyphs)):
            if number:
                yield ""
            yield from picture.splitlines()


def say_period(found: Review) -> str:
    """Say which days a review looks back over."""
    from trainer.core.words import short_date

    return f"{short_date(found.first.monday)} to {short_date(found.today)}"


@click.command("demo")
@click.option(
    "--no-open",
    is_flag=True,
    help="Make the file and say where it is, without opening it.",
)
@db_option
@pass_context
def demo_command(context: CliContext, *, no_open: bool) -> int:
    """Open a made-up trainee's file.

    Twenty weeks of somebody who doesn't exist, in a file of their own, made anew each
    time. Your own data is neither read nor written.
    """
    from trainer.cli.session import open_program, why_no_screen
    from trainer.core.answers import MADE_UP
    from trainer.demo.trainee import DEMO_FILE, DEMO_FOLDER, write_demo

    path = (
        Path(context.db).expanduser()
        if context.db
        else context.paths.data / DEMO_FOLDER / DEMO_FILE
    )
    write_demo(path, clock=context.clock)
    reason = None if no_open else why_no_screen(context.environ)
    diagnostics.say(f"{MADE_UP} The file: {path}")
    if no_open:
        return ExitCode.DONE
    if reason is not None:
        diagnostics.say(f"{reason[0]}. Look at it with trainer review --db FILE.")
        return ExitCode.DONE
    context.db = str(path)
    return open_program(context)

"""``trainer review`` and ``trainer demo``: what the weeks of holds say."""

from __future__ import annotations

import math
import shutil
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import AbstractContextManager, contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import click

from trainer.cli import diagnostics, options, output
from trainer.cli.context import (
    CliContext,
    may_write,
    pass_context,
    replace_option,
    usual_options,
    write_file,
)
from trainer.cli.options import Parsed
from trainer.errors import ExitCode, UsageError

if TYPE_CHECKING:
    from trainer.core.charts.canvas import Glyphs
    from trainer.core.review.review import Review
    from trainer.report.photos import Mask, PagePhoto
    from trainer.store import Store

NARROWEST, WIDEST = 60, 120
"""Columns that a picture is drawn in, whatever the terminal says."""
PICTURE_ROWS = 14
MOST_WEEKS = 2000
LARGEST_MASK_PX = 20_000
LOOKING_BACK = "Looking back"
"""What is shown of a review that takes its time."""
SQLITE = b"SQLite format 3\0"
"""How a data file begins (SQLite's documentation, "Database File Format", 1.3.1)."""


def parse_mask(text: str) -> tuple[int, Mask]:
    """Read ``X,Y,R`` in pixels, and before it ``N:`` for the Nth photo."""
    from trainer.core.angle.landmarks import Point
    from trainer.report.photos import Mask

    number, colon, disk = text.rpartition(":")
    try:
        x, y, radius = (float(part) for part in disk.split(","))
        photo = int(number) if colon else 1
    except ValueError:
        x = y = radius = math.nan
        photo = 1
    if not (math.isfinite(x) and math.isfinite(y) and 0 < radius <= LARGEST_MASK_PX):
        raise UsageError(
            f"{text[:40]!r} is no mask", "Write it as X,Y,R in pixels: 812,310,150"
        )
    return photo, Mask(Point(x, y), radius)


@click.command(
    "review",
    epilog=options.epilog(
        "trainer review --short",
        "trainer review --weeks 26 --html review.html",
        "trainer review one.json two.json",
    ),
)
@click.argument("files", nargs=-1, type=click.Path(path_type=Path), metavar="[FILE]...")
@click.option(
    "--weeks",
    type=options.whole_between("weeks", 1, MOST_WEEKS, options.PERIODS_OFFERED),
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
@click.option(
    "--photos",
    multiple=True,
    type=click.Path(path_type=Path),
    metavar="PHOTO",
    help="Put this photo of an angle check on the page, small and without what else its"
    " file says. May be given again.",
)
@click.option(
    "--mask",
    "masks",
    multiple=True,
    type=Parsed("mask", parse_mask),
    metavar="[N:]X,Y,R",
    help="Cover a face on the Nth photo (1): its middle and radius, in pixels.",
)
@replace_option
@usual_options
@pass_context
def review_command(
    context: CliContext,
    *,
    files: tuple[Path, ...],
    weeks: int | None,
    short: bool,
    as_json: bool,
    html_file: Path | None,
    photos: tuple[Path, ...],
    masks: tuple[tuple[int, Mask], ...],
    replace: bool,
) -> int:
    """What the weeks of holds say.

    First five answers: is it being done, is it getting better, where is it felt, what
    hurts, what is next. Then the pictures, each with a sentence that says what it
    shows: days and weeks, kept against target with its RPE, time overhead, when each
    cap is likely to be reached, where the stretch was felt, and every pain.

    On the page there is no photo unless one is asked for by --photos.

    FILE is somebody's data file or export, for a coach; of more than one the five
    answers of each. They are only read, and nothing is merged.
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
    _refuse_photos(files, photos, masks, html_file)
    if html_file is not None and str(html_file) != "-":
        may_write(html_file, replace=replace)
    today = context.clock.wall().date()
    weeks = weeks or DEFAULT_WEEKS
    if len(files) > 1:
        group = []
        for file in files:
            with _somebodys(file, context) as store, diagnostics.working(LOOKING_BACK):
                group.append((file, gather(store, today=today, weeks=weeks)))
        return _show_group(
            group, context, as_json=as_json, html=html_file, replace=replace
        )
    opened: AbstractContextManager[Store] = (
        _somebodys(files[0], context) if files else context.open_to_read()
    )
    with opened as store, diagnostics.working(LOOKING_BACK):
        found = gather(
            store,
            today=today,
            weeks=weeks,
            otherwise=as_json or html_file is not None,
        )
    if short:
        _show(found, context, short=True)
        return ExitCode.DONE
    with diagnostics.working("Looking ahead"):
        found = with_forecasts(found)
    if as_json:
        from trainer.report.as_json import review_as_dict

        output.document(review_as_dict(found))
    elif html_file is not None:
        _write_page(
            found, _shown_photos(found, photos, masks), html_file, replace=replace
        )
    else:
        _show(found, context)
    return ExitCode.DONE


@contextmanager
def _somebodys(file: Path, context: CliContext) -> Iterator[Store]:
    """Open a data file for reading, or an export in a file that is gone after.

    Raises:
        UsageError: it is neither.
    """
    from trainer.cli.data import read_document
    from trainer.core.answers import MADE_UP_KEY, YES
    from trainer.store import open_store

    if file.is_file():
        with file.open("rb") as handle:
            if handle.read(len(SQLITE)) == SQLITE:
                with open_store(file, clock=context.clock, read_only=True) as store:
                    yield store
                return
    document = read_document(file)
    with (
        tempfile.TemporaryDirectory() as folder,
        open_store(Path(folder) / "export.db", clock=context.clock) as store,
    ):
        if isinstance(document, dict) and document.get("made_up") is True:
            store.set_answer(MADE_UP_KEY, YES)
        store.import_document(document)
        yield store


def _show_group(
    group: Sequence[tuple[Path, Review]],
    context: CliContext,
    *,
    as_json: bool,
    html: Path | None,
    replace: bool,
) -> int:
    """Show the five answers of several trainees, one under the other."""
    if as_json:
        from trainer.core.review.answers import answers

        output.document(
            [
                {
                    "file": str(file),
                    "name": found.name,
                    "made_up": found.made_up,
                    "answers": {
                        each.question.value: each.as_dict() for each in answers(found)
                    },
                }
                for file, found in group
            ]
        )
    elif html is not None:
        from trainer.report.page import render_group

        page = render_group([(found.name or file.name, found) for file, found in group])
        _write_text(page, html, replace=replace)
    else:
        for number, (file, found) in enumerate(group):
            if number:
                output.line()
            if not found.name:
                output.line(str(file))
            _show(found, context, short=True)
    return ExitCode.DONE


def _refuse_photos(
    files: Sequence[Path],
    photos: Sequence[Path],
    masks: Sequence[tuple[int, Mask]],
    html_file: Path | None,
) -> None:
    """Refuse photos that have no page to stand on, and masks that have no photo."""
    if not (photos or masks):
        return
    from trainer.report.photos import MOST_PHOTOS

    if photos and (html_file is None or len(files) > 1):
        raise UsageError("--photos goes with --html and one trainee", "Add --html FILE")
    if len(photos) > MOST_PHOTOS:
        raise UsageError(
            f"{len(photos)} photos are too many for a page",
            f"Give {MOST_PHOTOS} at most",
        )
    for number, _ in masks:
        if not 1 <= number <= len(photos):
            raise UsageError(
                f"There is no photo {number} for the mask",
                "N counts the --photos from 1, in the order in which they are given",
            )


def _shown_photos(
    found: Review, photos: Sequence[Path], masks: Sequence[tuple[int, Mask]]
) -> tuple[PagePhoto, ...]:
    """Return the photos for the page; of one without a mask it is said."""
    if not photos:
        return ()
    from trainer.photo.reading import OpenPhoto
    from trainer.report.photos import Given, page_photos

    given = []
    for number, path in enumerate(photos, start=1):
        own = tuple(mask for photo, mask in masks if photo == number)
        given.append(Given(OpenPhoto(path), own))
        if not own:
            diagnostics.warning(
                f"No mask is on {given[-1].photo.name}: a face in it can be seen."
                f" --mask {number}:X,Y,R puts one there."
            )
    return page_photos(given, found.angle_checks)


def _write_page(
    found: Review, photos: Sequence[PagePhoto], path: Path, *, replace: bool
) -> None:
    from trainer.report.page import render_page

    _write_text(render_page(found, photos), path, replace=replace)


def _write_text(page: str, path: Path, *, replace: bool) -> None:
    if str(path) == "-":
        output.file_text(page)
        return
    write_file(path, page, replace=replace)
    diagnostics.say(
        f"Written: {path}. It holds what you logged; send it to whom you trust."
    )


def _show(found: Review, context: CliContext, *, short: bool = False) -> None:
    from trainer.core.charts.canvas import glyphs_for

    glyphs = glyphs_for(output.letters())
    columns = shutil.get_terminal_size((100, 30)).columns
    width = min(WIDEST, max(NARROWEST, columns - 1))
    for text in review_lines(found, width=width, glyphs=glyphs, short=short):
        output.line(text)


def review_lines(
    found: Review, *, width: int, glyphs: Glyphs, short: bool = False
) -> Iterator[str]:
    """Return the whole review as lines of plain text; SHORT: the answers alone."""
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


@click.command("demo", epilog=options.epilog("trainer demo", "trainer demo --no-open"))
@click.option(
    "--no-open",
    is_flag=True,
    help="Make the file and say where it is, without opening it.",
)
@usual_options
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
    with diagnostics.working("Making up a trainee"):
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

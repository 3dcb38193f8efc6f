"""``trainer angle``: checks of how far the arms go overhead, and what they show."""

from __future__ import annotations

import math
import shlex
import shutil
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timezone
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar
from uuid import uuid4

import click

from trainer.cli import diagnostics, options, output
from trainer.cli.context import CliContext, pass_context, usual_options, want_subcommand
from trainer.core import words
from trainer.core.angle.check import Blades, Method, Pose, Reach, When
from trainer.core.angle.landmarks import Facing, LandmarkError, Landmarks, Point
from trainer.core.clock import local_moment
from trainer.core.logbook import NOON
from trainer.core.model import Side
from trainer.errors import DataError, ExitCode, UsageError

if TYPE_CHECKING:
    from trainer.core.angle.check import AngleCheck, Photo, Position
    from trainer.core.angle.figures import Figures
    from trainer.core.plan.plan import Plan
    from trainer.store import Store

Command = TypeVar("Command", bound=Callable[..., Any])
HIDDEN = "hidden"
POINTS = ("elbow", "wrist", "shoulder", "hip", "rib", "ear")
COMPARED_ROWS = 20


def parse_point(text: str) -> Point:
    """Read ``X,Y``: pixels of the photo, y growing downward."""
    parts = text.split(",")
    try:
        x, y = (float(part) for part in parts)
    except ValueError:
        raise UsageError(
            f"{text[:40]!r} is no point", "Write it as X,Y in pixels: 812,640"
        ) from None
    if not (math.isfinite(x) and math.isfinite(y)):
        raise UsageError(f"{text[:40]!r} is no point", "Two finite numbers, please")
    return Point(x, y)


def parse_ear(text: str) -> Point | str:
    """Read ``X,Y``, or ``hidden``."""
    return HIDDEN if text.strip().lower() == HIDDEN else parse_point(text)


def parse_degrees(text: str) -> float:
    """Read an angle in degrees; the sign of degrees may stand behind it."""
    return options.parse_number(text.rstrip("°"), "an angle", -1000, 1000)


POINT = options.Parsed("x,y", parse_point)
EAR = options.Parsed("x,y", parse_ear)
DEGREES = options.Parsed("degrees", parse_degrees)


@dataclass(frozen=True, slots=True)
class Given:
    """What was given of a check; None and empty: left out."""

    degrees: float | None
    method: Method | None
    points: dict[str, Point]
    ear_hidden: bool
    facing: Facing | None
    words: dict[str, Any]
    """What ``position`` takes."""
    note: str | None

    @property
    def has_points(self) -> bool:
        """Whether any landmark was given."""
        return bool(self.points) or self.ear_hidden

    def landmarks(self) -> Landmarks:
        """Return the landmarks.

        Raises:
            UsageError: one is missing, or nothing can be measured on them.
        """
        for name in ("shoulder", "hip"):
            if name not in self.points:
                raise UsageError(f"--{name} is missing", "Three points make an angle")
        if self.facing is None:
            raise UsageError(
                "--facing is missing", "Say where the chest points: left or right"
            )
        try:
            return Landmarks(
                **self.points, ear_hidden=self.ear_hidden, facing=self.facing
            )
        except LandmarkError as error:
            raise _impossible(error) from None


def _impossible(error: ValueError) -> UsageError:
    text = str(error)
    message, _, hint = text.partition(": ")
    return UsageError(
        f"{message[:1].upper()}{message[1:]}", hint[:1].upper() + hint[1:]
    )


_OPTIONS = (
    click.option("--degrees", type=DEGREES, help="The overhead angle, read off."),
    click.option(
        "--method",
        type=options.choice(Method, "a method"),
        metavar="M",
        help=f"What it was read off: {', '.join(Method)}.",
    ),
    click.option("--elbow", type=POINT, metavar="X,Y", help="Middle of the elbow."),
    click.option(
        "--wrist", type=POINT, metavar="X,Y", help="The wrist, without an elbow."
    ),
    click.option("--shoulder", type=POINT, metavar="X,Y", help="The shoulder joint."),
    click.option("--hip", type=POINT, metavar="X,Y", help="The bump of the hip."),
    click.option(
        "--rib", type=POINT, metavar="X,Y", help="Lower edge of the ribs, in front."
    ),
    click.option(
        "--ear", type=EAR, metavar="X,Y|hidden", help="The ear, or that it is hidden."
    ),
    click.option(
        "--facing",
        type=options.choice(Facing, "a side"),
        metavar="left|right",
        help="The side of the photo that the chest points to.",
    ),
    click.option(
        "--pose",
        type=options.choice(Pose, "a pose"),
        metavar="reach|hang|press",
        help="The position (reach, or that of the exercise).",
    ),
    click.option(
        "--when",
        type=options.choice(When, "a time"),
        metavar="before|after",
        help="Before or after training.",
    ),
    click.option(
        "--reach",
        type=options.choice(Reach, "a reach"),
        metavar="guarded|free",
        help="Back and ribs kept on a door frame's edge, or not.",
    ),
    click.option(
        "--blades",
        type=options.choice(Blades, "what shoulder blades do"),
        metavar="sunk|pressed",
        help="Shoulders sunk into, or pushed away.",
    ),
    click.option(
        "--exercise",
        metavar="ID",
        shell_complete=options.complete_exercise,
        help="The exercise that it was photographed in.",
    ),
    click.option(
        "--side",
        type=options.choice(Side, "a side"),
        metavar="left|right",
        help="The arm that was measured.",
    ),
    click.option("--note", type=options.NOTE, help="A note to keep with it."),
)


def check_options(command: Command) -> Command:
    """Let a command take all that a check is made of."""
    for option in reversed(_OPTIONS):
        command = option(command)
    return command


def given(options_: dict[str, Any]) -> Given:
    """Return what was given, sorted by what it is for."""
    points = {
        name: options_[name]
        for name in POINTS
        if options_[name] is not None and options_[name] != HIDDEN
    }
    said = {
        name: options_[name]
        for name in ("pose", "exercise", "side", "reach", "blades", "when")
        if options_[name] is not None
    }
    return Given(
        degrees=options_["degrees"],
        method=options_["method"],
        points=points,
        ear_hidden=options_["ear"] == HIDDEN,
        facing=options_["facing"],
        words=said,
        note=options_["note"],
    )


@click.group("angle", invoke_without_command=True)
@usual_options
@click.pass_context
def angle_command(ctx: click.Context) -> None:
    """Note an angle check, list them, correct one, compare two."""
    want_subcommand(ctx)


@angle_command.command(
    "add",
    epilog=options.epilog(
        "trainer angle add --degrees 168 --method inclinometer --reach guarded",
        "trainer angle add side.jpg --facing left --reach free",
        "trainer angle add --elbow 61,12 --shoulder 60,50 --hip 58,95 --facing left",
    ),
)
@click.argument("photo", required=False, type=click.Path(path_type=Path))
@check_options
@click.option(
    "--on",
    type=options.DAY,
    metavar="DATE[THH:MM]",
    help="The day it was measured on (today).",
)
@click.option(
    "--anyway", is_flag=True, help="Note it in spite of open pain at a shoulder."
)
@usual_options
@pass_context
def add(
    context: CliContext,
    *,
    photo: Path | None,
    on: tuple[date, time | None] | None,
    anyway: bool,
    **options_: Any,
) -> int:
    """Note an angle check.

    A PHOTO is marked on the screen; or give its points as options, in pixels; or give
    the angle with --degrees and --method. 0° is the arm at the side, 180° one straight
    line with the trunk, and more than 180° is possible.
    """
    said = given(options_)
    _one_way(said, photo)
    at = _moment(context, on)
    with context.open_store() as store:
        position = _position(said, store.plan())
        if not anyway:
            _not_while_it_hurts(store, at, context.clock.wall())
        marked = _measured(context, said, photo)
        if marked is None:
            output.line("Nothing was marked, and nothing is kept.")
            return ExitCode.DONE
        figures, landmarks, kept = marked
        checks = [
            _made(position, at, figure, points, kept, said.note or "")
            for figure, points in zip(figures, landmarks, strict=True)
        ]
        for check in checks:
            try:
                store.add_angle_check(check)
            except DataError:
                _say_points(check, photo)
                raise
        _say_taken(checks, store)
    return ExitCode.DONE


def _say_points(check: AngleCheck, photo: Path | None) -> None:
    """Repeat what was marked but can't be kept: nobody marks a photo twice for that."""
    marked = check.landmarks
    if marked is None:
        return
    said = [f"--{name} {at.x:.1f},{at.y:.1f}" for name, at in marked.points().items()]
    if marked.ear_hidden:
        said.append(f"--ear {HIDDEN}")
    name = "" if photo is None else f" {shlex.quote(str(photo))}"
    diagnostics.warning(
        f"What was marked, to be given again: trainer angle add{name}"
        f" {' '.join(said)} --facing {marked.facing}"
    )


def _one_way(said: Given, photo: Path | None) -> None:
    """Refuse an angle beside points, and nothing at all."""
    if said.degrees is not None:
        if said.has_points or photo is not None:
            raise UsageError(
                "--degrees stands alone", "Leave it out, or the photo and the points"
            )
        if said.method is None:
            raise UsageError(
                "--method is missing", f"Say what it was read off: {', '.join(Method)}"
            )
        return
    if said.method not in (None, Method.PHOTO):
        raise UsageError(f"--method {said.method} needs --degrees", "Give the angle")
    if photo is None and not said.has_points:
        raise UsageError(
            "There is nothing to measure",
            "Give a photo, or its points, or --degrees with --method",
        )


def _moment(context: CliContext, on: tuple[date, time | None] | None) -> datetime:
    now = context.clock.wall()
    if on is None:
        return now
    day, at = on
    options.not_in_the_future(day, at, now=now)
    local = local_moment(day, at or NOON)
    options.say_if_left_out(day)
    return min(local, now) if day == now.date() else local


def _position(said: Given, plan: Plan) -> Position:
    from trainer.core.angle.check import CheckError, position

    known = {each: plan.exercise(each) for each in plan.known_ids()}
    answers = dict(said.words)
    if "exercise" in answers:
        answers["exercise"] = options.known_exercise(answers["exercise"], known)
    try:
        return position(exercises=known, method=said.method or Method.PHOTO, **answers)
    except CheckError as error:
        raise _impossible(error) from None


def _not_while_it_hurts(store: Store, at: datetime, now: datetime) -> None:
    """Refuse a check of today with open pain at a shoulder; an earlier one is done."""
    from trainer.core.angle.due import held_back
    from trainer.core.safety import open_pain

    if at.date() != now.date():
        return
    why = held_back(open_pain(store.history(), on=now.date()))
    if why:
        raise UsageError(
            why, "Say first that it is gone, once it is; --anyway notes the check"
        )


_Measured = tuple["Sequence[Figures]", "Sequence[Landmarks | None]", "Photo | None"]


def _measured(context: CliContext, said: Given, photo: Path | None) -> _Measured | None:
    """Return the figures, from an angle, from points, or from a photo marked now."""
    from trainer.core.angle.check import CheckError, check_degrees
    from trainer.core.angle.figures import Figures, measure

    if said.degrees is not None:
        try:
            check_degrees(said.degrees)
        except CheckError as error:
            raise _impossible(error) from None
        return (Figures(overhead_deg=said.degrees),), (None,), None
    if said.has_points:
        marked = said.landmarks()
        kept = _known_photo(photo, marked)
        try:
            return (measure(marked),), (marked,), kept
        except LandmarkError as error:
            raise _impossible(error) from None
    if photo is None:
        raise UsageError("There is nothing to measure", "Give a photo")
    return _marked_on_screen(context, photo)


def _known_photo(photo: Path | None, marked: Landmarks) -> Photo | None:
    """Return what is kept of the photo that the points were read off, if given."""
    from trainer.core.angle.check import Photo

    if photo is None:
        return None
    from trainer.photo.reading import OpenPhoto

    opened = OpenPhoto(photo)
    try:
        marked.check_within(*opened.size)
    except LandmarkError as error:
        raise _impossible(error) from None
    return Photo(opened.name, opened.sha256(), *opened.size)


def _marked_on_screen(context: CliContext, photo: Path) -> _Measured | None:
    from trainer.cli.session import mark_photo, why_no_screen
    from trainer.core.angle.figures import measure
    from trainer.photo.reading import OpenPhoto

    OpenPhoto(photo)  # what is no photo is said before the terminal is
    why = why_no_screen(context.environ)
    if why is not None:
        raise UsageError(
            f"{why[0]} to mark the photo on", "Give the points as options instead"
        )
    marked = mark_photo(context, photo)
    if marked is None:
        return None
    return (
        tuple(measure(each) for each in marked.landmarks),
        marked.landmarks,
        marked.photo,
    )


def _made(
    position: Position,
    at: datetime,
    figures: Figures,
    landmarks: Landmarks | None,
    photo: Photo | None,
    note: str,
) -> AngleCheck:
    from trainer.core.angle.check import AngleCheck

    offset = at.utcoffset()
    return AngleCheck(
        uid=str(uuid4()),
        measured_at=at.astimezone(timezone.utc),
        utc_offset_min=0 if offset is None else round(offset.total_seconds() / 60),
        local_date=at.date(),
        position=position,
        figures=figures,
        landmarks=landmarks,
        photo=photo,
        note=note,
    )


def _say_taken(checks: Sequence[AngleCheck], store: Store) -> None:
    """Repeat what was taken, and what it shows beside the others of its series."""
    from trainer.core.angle.own_marks import with_own_error
    from trainer.core.angle.series import by_series
    from trainer.core.angle.words import change_sentence, named, repeats_sentence

    kept = with_own_error(store.angle_checks())
    taken = {check.uid for check in checks}
    for check in (one for one in kept if one.uid in taken):
        on = check.local_date.isoformat()
        output.paragraph(
            f"Logged: {_figures_said(check.figures)} ({named(check.series)}), on {on}.",
            indent="",
        )
        if check.note:
            output.line(f"Note: {check.note}")
    series = by_series(kept)[checks[-1].series]
    output.paragraph(change_sentence(series), indent="")
    if len(series.readings) == 1:
        output.paragraph(repeats_sentence(series.noise), indent="")


def _figures_said(figures: Figures) -> str:
    said = [f"overhead angle {figures.overhead_deg:.1f}°"]
    if figures.overhead_sd_deg is not None:
        said[0] += f" ± {figures.overhead_sd_deg:.1f}"
    if figures.lean_deg is not None:
        said.append(f"lean {round(figures.lean_deg)}°")
    if figures.flare is not None:
        said.append(f"rib flare {figures.flare:.2f}")
    if figures.lift is not None:
        said.append(f"lift {figures.lift:.2f}")
    if figures.ear is not None:
        said.append(f"ear {figures.ear}")
    return ", ".join(said).replace("-", "−")


@angle_command.command("list", epilog=options.epilog("trainer angle list --json"))
@click.option("--json", "as_json", is_flag=True, help="One JSON document.")
@usual_options
@pass_context
def list_(context: CliContext, *, as_json: bool) -> int:
    """List the angle checks, newest first, and say what they show."""
    from trainer.core.angle.own_marks import with_own_error

    with context.open_to_read() as store:
        numbered = store.numbered_angle_checks()
    told = with_own_error(list(numbered.values()))
    numbered = dict(zip(numbered, told, strict=True))
    newest_first = sorted(
        numbered.items(), key=lambda one: (one[1].measured_at, one[0]), reverse=True
    )
    if as_json:
        output.document([_as_dict(number, one) for number, one in newest_first])
        return ExitCode.DONE
    if not numbered:
        output.line("No angle check yet. How to take the photo: trainer angle how-to.")
        return ExitCode.DONE
    for number, check in newest_first:
        output.line(f"{number:>4}  {check.local_date.isoformat()}  {_row_said(check)}")
    output.line()
    _say_series(list(numbered.values()))
    return ExitCode.DONE


def _row_said(check: AngleCheck) -> str:
    from trainer.core.angle.words import named

    return f"{_figures_said(check.figures)}  ({named(check.series)})"


def _say_series(checks: Sequence[AngleCheck]) -> None:
    from trainer.core.angle.words import BEFOREHAND, all_sentences

    for name, said in all_sentences(checks):
        output.paragraph(f"{name[:1].upper()}{name[1:]}: {said}", indent="")
    output.paragraph(BEFOREHAND, indent="")


def _as_dict(number: int, check: AngleCheck) -> dict[str, Any]:
    position, figures = check.position, check.figures
    return {
        "number": number,
        "uid": check.uid,
        "day": check.local_date.isoformat(),
        "pose": position.pose,
        "exercise": position.exercise,
        "side": position.side,
        "reach": position.reach,
        "blades": position.blades,
        "when": position.when,
        "method": position.method,
        "arm_point": figures.arm_point,
        "overhead_deg": _rounded(figures.overhead_deg, 2),
        "lean_deg": _rounded(figures.lean_deg, 2),
        "flare": _rounded(figures.flare, 4),
        "lift": _rounded(figures.lift, 4),
        "ear": figures.ear,
        "uncertainty_deg": _rounded(figures.overhead_sd_deg, 2),
    }


def _rounded(value: float | None, digits: int) -> float | None:
    return None if value is None else round(value, digits)


@angle_command.command(
    "correct", epilog=options.epilog("trainer angle correct 3 --degrees 165")
)
@click.argument("number", type=click.IntRange(min=1))
@check_options
@click.option(
    "--on", type=options.DAY, metavar="DATE[THH:MM]", help="The day it was measured on."
)
@usual_options
@pass_context
def correct(
    context: CliContext,
    *,
    number: int,
    on: tuple[date, time | None] | None,
    **options_: Any,
) -> int:
    """Correct the check that angle list calls NUMBER; undo takes it back.

    What isn't given stays as it is: --hip 812,640 moves that point alone.
    """
    said = given(options_)
    if said.degrees is not None and said.has_points:
        raise UsageError("--degrees and points exclude each other", "Give one of them")
    with context.open_store() as store:
        check = _numbered(store, number)
        later = _corrected(context, said, on, check, store.plan())
        if not store.correct_angle_check(later):
            output.line("Nothing to correct: it says that already.")
            return ExitCode.DONE
    output.paragraph(
        f"Corrected: {_row_said(later)}, on {later.local_date.isoformat()}.", indent=""
    )
    return ExitCode.DONE


def _numbered(store: Store, number: int) -> AngleCheck:
    numbered = store.numbered_angle_checks()
    if number not in numbered:
        raise UsageError(
            f"There is no angle check {number}", "trainer angle list shows them all"
        )
    return numbered[number]


def _corrected(
    context: CliContext,
    said: Given,
    on: tuple[date, time | None] | None,
    check: AngleCheck,
    plan: Plan,
) -> AngleCheck:
    """Return CHECK with what was given in place of what it said."""
    former = check.position
    kept = {
        name: getattr(former, name)
        for name in ("pose", "exercise", "side", "reach", "blades", "when")
        if getattr(former, name) is not None
    }
    if said.words.get("exercise", former.exercise) != former.exercise:
        kept.pop("pose", None)
    if said.words.get("pose", former.pose) != former.pose:
        for name in ("exercise", "reach", "blades"):
            kept.pop(name, None)
    merged = replace(said, words=kept | said.words, method=said.method or former.method)
    later = replace(check, position=_position(merged, plan))
    if said.note is not None:
        later = replace(later, note=said.note)
    if on is not None:
        at = _moment(context, on)
        moved = _made(later.position, at, later.figures, None, None, "")
        later = replace(
            later,
            measured_at=moved.measured_at,
            utc_offset_min=moved.utc_offset_min,
            local_date=moved.local_date,
        )
    return _with_figures(later, said)


def _with_figures(check: AngleCheck, said: Given) -> AngleCheck:
    """Return CHECK with another angle, or with points moved."""
    from trainer.core.angle.check import CheckError
    from trainer.core.angle.figures import Figures, measure

    try:
        if said.degrees is not None:
            if check.landmarks is not None:
                raise UsageError(
                    "This check has landmarks, and its angle follows from them",
                    "Move the point that is wrong: --elbow, --shoulder or --hip",
                )
            return replace(check, figures=Figures(overhead_deg=said.degrees))
        if not said.has_points and said.facing is None:
            return check
        former = check.landmarks
        if former is None:
            marked = said.landmarks()
        else:
            points: dict[str, Any] = {**former.points(), **said.points}
            hidden = said.ear_hidden or (former.ear_hidden and "ear" not in said.points)
            if hidden:
                points["ear"] = None
            marked = replace(
                former,
                **points,
                ear_hidden=hidden,
                facing=said.facing or former.facing,
            )
        if check.photo is not None:
            marked.check_within(check.photo.width, check.photo.height)
        return replace(check, landmarks=marked, figures=measure(marked))
    except (CheckError, LandmarkError) as error:
        raise _impossible(error) from None


@angle_command.command(
    "compare",
    epilog=options.epilog("trainer angle compare", "trainer angle compare 1 4"),
)
@click.argument("then", required=False)
@click.argument("now", required=False)
@usual_options
@pass_context
def compare(context: CliContext, *, then: str | None, now: str | None) -> int:
    """Put two checks beside each other, trunk on trunk.

    THEN and NOW are numbers of angle list, or the photos themselves, which are known by
    their hash. Without them: the first and the newest check of the series that answers
    whether the shoulder opens.
    """
    with context.open_to_read() as store:
        numbered = store.numbered_angle_checks()
    pair = _pair(numbered, then, now)
    _show_pair(*pair, context)
    return ExitCode.DONE


def _pair(
    numbered: dict[int, AngleCheck], then: str | None, now: str | None
) -> tuple[AngleCheck, AngleCheck]:
    from trainer.core.angle.series import by_series, headline

    if then is not None:
        first = _named_check(numbered, then)
        if now is not None:
            return first, _named_check(numbered, now)
        same = [one for one in numbered.values() if one.series == first.series]
        newest = max(same, key=lambda one: one.measured_at)
        if newest.uid == first.uid:
            raise UsageError(
                "That is the newest check of its series", "Name another one beside it"
            )
        return first, newest
    series = headline(by_series(numbered.values()).values())
    if series is None or len(series.checks) < 2:
        raise UsageError(
            "There are no two checks of one series to compare",
            "Name two: trainer angle compare THEN NOW",
        )
    return series.checks[0], series.checks[-1]


def _named_check(numbered: dict[int, AngleCheck], word: str) -> AngleCheck:
    """Return the check of a number, or of a photo."""
    if word.isascii() and word.isdigit():
        number = int(word)
        if number in numbered:
            return numbered[number]
        raise UsageError(
            f"There is no angle check {number}", "trainer angle list shows them all"
        )
    from trainer.photo.reading import OpenPhoto

    photo = OpenPhoto(Path(word))
    known = photo.sha256()
    for check in numbered.values():
        if check.photo is not None and check.photo.sha256 == known:
            return check
    raise UsageError(
        f"{photo.name} is the photo of no check", "Mark it first: trainer angle add"
    )


def _show_pair(then: AngleCheck, now: AngleCheck, context: CliContext) -> None:
    from trainer.core.angle.compare import comparable, drawing, figure_rows, outline
    from trainer.core.angle.words import named
    from trainer.core.charts.canvas import glyphs_for, plain

    output.line(f"Then  {words.day(then.local_date)}: {named(then.series)}")
    output.line(f"Now   {words.day(now.local_date)}: {named(now.series)}")
    apart = comparable(then, now)
    if apart:
        diagnostics.warning(f"{apart}.")
    output.line()
    if then.landmarks is not None and now.landmarks is not None:
        glyphs = glyphs_for(output.letters())
        width = min(60, shutil.get_terminal_size().columns)
        picture = drawing(
            outline(then.landmarks),
            outline(now.landmarks),
            width=width,
            height=COMPARED_ROWS,
            glyphs=glyphs,
        )
        output.text(plain(picture) + "\n")
        output.line()
    else:
        output.line("Without landmarks of both there is nothing to draw.")
    output.line(f"{'':22}{'then':>8}{'now':>8}{'':>4}")
    for name, first, second, difference in figure_rows(then.figures, now.figures):
        output.line(f"{name:22}{first:>8}{second:>8}{difference:>8}".rstrip())
    if not apart:
        _say_real(then, now, context)


def _say_real(then: AngleCheck, now: AngleCheck, context: CliContext) -> None:
    """Say whether the two differ by more than their series' noise."""
    from trainer.core.angle.series import by_series
    from trainer.core.angle.words import pair_sentence

    with context.open_to_read() as store:
        series = by_series(store.angle_checks())[then.series]
    output.paragraph(pair_sentence(then, now, series), indent="")


@angle_command.command("how-to", epilog=options.epilog("trainer angle how-to"))
@usual_options
@pass_context
def how_to(context: CliContext) -> int:
    """Say how to take the photo."""
    from trainer.core.angle.how_to import PAGE

    for label, paragraphs in PAGE:
        output.line(label)
        for paragraph in paragraphs:
            output.paragraph(paragraph)
    return ExitCode.DONE

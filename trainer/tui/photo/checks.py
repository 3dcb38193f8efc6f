"""The page of the angle checks: what is due, what they show, how to take the photo."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import datetime, timezone
from pathlib import Path
from typing import ClassVar
from uuid import uuid4

from textual import on
from textual.binding import BindingType
from textual.containers import Horizontal
from textual.widget import Widget
from textual.widgets import Static

from trainer.core.angle import how_to
from trainer.core.angle.check import (
    AngleCheck,
    Blades,
    Pose,
    Position,
    Reach,
    When,
)
from trainer.core.angle.compare import (
    SHORT,
    drawing,
    figure_rows,
    outline,
    over_turned,
)
from trainer.core.angle.due import (
    DECLINED_KEY,
    declined_on,
    held_back,
    is_due,
)
from trainer.core.angle.figures import measure
from trainer.core.angle.landmarks import Landmarks
from trainer.core.angle.lines import Dot, LineInk, Overlay, line
from trainer.core.angle.marking import Marked
from trainer.core.angle.series import Series, by_series, headline, in_order, pair_of
from trainer.core.angle.words import (
    BEFOREHAND,
    all_sentences,
    change_sentence,
    in_a_line,
    named,
    pair_sentence,
)
from trainer.core.charts.angle import angle_chart, pictured
from trainer.core.model import Side
from trainer.core.safety import open_pain
from trainer.core.words import day as day_words
from trainer.errors import TrainerError
from trainer.photo.drawing import png_over
from trainer.photo.reading import OpenPhoto, PhotoPixels
from trainer.photo.turned import turned
from trainer.tui.keymap import bind
from trainer.tui.photo.canvas import DotCanvas, Dots
from trainer.tui.photo.graphics import Graphics, graphics_here
from trainer.tui.photo.screen import MarkingScreen
from trainer.tui.screens.page import READING, Page
from trainer.tui.widgets.picture import drawn, screen_glyphs
from trainer.tui.widgets.sheet import Note, Sheet, Text, note, plain
from trainer.tui.widgets.slip import LineSlip

PICTURE_COLUMNS, PICTURE_ROWS = 74, 12
COMPARED_COLUMNS, COMPARED_ROWS = 30, 15
POSITIONS: tuple[tuple[str, str, Position], ...] = (
    (
        "guarded",
        "Reach, guarded: back and ribs on a door frame's edge",
        Position(reach=Reach.GUARDED),
    ),
    ("free", "Reach, free: as high as it goes", Position(reach=Reach.FREE)),
    ("hang", "Hang, after the third exhale", Position(pose=Pose.HANG)),
    (
        "sunk",
        "Press, sunk: push-up position, or pike with feet on the floor",
        Position(pose=Pose.PRESS, blades=Blades.SUNK),
    ),
    (
        "pressed",
        "Press, pressed: the same, pushed away",
        Position(pose=Pose.PRESS, blades=Blades.PRESSED),
    ),
)
"""What can be photographed: an id, what is read, the position."""
HOWS = (*Reach, *Blades)
"""Words that tell a series from its pair."""
SIDES = [("left", "The left one"), ("right", "The right one"), ("", "Leave it open")]


class ChecksScreen(Page[None]):
    """All that the angle checks say, and one key to mark another photo."""

    HEADING = "Angle checks"
    DEFAULT_CSS = """
    ChecksScreen #angle-picture { height: auto; margin-bottom: 1; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        *READING,
        bind("checks.mark", "mark"),
        bind("checks.decline", "decline"),
        bind("checks.compare", "compare"),
        bind("checks.how", "how"),
    ]

    def __init__(self) -> None:
        super().__init__()
        self._checks: tuple[AngleCheck, ...] = ()
        self._due = False
        self._held = ""

    def body(self) -> Iterator[Widget]:
        """Give the notes, with the picture below the first."""
        yield Sheet(id="said")
        yield Static("", id="angle-picture")
        yield Sheet(id="series")

    async def on_mount(self) -> None:
        await self._show()

    async def _show(self) -> None:
        store, today = self.trainer.store, self.trainer.clock.wall().date()
        try:
            self._checks = store.angle_checks()
            answers = store.answers()
            self._held = held_back(open_pain(store.history(), on=today))
        except TrainerError as error:
            self.complain(error)
            return
        self._due = is_due(self._checks, today=today, declined_on=declined_on(answers))
        await self.query_one("#said", Sheet).show(self._first_notes())
        self.query_one("#angle-picture", Static).update(self._picture())
        await self.query_one("#series", Sheet).show(self._series_notes())
        self.refresh_bindings()

    def _first_notes(self) -> Iterator[Note]:
        if self._held:
            yield note("Not today", f"{self._held}. Training never waits for a check.")
        elif self._due:
            yield note(
                "Due",
                "A standing reach, guarded and free, before the warm-up.",
                how_to.SIDE_ON,
            )
        yield note("Opening", in_a_line(self._checks))

    def _picture(self) -> Text:
        found = by_series(self._checks)
        main = headline(found.values())
        if main is None:
            return plain("")
        glyphs = screen_glyphs()
        width = min(max(self.size.width - 8, 50), PICTURE_COLUMNS)
        both = pictured(main, pair_of(found, main.key))
        return drawn(
            angle_chart(both, width=width, height=PICTURE_ROWS, glyphs=glyphs), glyphs
        )

    def _series_notes(self) -> Iterator[Note]:
        for name, said in all_sentences(self._checks):
            label, rest = headed(name)
            yield note(label, f"{rest}: {said}" if rest else said)
        yield note("", BEFOREHAND, quiet=True)
        yield note("Privacy", how_to.PRIVATE, quiet=True)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Offer what there is."""
        if action == "decline":
            return self._due and not self._held
        if action == "mark":
            return not self._held
        if action == "compare":
            return any(len(one.checks) > 1 for one in by_series(self._checks).values())
        return super().check_action(action, parameters)

    async def action_decline(self) -> None:
        """Leave the check out this time."""
        today = self.trainer.clock.wall().date()
        self.trainer.store.set_answer(DECLINED_KEY, today.isoformat())
        await self._show()
        self.say("Left out. It is offered again next week.")

    def action_how(self) -> None:
        """Say how to take the photo."""
        self.app.push_screen(HowToScreen())

    def action_compare(self) -> None:
        """Put the first and the newest of a series beside each other."""
        choices = [
            one
            for one in in_order(list(by_series(self._checks).values()))
            if len(one.checks) > 1
        ]

        def chosen(name: str | None) -> None:
            for one in choices:
                if named(one.key) == name:
                    self.app.push_screen(CompareScreen(one))

        if len(choices) == 1:
            chosen(named(choices[0].key))
        elif choices:
            lines = [(named(one.key), named(one.key)) for one in choices]
            self.ask("Then and now, of which series?", lines, chosen)

    def action_mark(self) -> None:
        """Ask for a photo and what it shows, then mark it."""

        def typed(path: str | None) -> None:
            if path:
                self._ask_position(path_of(path))

        self.app.push_screen(
            LineSlip("Which photo? Its file: type it, or drop it here", limit=1000),
            typed,
        )

    def _ask_position(self, path: Path) -> None:
        try:
            screen = MarkingScreen(path)
        except TrainerError as error:
            self.complain(error)
            return

        def chosen(which: str | None) -> None:
            for key, _, position in POSITIONS:
                if key == which:
                    self._ask_side(screen, position)

        choices = [(key, text) for key, text, _ in POSITIONS]
        self.ask("What does it show?", choices, chosen)

    def _ask_side(self, screen: MarkingScreen, position: Position) -> None:
        def chosen(side: str | None) -> None:
            if side is None:
                return
            known = Side(side) if side else None
            placed = replace(position, side=known, when=self._when())

            async def marked(done: Marked | None) -> None:
                if done is not None:
                    await self._keep(placed, done)

            self.app.push_screen(screen, marked)

        self.ask("Which arm is nearest to the camera?", SIDES, chosen)

    def _when(self) -> When:
        """Tell from the log whether anything was held today."""
        today = self.trainer.clock.wall().date()
        held = any(one.holds for one in self.trainer.store.sessions_on(today))
        return When.AFTER if held else When.BEFORE

    async def _keep(self, position: Position, marked: Marked) -> None:
        now = self.trainer.clock.wall()
        try:
            for check in checks_of(position, marked, now):
                self.trainer.store.add_angle_check(check)
        except TrainerError as error:
            self.complain(error)
            return
        await self._show()
        series = by_series(self._checks)
        kept = [one for one in series.values() if one.key.position == position]
        self.say(change_sentence(kept[-1]))


def headed(name: str) -> tuple[str, str]:
    """Return what of a series' name stands in the margin, and the rest of it."""
    parts = name.split(", ")
    how = next((part for part in parts if part in HOWS), parts[0])
    rest = [part for part in parts if part not in (how, Pose.REACH)]
    said = ", ".join(rest)
    return how.capitalize(), f"{said[:1].upper()}{said[1:]}"


def checks_of(
    position: Position, marked: Marked, now: datetime
) -> Iterator[AngleCheck]:
    """Yield a check for each time that the photo was marked."""
    offset = now.utcoffset()
    for landmarks in marked.landmarks:
        yield AngleCheck(
            uid=str(uuid4()),
            measured_at=now.astimezone(timezone.utc),
            utc_offset_min=0 if offset is None else round(offset.total_seconds() / 60),
            local_date=now.date(),
            position=position,
            figures=measure(landmarks),
            landmarks=landmarks,
            photo=marked.photo,
        )


def path_of(typed: str) -> Path:
    """Return the file that was typed, or dropped onto the terminal.

    Terminals put a dropped file's name in quotes, or a backslash before its spaces.
    """
    text = typed.strip()
    if len(text) > 1 and text[0] == text[-1] and text[0] in "'\"":
        text = text[1:-1]
    elif "\\ " in text:
        text = text.replace("\\ ", " ")
    return Path(text.removeprefix("file://")).expanduser()


class HowToScreen(Page[None]):
    """How to take the photo."""

    HEADING = "How to take the photo"
    BINDINGS: ClassVar[list[BindingType]] = [*READING]

    def body(self) -> Iterator[Widget]:
        """Give a note for each thing to mind."""
        yield Sheet(note(label, *_apart(said)) for label, said in how_to.PAGE)


def _apart(paragraphs: Sequence[str]) -> Iterator[str]:
    for number, paragraph in enumerate(paragraphs):
        if number:
            yield ""
        yield paragraph


class CompareScreen(Page[None]):
    """Two checks of one series, trunk on trunk, with their figures.

    Their photos, given again, are turned and scaled so that the trunks lie alike.
    """

    HEADING = "Then and now"
    DEFAULT_CSS = """
    CompareScreen #photos { height: 17; display: none; margin-bottom: 1; }
    CompareScreen #photos DotCanvas { width: 1fr; height: 16; margin-right: 2; }
    CompareScreen #beside { height: auto; }
    CompareScreen #compared { width: 30; height: auto; }
    CompareScreen Sheet { width: 1fr; }
    CompareScreen.-narrow #beside { layout: vertical; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        *READING,
        bind("compare.photo", "photo"),
    ]

    def __init__(self, series: Series) -> None:
        """Compare the first and the newest check of SERIES."""
        super().__init__()
        self._series = series
        self._then, self._now = series.checks[0], series.checks[-1]
        self._pixels: dict[str, PhotoPixels] = {}
        self._graphics: Graphics | None = None

    def on_mount(self) -> None:
        self._graphics = graphics_here(self.app, self.trainer.settings.photos)

    def on_screen_resume(self) -> None:
        """Draw the photos again: a question lay over them."""
        for each in self.query(DotCanvas):
            each.draw_again()

    def body(self) -> Iterator[Widget]:
        """Give the photos once they are given, the drawing, and the figures beside."""
        then, now = self._then, self._now
        with Horizontal(id="photos"):
            yield DotCanvas(id="then")
            yield DotCanvas(id="now")
        with Horizontal(id="beside"):
            if then.landmarks is not None and now.landmarks is not None:
                glyphs = screen_glyphs()
                picture = drawing(
                    outline(then.landmarks),
                    outline(now.landmarks),
                    width=COMPARED_COLUMNS,
                    height=COMPARED_ROWS,
                    glyphs=glyphs,
                )
                yield Static(drawn(picture, glyphs), id="compared")
            yield self._figures()

    def _figures(self) -> Sheet:
        then, now = self._then, self._now
        return Sheet(
            [
                note("Then", day_words(then.local_date), tight=True),
                note("Now", day_words(now.local_date), tight=True),
                note("", named(now.series)),
                *(
                    note(
                        SHORT.get(name, name).capitalize(),
                        f"{one:>7}{other:>8}{apart:>9}",
                        tight=True,
                    )
                    for name, one, other, apart in figure_rows(
                        then.figures, now.figures
                    )
                ),
                note(""),
                note("Is it real?", pair_sentence(then, now, self._series)),
            ]
        )

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Ask for photos only where one was marked."""
        if action == "photo":
            return self._then.photo is not None or self._now.photo is not None
        return super().check_action(action, parameters)

    def action_photo(self) -> None:
        """Ask for one of the two photos; its hash says which."""

        def typed(path: str | None) -> None:
            if path:
                self._take(path_of(path))

        self.app.push_screen(
            LineSlip("One of the two photos: type its file, or drop it", limit=1000),
            typed,
        )

    def _take(self, path: Path) -> None:
        try:
            photo = OpenPhoto(path)
            known = photo.sha256()
            for name, check in (("then", self._then), ("now", self._now)):
                if check.photo is not None and check.photo.sha256 == known:
                    self._pixels[name] = photo.whole()
                    break
            else:
                self.say(f"{photo.name} is the photo of neither check.")
                return
        except TrainerError as error:
            self.complain(error)
            return
        self.query_one("#photos").display = True
        self.show_when_laid_out(self._draw)

    @on(DotCanvas.Resized)
    def _draw(self) -> None:
        """Draw the photos that were given, each with the lines of both over it."""
        then, now = self._then.landmarks, self._now.landmarks
        for name, marked, other in (("then", then, now), ("now", now, then)):
            pixels = self._pixels.get(name)
            canvas = self.query_one(f"#{name}", DotCanvas)
            if pixels is None or marked is None or min(canvas.dots) < 1:
                continue
            over = over_turned(marked, other)
            if self._graphics is not None and canvas.fits():
                dot_px = self._graphics.dot_px(*canvas.size)
                png = turned_png(pixels, over, marked, canvas.dots, dot_px)
                canvas.show_picture(png, self._graphics)
            else:
                canvas.show(*turned_dots(pixels, over, marked, canvas.dots))


def turned_dots(
    pixels: PhotoPixels, over: Overlay, marked: Landmarks, size: tuple[int, int]
) -> tuple[Dots, dict[Dot, LineInk]]:
    """Return a turned photo as dots, and the lines OVER it."""
    seen = turned(pixels, marked, size)
    lines: dict[Dot, LineInk] = {}
    for each in over.strokes:
        dots = line(seen.window.dot(each.start), seen.window.dot(each.end))
        for number, dot in enumerate(dots):
            if not each.dotted or number % 3 == 0:
                lines[dot] = each.ink
    return Dots(*size, seen.rgb), lines


def turned_png(
    pixels: PhotoPixels,
    over: Overlay,
    marked: Landmarks,
    size: tuple[int, int],
    dot_px: int,
) -> bytes:
    """Return a turned photo as a PNG with its lines, so many pixels to a dot."""
    finer = size[0] * dot_px, size[1] * dot_px
    seen = turned(pixels, marked, finer)
    return png_over(finer, seen.rgb, over, place=seen.window.spot, dot_px=dot_px)

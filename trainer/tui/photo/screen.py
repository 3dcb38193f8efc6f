"""Marking the landmarks on a photo: the photo large, what is asked beside it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import ClassVar

from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.widgets import Static

from trainer.core.angle import marking as steps
from trainer.core.angle.check import Photo
from trainer.core.angle.figures import Figures, measure
from trainer.core.angle.landmarks import Facing, LandmarkError, Landmarks
from trainer.core.angle.lines import (
    LineInk,
    Overlay,
    figure_at,
    over_photo,
    overlay_of,
)
from trainer.core.angle.marking import Marked, Marking, Step
from trainer.errors import TrainerError
from trainer.photo.drawing import png_over
from trainer.photo.reading import OpenPhoto, PhotoPixels
from trainer.settings.settings import Photos
from trainer.tui.keymap import bind
from trainer.tui.photo.canvas import NOTHING, DotCanvas, Dots
from trainer.tui.photo.graphics import Graphics, graphics_here
from trainer.tui.screens.page import Page
from trainer.tui.widgets.keyline import KeyLine
from trainer.tui.widgets.sheet import lines, plain, styled

WHEEL = 2.0
"""How much one notch of the wheel closes in."""


class MarkingScreen(Page[Marked]):
    """One photo. Dismissed with what was marked, or with None."""

    HEADING = "Angle check"
    DEFAULT_CSS = """
    MarkingScreen #marking {
        height: 1fr;
        margin: 0 2 0 2;
    }
    MarkingScreen #photo {
        width: 1fr;
        height: 1fr;
    }
    MarkingScreen #asked {
        width: 24;
        height: 1fr;
        padding: 0 0 0 2;
    }
    MarkingScreen #question {
        height: auto;
        min-height: 5;
    }
    MarkingScreen #where {
        width: 15;
        height: 10;
    }
    MarkingScreen #figures {
        height: auto;
    }
    MarkingScreen.-broad #where, MarkingScreen.-wide #where {
        margin-top: 1;
    }
    MarkingScreen.-narrow #marking {
        margin: 0;
    }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        bind("marking.here", "here"),
        bind("marking.hidden", "hidden"),
        bind("marking.leave-out", "leave_out"),
        bind("marking.undo", "undo"),
        bind("marking.again", "again"),
        bind("marking.fine", "fine"),
        bind("marking.set", "set"),
        bind("marking.turn", "turn"),
        bind("marking.blocks", "blocks"),
        bind("marking.closer", "look(1)"),
        bind("marking.further", "look(-1)"),
        bind("marking.up", "move(0, -1)"),
        bind("marking.down", "move(0, 1)"),
        bind("marking.left", "move(-1, 0)"),
        bind("marking.right", "move(1, 0)"),
        bind("marking.up-fine", "move(0, -1, True)"),
        bind("marking.down-fine", "move(0, 1, True)"),
        bind("marking.left-fine", "move(-1, 0, True)"),
        bind("marking.right-fine", "move(1, 0, True)"),
    ]

    def __init__(self, path: Path) -> None:
        """Open the photo at PATH.

        Raises:
            TrainerError: it can't be looked at as a photo.
        """
        super().__init__()
        self._photo = OpenPhoto(path)
        self._pixels: PhotoPixels | None = None
        self._hash = ""
        self._marking: Marking | None = None
        self._done: tuple[Landmarks, ...] = ()
        self._fine = False
        self._drawn: tuple[steps.View, int] | None = None
        self._dots: Dots | None = None
        self._loaded = 0
        self._graphics: Graphics | None = None
        self._sent: tuple[steps.View, int, Overlay] | None = None

    @property
    def marking(self) -> Marking | None:
        """Where the marking stands; None until the screen has its size."""
        return self._marking

    def corner(self) -> str:
        """Say which photo it is."""
        width, height = self._photo.size
        return f"{self._photo.name} · {width} × {height}"

    def compose(self) -> ComposeResult:
        with Horizontal(id="heading"):
            yield Static(plain(self.HEADING), id="title")
            yield Static(plain(self.corner()), id="corner")
        with Horizontal(id="marking"):
            yield DotCanvas(id="photo")
            with Vertical(id="asked"):
                yield Static("", id="question")
                yield DotCanvas(id="where")
                yield Static("", id="figures")
        yield KeyLine()
        yield Static("", id="too-small")

    def on_mount(self) -> None:
        """Read the photo beside the screen: a first look, then all of it."""
        settings = getattr(self.app, "settings", None)
        wanted = Photos.AUTO if settings is None else settings.photos
        self._graphics = graphics_here(self.app, wanted)
        self._read()

    def on_screen_resume(self) -> None:
        """Draw the picture again: a question lay over it."""
        self.query_one("#photo", DotCanvas).draw_again()

    @work(thread=True, exclusive=True, exit_on_error=False, group="photo")
    def _read(self) -> None:
        try:
            self.app.call_from_thread(self._take, self._photo.overview())
            self.app.call_from_thread(self._take, self._photo.whole())
            self._hash = self._photo.sha256()
        except TrainerError as error:
            self.app.call_from_thread(self._give_up, error)

    def _take(self, pixels: PhotoPixels) -> None:
        if self.was_left:
            return
        self._pixels = pixels
        self._loaded += 1
        self._show()

    def _give_up(self, error: TrainerError) -> None:
        self.complain(error)
        self.dismiss(None)

    @on(DotCanvas.Resized, "#photo")
    def _fit(self) -> None:
        columns, rows = self.query_one("#photo", DotCanvas).dots
        if columns < 1 or rows < 1:
            return
        if self._marking is None:
            self._marking = steps.begin(*self._photo.size, columns, rows)
        else:
            self._marking = steps.resized(self._marking, columns, rows)
        self._show()

    def _go(self, marking: Marking) -> None:
        """Take another state, and draw it."""
        asked = self._marking is None or marking.step is not self._marking.step
        self._marking = marking
        self._show()
        if asked:
            self.refresh_bindings()

    def _show(self) -> None:
        marking = self._marking
        if marking is None:
            return
        canvas = self.query_one("#photo", DotCanvas)
        if self._pixels is not None and self._graphics and canvas.fits():
            self._send(canvas, self._pixels, marking, self._graphics)
        else:
            if self._pixels is not None and self._drawn != (marking.view, self._loaded):
                self._drawn = marking.view, self._loaded
                self._dots = dots_of(self._pixels, marking.view)
            canvas.show(self._dots, over_photo(marking))
        self.query_one("#question", Static).update(
            lines(
                (styled(self._progress(marking), "bold"), "", self._question(marking))
            )
        )
        self.query_one("#figures", Static).update(lines(self._figures(marking)))
        where = self.query_one("#where", DotCanvas)
        figure, place = figure_at(marking.step)
        where.display = place is not None
        if place is not None:
            column, row = place
            for x, y in ((0, 0), (1, 0), (-1, 0), (0, 1), (0, -1)):
                figure[column + x, row + y] = LineInk.CURSOR
        where.show(None, figure)

    def _send(
        self,
        canvas: DotCanvas,
        pixels: PhotoPixels,
        marking: Marking,
        graphics: Graphics,
    ) -> None:
        """Draw by the terminal's graphics, unless what it shows is the same."""
        sent = marking.view, self._loaded, overlay_of(marking)
        if sent != self._sent:
            self._sent = sent
            png = picture_of(pixels, marking, graphics.dot_px(*canvas.size))
            canvas.show_picture(png, graphics)

    def _progress(self, marking: Marking) -> str:
        if marking.done:
            return "Marked"
        order = [step for step in Step if step is not Step.WRIST]
        if marking.step is Step.WRIST:
            return "Wrist, for the elbow"
        return f"{marking.step.capitalize()} ({order.index(marking.step) + 1} of 6)"

    def _question(self, marking: Marking) -> str:
        return steps.EXPLAINED[marking.step]

    def _figures(self, marking: Marking) -> Iterator[str]:
        """Say the figures of the moment; in a second marking only at its end."""
        figures = marking.figures_now()
        if marking.done:
            yield ""
            yield from figure_lines(figures) if figures else (self._fault(marking),)
            if self._done and figures:
                first = measure(self._done[0]).overhead_deg
                yield ""
                yield f"First marks: {first:.1f}°"
                yield f"Apart: {abs(figures.overhead_deg - first):.1f}°"
            return
        if marking.step is Step.FACING:
            return
        if figures is not None and not self._done:
            yield from list(figure_lines(figures))[:4]
        dot = marking.view.px_per_dot
        size = f"{dot:.0f}" if dot >= 3 else f"{dot:.1f}"
        yield f"{size} px a dot: {'sets' if marking.sets_next else 'closer'}"

    def _fault(self, marking: Marking) -> str:
        try:
            measure(marking.landmarks)
        except LandmarkError as error:
            return f"{error}".capitalize()
        return ""

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Offer what the step takes."""
        marking = self._marking
        if marking is None:
            return action in ("back", "help")
        if action == "blocks":
            return self._graphics is not None
        if action == "hidden":
            return marking.step is Step.EAR
        if action == "leave_out":
            return marking.step is Step.ELBOW or marking.step in steps.OPTIONAL
        if action == "undo":
            return marking.before is not None
        if action == "again":
            return marking.done and not self._done and not self._fault(marking)
        if action in ("fine", "set", "look"):
            return marking.step not in (Step.FACING, Step.DONE)
        if action in ("here", "turn"):
            return marking.step is not Step.FACING
        return True

    def key_label(self, binding: Binding) -> str:
        """Say what a key does at the moment."""
        marking = self._marking
        if binding.action == "here" and marking is not None:
            if marking.done:
                return "Keep"
            return "Set" if marking.sets_next else "Closer"
        if binding.action == "fine" and self._fine:
            return "Coarse"
        return binding.description

    def action_move(self, right: int, down: int, fine: bool = False) -> None:
        """Move the cross; at first, say where the chest points."""
        if self._marking is None:
            return
        if self._marking.step is Step.FACING:
            if right:
                self._go(
                    steps.face(
                        self._marking, Facing.RIGHT if right > 0 else Facing.LEFT
                    )
                )
            return
        self._go(steps.move(self._marking, right, down, fine=fine or self._fine))

    def action_here(self) -> None:
        """Go closer, set the landmark, or keep all."""
        if self._marking is None:
            return
        if self._marking.done:
            self._keep()
        else:
            self._go(steps.here(self._marking))
            self.refresh_bindings()

    def action_set(self) -> None:
        """Set the landmark at once."""
        if self._marking is not None:
            self._go(steps.place(self._marking))

    def action_undo(self) -> None:
        """Go back to the landmark before."""
        if self._marking is not None:
            self._go(steps.undo(self._marking))

    def action_leave_out(self) -> None:
        """Leave the landmark out."""
        if self._marking is not None:
            self._go(steps.leave_out(self._marking))

    def action_hidden(self) -> None:
        """Say that the arm hides the ear."""
        if self._marking is not None:
            self._go(steps.hide_ear(self._marking))

    def action_fine(self) -> None:
        """Let the arrows move by less, or by more again."""
        self._fine = not self._fine
        self.refresh_bindings()

    def action_turn(self) -> None:
        """Say that the chest points to the other side."""
        marking = self._marking
        if marking is not None and marking.facing is not None:
            self._go(steps.face(marking, marking.facing.other))

    def action_blocks(self) -> None:
        """Draw by half blocks: the picture doesn't show as it should."""
        self._graphics = None
        self._show()
        self.refresh_bindings()

    def action_look(self, way: int) -> None:
        """Look from nearer or from further off."""
        if self._marking is not None:
            self._go(steps.closer(self._marking, steps.CLOSER**way))
            self.refresh_bindings()

    def action_again(self) -> None:
        """Mark the same photo again; the first marks are out of sight."""
        marking = self._marking
        if marking is None or not marking.done:
            return
        self._done = (marking.landmarks,)
        view = marking.view
        fresh = steps.begin(view.width, view.height, view.columns, view.rows)
        self._go(steps.face(fresh, marking.facing or Facing.RIGHT))

    @on(DotCanvas.Pressed, "#photo")
    def _pressed(self, event: DotCanvas.Pressed) -> None:
        marking = self._marking
        if marking is None or marking.done:
            return
        if marking.step is Step.FACING:
            right = event.column >= marking.view.columns / 2
            self._go(steps.face(marking, Facing.RIGHT if right else Facing.LEFT))
            return
        pointed = steps.point_at(marking, event.column, event.row)
        if event.wheel:
            self._go(steps.closer(pointed, WHEEL**event.wheel))
        else:
            self._go(steps.here(pointed))
        self.refresh_bindings()

    def _keep(self) -> None:
        marking = self._marking
        if marking is None:
            return
        fault = self._fault(marking)
        if fault:
            self.say(f"{fault}. Undo goes back to the last landmark.")
            return
        width, height = self._photo.size
        photo = Photo(
            self._photo.name, self._hash or self._photo.sha256(), width, height
        )
        self.dismiss(Marked(photo, (*self._done, marking.landmarks)))

    def action_back(self) -> None:
        """Leave; what is marked already is asked about."""
        marking = self._marking
        if marking is None or marking.before is None:
            self.dismiss(None)
            return

        def answered(said: str | None) -> None:
            if said == "leave":
                self.dismiss(None)

        self.ask(
            "Leave the photo unmarked?",
            [("stay", "Go on marking"), ("leave", "Leave; nothing is kept")],
            answered,
        )


def figure_lines(figures: Figures) -> Iterator[str]:
    """Yield the figures, one to a line, as they stand beside the photo."""
    sd = figures.overhead_sd_deg
    overhead = _aligned("overhead", figures.overhead_deg, 1, "°")
    yield overhead + (f" ±{sd:.0f}" if sd else "")
    for name, value, digits, unit in (
        ("lean", figures.lean_deg, 1, "°"),
        ("arm", figures.arm_deg, 1, "°"),
        ("flare", figures.flare, 2, ""),
        ("lift", figures.lift, 2, ""),
    ):
        if value is not None:
            yield _aligned(name, value, digits, unit)
    if figures.ear is not None:
        yield f"ear      {figures.ear}"


def _aligned(name: str, value: float, digits: int, unit: str) -> str:
    # Adding zero takes the sign from what was rounded to nothing.
    figure = f"{round(value, digits) + 0.0:.{digits}f}".replace("-", "−")
    return f"{name:9}{figure:>5}{unit}"


def picture_of(pixels: PhotoPixels, marking: Marking, dot_px: int) -> bytes:
    """Return what a marking shows as a PNG, with so many pixels to a half block."""
    view = marking.view.finer(dot_px)
    seen = dots_of(pixels, view)
    size, over = (seen.columns, seen.rows), overlay_of(marking)
    return png_over(size, seen.rgb, over, place=view.place, dot_px=dot_px)


def dots_of(pixels: PhotoPixels, view: steps.View) -> Dots:
    """Return what a view sees of a photo, dot by dot."""
    step = view.px_per_dot
    # The photo may be narrower than the screen: whole dots beside it stay empty.
    first = max(0, -int(view.left // step)) if view.left < 0 else 0
    upper = max(0, -int(view.top // step)) if view.top < 0 else 0
    across = min(view.columns - first, int((view.width - view.left) / step) - first)
    down = min(view.rows - upper, int((view.height - view.top) / step) - upper)
    across, down = max(1, across), max(1, down)
    left, top = view.left + first * step, view.top + upper * step
    box = (
        max(0.0, left),
        max(0.0, top),
        min(float(view.width), left + across * step),
        min(float(view.height), top + down * step),
    )
    part = pixels.part(box, (across, down)).tobytes()
    rows = bytearray(bytes(NOTHING) * (view.columns * view.rows))
    for row in range(down):
        start = 3 * ((upper + row) * view.columns + first)
        rows[start : start + 3 * across] = part[
            3 * row * across : 3 * (row + 1) * across
        ]
    return Dots(view.columns, view.rows, bytes(rows))

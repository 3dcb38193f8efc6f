"""A photo on the screen, two dots to a cell: half blocks, which every terminal has."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from rich.color import Color
from rich.segment import Segment
from rich.style import Style
from textual import events
from textual.message import Message
from textual.strip import Strip
from textual.widget import Widget

from trainer.core.angle.lines import Dot, LineInk

Rgb = tuple[int, int, int]
INKS: Mapping[LineInk, Rgb] = {
    LineInk.SHADE: (20, 23, 26),
    LineInk.TRUNK: (86, 180, 233),
    LineInk.ARM: (240, 228, 66),
    LineInk.RING: (255, 255, 255),
    LineInk.CURSOR: (230, 159, 0),
}
"""Of Okabe and Ito's palette; on a photo none is ever safe alone, hence the shapes."""
NOTHING: Rgb = (20, 23, 26)


@dataclass(frozen=True, slots=True)
class Dots:
    """Colours by dot: three bytes each, row by row."""

    columns: int
    rows: int
    rgb: bytes

    def at(self, column: int, row: int) -> Rgb:
        """Return one dot's colour; beside the picture there is nothing."""
        if not (0 <= column < self.columns and 0 <= row < self.rows):
            return NOTHING
        start = 3 * (row * self.columns + column)
        return self.rgb[start], self.rgb[start + 1], self.rgb[start + 2]


class DotCanvas(Widget):
    """Dots, two to a cell, with lines over them."""

    DEFAULT_CSS = """
    DotCanvas { width: 1fr; height: 1fr; }
    """

    class Pressed(Message):
        """The mouse was pressed on a dot, or its wheel turned there."""

        def __init__(
            self, canvas: DotCanvas, column: float, row: float, wheel: int = 0
        ) -> None:
            super().__init__()
            self.canvas = canvas
            self.column = column
            self.row = row
            self.wheel = wheel
            """1 towards the photo, −1 away from it, 0: pressed."""

        @property
        def control(self) -> DotCanvas:
            """The canvas that it was."""
            return self.canvas

    class Resized(Message):
        """The canvas has another size."""

        def __init__(self, canvas: DotCanvas) -> None:
            super().__init__()
            self.canvas = canvas

        @property
        def control(self) -> DotCanvas:
            """The canvas that it was."""
            return self.canvas

    def __init__(self, *, id: str | None = None) -> None:  # noqa: A002 - framework's
        super().__init__(id=id)
        self._dots: Dots | None = None
        self._lines: Mapping[Dot, LineInk] = {}

    @property
    def dots(self) -> tuple[int, int]:
        """Dots across and down."""
        return self.size.width, 2 * self.size.height

    def show(self, dots: Dots | None, lines: Mapping[Dot, LineInk]) -> None:
        """Draw another picture, or other lines over it."""
        self._dots, self._lines = dots, lines
        self.refresh()

    def render_line(self, y: int) -> Strip:
        width = self.size.width
        segments = []
        run, before = 0, None
        for column in range(width):
            colours = self._colour(column, 2 * y), self._colour(column, 2 * y + 1)
            if colours != before and before is not None:
                segments.append(_cells(run, before))
                run = 0
            run, before = run + 1, colours
        if before is not None:
            segments.append(_cells(run, before))
        return Strip(segments, width)

    def _colour(self, column: int, row: int) -> Rgb:
        ink = self._lines.get((column, row))
        if ink is not None:
            return INKS[ink]
        return NOTHING if self._dots is None else self._dots.at(column, row)

    def on_resize(self) -> None:
        self.post_message(self.Resized(self))

    def on_click(self, event: events.Click) -> None:
        """Pass on where the mouse was pressed."""
        at = event.get_content_offset(self)
        if at is not None:
            self.post_message(self.Pressed(self, at.x, 2 * at.y + 0.5))

    def on_mouse_scroll_up(self, event: events.MouseScrollUp) -> None:
        """Go closer to where the mouse is."""
        self._wheel(event, 1)

    def on_mouse_scroll_down(self, event: events.MouseScrollDown) -> None:
        """Go further off."""
        self._wheel(event, -1)

    def _wheel(self, event: events.MouseEvent, way: int) -> None:
        event.stop()
        at = event.get_content_offset(self)
        if at is not None:
            self.post_message(self.Pressed(self, at.x, 2 * at.y + 0.5, way))


def _cells(count: int, colours: tuple[Rgb, Rgb]) -> Segment:
    upper, lower = colours
    if upper == lower:
        return Segment(" " * count, Style(bgcolor=Color.from_rgb(*upper)))
    return Segment(
        "▀" * count,
        Style(color=Color.from_rgb(*upper), bgcolor=Color.from_rgb(*lower)),
    )

"""A photo on the screen: two dots to a cell as half blocks, which nearly every terminal
has, or a picture by the terminal's own graphics.

A terminal without half blocks gets characters that cover more of a cell the brighter it
is, and a sign for each kind of line.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import count

from rich.color import Color
from rich.segment import Segment
from rich.style import Style
from textual import events
from textual.message import Message
from textual.strip import Strip
from textual.widget import Widget

from trainer.core.angle.lines import Dot, LineInk
from trainer.photo.drawing import INKS, Rgb
from trainer.tui.letters import screen_alphabet
from trainer.tui.photo.graphics import (
    MOST_CELLS,
    Graphics,
    Protocol,
    inline_picture,
    kitty_cells,
    kitty_gone,
    kitty_picture,
    number_as_rgb,
)

NOTHING: Rgb = (20, 23, 26)
_NUMBERS = count(os.getpid() % 0xFFFF * 0x80 + 1)
"""Of the pictures that are sent: other programs on the terminal send some too."""
_SIGNS: Mapping[LineInk, str] = {
    LineInk.SHADE: " ",
    LineInk.TRUNK: "T",
    LineInk.ARM: "A",
    LineInk.RING: "O",
    LineInk.CURSOR: "X",
}
"""The kinds of line where there are no half blocks, nor colours to trust."""
_BRIGHTNESS = " .:-=+*%@"
"""By how much of a cell is inked, from dark to bright."""
_LUMA = (0.2126, 0.7152, 0.0722)
"""How much red, green and blue weigh in brightness (ITU-R BT.709)."""


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
    """Dots, two to a cell, with lines over them; or a picture in their place."""

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
        self._png = b""
        self._graphics: Graphics | None = None
        self._number = next(_NUMBERS)
        self._in_ascii = screen_alphabet() is not None

    @property
    def dots(self) -> tuple[int, int]:
        """Dots across and down."""
        return self.size.width, 2 * self.size.height

    def show(self, dots: Dots | None, lines: Mapping[Dot, LineInk]) -> None:
        """Draw other dots, or other lines over them."""
        self._drop_picture()
        self._dots, self._lines = dots, lines
        self.refresh()

    def show_picture(self, png: bytes, graphics: Graphics) -> None:
        """Draw a picture over all cells; its lines are in it."""
        self._png, self._graphics = png, graphics
        if graphics.protocol is Protocol.KITTY:
            self._write(kitty_picture(self._number, png, *self.size))
        self.refresh()
        self.draw_again()

    def draw_again(self) -> None:
        """Draw the picture again where something was written over it."""
        if self._graphics and self._graphics.protocol is Protocol.INLINE:
            self.call_after_refresh(self._draw_inline)

    def fits(self) -> bool:
        """Tell whether a picture can be as large as this."""
        return 0 < max(self.size) <= MOST_CELLS

    def _draw_inline(self) -> None:
        if not self._png or self.app.screen is not self.screen:
            return
        left, top, columns, rows = self.content_region
        self._write(inline_picture(self._png, columns, rows, left=left, top=top))

    def _drop_picture(self) -> None:
        if self._graphics and self._graphics.protocol is Protocol.KITTY:
            self._write(kitty_gone(self._number))
        self._png, self._graphics = b"", None

    def _write(self, sequence: str) -> None:
        """Write to the terminal in turn with what the framework writes.

        Its driver is the only way: a second writer would break into its sequences.
        """
        driver = self.app._driver
        if driver is not None:
            driver.write(sequence)

    def on_unmount(self) -> None:
        """Leave nothing in the terminal's memory."""
        self._drop_picture()

    def render_line(self, y: int) -> Strip:
        width = self.size.width
        if self._graphics and self._graphics.protocol is Protocol.KITTY:
            colour = Color.from_rgb(*number_as_rgb(self._number))
            style = Style(color=colour, bgcolor=Color.from_rgb(*NOTHING))
            return Strip([Segment(kitty_cells(y, width), style)], width)
        if self._in_ascii:
            signs = "".join(self._sign(column, 2 * y) for column in range(width))
            return Strip([Segment(signs, self.rich_style)], width)
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

    def _sign(self, column: int, row: int) -> str:
        """Give the sign of a line in either dot of a cell, else how bright they are."""
        dots = ((column, row), (column, row + 1))
        inks = [self._lines[dot] for dot in dots if dot in self._lines]
        if inks:
            return _SIGNS[
                next((ink for ink in inks if ink is not LineInk.SHADE), inks[0])
            ]
        if self._dots is None:
            return " "
        colours = [self._dots.at(*dot) for dot in dots]
        bright = sum(
            weight * part
            for colour in colours
            for weight, part in zip(_LUMA, colour, strict=True)
        ) / (255 * len(colours))
        return _BRIGHTNESS[min(int(bright * len(_BRIGHTNESS)), len(_BRIGHTNESS) - 1)]

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

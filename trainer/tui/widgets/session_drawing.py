"""A body with the arms overhead, on which places are picked during the rest.

Two pickers share the drawing: where the stretch was felt, and where it hurts. The
place under the mark is shown reversed, chosen places are filled with a sign, and both
are named beside the drawing, so that no colour is needed.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import ClassVar

from textual import events
from textual.binding import BindingType
from textual.content import Content
from textual.message import Message
from textual.widget import Widget

from trainer.core.body import (
    BODY_CAPTION,
    BODY_COLUMNS,
    BODY_ROWS,
    Direction,
    neighbour,
    site_at,
    site_cells,
)
from trainer.core.model import (
    FELT_SITES,
    Felt,
    Moment,
    Side,
    Site,
)
from trainer.tui.keymap import bind

CHOSEN = "x"
"""Fills the places that were chosen."""
_BESIDE = 3
ROWS = len(BODY_ROWS) + 1


MOMENT_WORDS: Mapping[Moment, str] = {
    Moment.SETTLED: "all the time",
    Moment.EXHALE: "only with the exhale",
}
"""What the moments are called where somebody chooses one."""
_SITE_WORDS: Mapping[Site, str] = {
    Site.FRONT_SHOULDER: "front of the shoulder",
    Site.TOP_SHOULDER: "top of the shoulder",
    Site.BETWEEN_BLADES: "between the blades",
    Site.LOW_BACK: "low back",
}


def site_words(site: Site) -> str:
    """Name a site as a person would: ``between the blades``."""
    return _SITE_WORDS.get(site, site.value)


def felt_words(felt: Felt) -> str:
    """Say one place in words: ``armpit, both, all the time, 6``."""
    parts = [site_words(felt.site)]
    if felt.side is not None:
        parts.append(felt.side)
    if felt.moment is not None:
        parts.append(MOMENT_WORDS[felt.moment])
    if felt.strength is not None:
        parts.append(f"{felt.strength:g}")
    return ", ".join(parts)


class Drawing(Widget, can_focus=True):
    """The drawing with a mark on it, and words beside it."""

    SITES: ClassVar[tuple[Site, ...]] = FELT_SITES
    BINDINGS: ClassVar[list[BindingType]] = [
        bind("drawing.up", "move('up')"),
        bind("drawing.down", "move('down')"),
        bind("drawing.left", "move('left')"),
        bind("drawing.right", "move('right')"),
    ]
    DEFAULT_CSS = f"""
    Drawing {{ width: 1fr; height: {ROWS}; max-width: 96; }}
    """

    class Closed(Message):
        """The person is done with it."""

    def __init__(self, *, id: str | None = None) -> None:  # noqa: A002 - Textual's name
        super().__init__(id=id)
        self.site: Site | None = None

    def chosen(self) -> Mapping[Site, Side]:
        """Give the places to fill, with their sides."""
        return {}

    def words(self) -> Sequence[Content]:
        """Give what stands beside the drawing."""
        return ()

    def render(self) -> Content:
        """Draw the body, and the words beside it."""
        beside = self._beside(max(1, self.size.width - BODY_COLUMNS - _BESIDE))
        marked = (
            frozenset(site_cells(self.site)) if self.site is not None else frozenset()
        )
        filled = frozenset(
            cell
            for site, side in self.chosen().items()
            for cell in site_cells(site, side)
        )
        lines = []
        for row, line in enumerate((*BODY_ROWS, BODY_CAPTION)):
            drawn = Content(
                "".join(
                    CHOSEN if (row, col) in filled else char
                    for col, char in enumerate(line)
                )
            )
            for col in range(len(line)):
                if (row, col) in marked:
                    drawn = drawn.stylize("reverse bold", col, col + 1)
                elif (row, col) in filled:
                    drawn = drawn.stylize("bold", col, col + 1)
            # Blank cells carry no ink, so that no terminal joins them to the drawing.
            drawn = drawn.stylize("$text-muted", 0, len(line) - len(line.lstrip()))
            words = beside[row] if row < len(beside) else Content("")
            lines.append(Content.assemble(drawn, " " * _BESIDE, words))
        return Content("\n").join(lines)

    def _beside(self, width: int) -> list[Content]:
        return [part for each in self.words() for part in each.wrap(width) or [each]]

    def action_move(self, direction: str) -> None:
        """Move the mark; the first arrow puts it on the drawing."""
        if self.site is None:
            self.site = Site.ARMPIT
        else:
            self.site = neighbour(self.site, Direction(direction), self.SITES)
        self.refresh()

    def action_close(self) -> None:
        """Go back to the log."""
        self.post_message(self.Closed())

    def on_click(self, event: events.Click) -> None:
        """Mark the place that was clicked."""
        offset = event.get_content_offset_capture(self)
        site = site_at(offset.y, offset.x)
        if site is not None and site in self.SITES:
            event.stop()
            self.site = site
            self.refresh()
            self.picked()

    def picked(self) -> None:
        """A place was clicked."""

"""A drawing of a body with the arms straight overhead, and where each site lies on it.

Two figures stand side by side, front and back, as rows of plain characters, so that
the drawing survives every terminal; a letter in them stands for the place that it is.
The log picks sites on it, as large as there is room, and the felt map shades it.

The front figure faces the reader: the person's right is on the reader's left. On the
back figure it is the other way round. The caption says so.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping, Sequence
from enum import StrEnum

from trainer.core.charts.canvas import UNICODE, Canvas, Glyphs, Ink, Picture
from trainer.core.model import FELT_SITES, Moment, Side, Site
from trainer.core.review.felt import Block, Mark, name
from trainer.core.review.pain import Place
from trainer.core.words import month_name, number

Cell = tuple[int, int]
"""A row and a column of the drawing, both from 0."""

_SMALL_FRONT = (
    " .--.       .--. ",
    " |hh|       |hh| ",
    " |ww|  .-.  |ww| ",
    " |mm| /   \\ |mm| ",
    " |ee| | ^ | |ee| ",
    " |  | \\ - / |  | ",
    " |  '. |k| .'  | ",
    " \\ff '-'k'-' ff/ ",
    "  \\fff     fff/  ",
    "  |aa ccccc aa|  ",
    "  |aa cc cc aa|  ",
    "   \\ iii iii /   ",
    "   | iii iii |   ",
)
_SMALL_BACK = (
    " .--.       .--. ",
    " |hh|       |hh| ",
    " |ww|  .-.  |ww| ",
    " |mm| /:::\\ |mm| ",
    " |ee| |:::| |ee| ",
    " |xx| \\:::/ |xx| ",
    " |xx'. |k| .'xx| ",
    " \\xxx'-'k'-'xxx/ ",
    "  \\oooo k oooo/  ",
    "  |t vvv'vvv t|  ",
    "  |tt vv'vv tt|  ",
    "   \\ttt ' ttt/   ",
    "   |t yy'yy t|   ",
)
_LARGE_FRONT = (
    "   .--.           .--.   ",
    "   |hh|           |hh|   ",
    "   )ww(           )ww(   ",
    "   |mm|   .---.   |mm|   ",
    "   |mm|  /     \\  |mm|   ",
    "   |mm|  | ' ' |  |mm|   ",
    "   )ee(  |  ^  |  )ee(   ",
    "   |  |  \\ --- /  |  |   ",
    "   |  |   '._.'   |  |   ",
    "   |  '.   |k|   .'  |   ",
    "   |ff  '--'k'--'  ff|   ",
    "    \\ffff   k   ffff/    ",
    "     \\ffff     ffff/     ",
    "     |aacccc ccccaa|     ",
    "     |aacccc ccccaa|     ",
    "      \\a ccc ccc a/      ",
    "      |  iii iii  |      ",
    "      | iiii iiii |      ",
)
_LARGE_BACK = (
    "   .--.           .--.   ",
    "   |hh|           |hh|   ",
    "   )ww(           )ww(   ",
    "   |mm|   .---.   |mm|   ",
    "   |mm|  /:::::\\  |mm|   ",
    "   |mm|  |:::::|  |mm|   ",
    "   )ee(  |:::::|  )ee(   ",
    "   |xx|  \\:::::/  |xx|   ",
    "   |xx|   '._.'   |xx|   ",
    "   |xx'.   |k|   .'xx|   ",
    "   |xxx '--'k'--' xxx|   ",
    "    \\oooooo k oooooo/    ",
    "     \\ooooo ' ooooo/     ",
    "     |tt vvv'vvv tt|     ",
    "     |ttt vv'vv ttt|     ",
    "      \\ttt v'v ttt/      ",
    "      |ttt y'y ttt|      ",
    "      |  yyy'yyy  |      ",
)

GAP_COLUMNS = 3
"""Between the two figures."""


class Body:
    """The two figures side by side, in one size, and the place under each cell.

    Args:
        front: rows of the front figure; a letter stands for its place.
        back: the same of the back figure, as many and as wide.
    """

    def __init__(self, front: Sequence[str], back: Sequence[str]) -> None:
        gap = " " * GAP_COLUMNS
        figure = len(front[0])
        self.figure_columns = figure
        """How wide one of the figures is."""
        self._rows = tuple(f + gap + b for f, b in zip(front, back, strict=True))
        self.rows: tuple[str, ...] = tuple(_LETTER.sub(" ", row) for row in self._rows)
        """The drawing alone: the front figure, a gap, the back figure."""
        self.columns: int = len(self.rows[0])
        self.caption: str = (
            "right front left".center(figure) + gap + "left back right".center(figure)
        )
        """The line under it: which figure is which, and the person's own sides."""
        self._cells: dict[Site, tuple[Cell, ...]] = {
            site: tuple(
                (row, col)
                for row, line in enumerate(self._rows)
                for col, letter in enumerate(line)
                if letter == site.letter
            )
            for site in Site
        }

    def site_at(self, row: int, col: int) -> Site | None:
        """Name the site under a cell, or None beside every site."""
        if not (0 <= row < len(self._rows) and 0 <= col < self.columns):
            return None
        return _SITES.get(self._rows[row][col])

    def side_at(self, col: int) -> Side | None:
        """Name the person's side under a column; None on a middle line or beside."""
        back_at = self.figure_columns + GAP_COLUMNS
        on_back = col >= back_at
        offset = col - (back_at if on_back else 0) - self.figure_columns // 2
        between = self.figure_columns <= col < back_at
        if offset == 0 or not 0 <= col < self.columns or between:
            return None
        return Side.LEFT if (offset < 0) is on_back else Side.RIGHT

    def cells(self, site: Site, side: Side = Side.BOTH) -> tuple[Cell, ...]:
        """Return a site's cells on both figures, row by row.

        Args:
            site: where.
            side: the person's own left or right; cells on the middle line are of each.
        """
        if side is Side.BOTH:
            return self._cells[site]
        return tuple(
            cell for cell in self._cells[site] if self.side_at(cell[1]) in (side, None)
        )


_LETTER = re.compile("[a-z]")
_SITES: Mapping[str, Site] = {site.letter: site for site in Site}
SMALL = Body(_SMALL_FRONT, _SMALL_BACK)
LARGE = Body(_LARGE_FRONT, _LARGE_BACK)


class Direction(StrEnum):
    """A move by arrow key."""

    UP = "up"
    DOWN = "down"
    LEFT = "left"
    RIGHT = "right"


FRONT_ORDER = (
    Site.HAND,
    Site.WRIST,
    Site.FOREARM,
    Site.ELBOW,
    Site.FRONT_SHOULDER,
    Site.PECS,
    Site.ARMPIT,
    Site.RIBS,
)
"""The sites picked on the front figure, from the hands down."""
BACK_ORDER = (
    Site.TRICEPS,
    Site.NECK,
    Site.TOP_SHOULDER,
    Site.BETWEEN_BLADES,
    Site.LATS,
    Site.LOW_BACK,
)
"""The sites picked on the back figure, from the arms down."""


def neighbour(
    site: Site, direction: Direction, sites: Collection[Site] = FELT_SITES
) -> Site:
    """Give the site that an arrow key leads to; the same one where there is none.

    Up and down walk along a figure, left and right change to the other one at about
    the same height.

    Args:
        site: the site left.
        direction: the arrow.
        sites: those that may be picked; ``PAIN_SITES`` adds the hand and the elbow.
    """
    orders = tuple(
        tuple(one for one in order if one in sites)
        for order in (FRONT_ORDER, BACK_ORDER)
    )
    here = 0 if site in FRONT_ORDER else 1
    if direction in (Direction.LEFT, Direction.RIGHT):
        there = 0 if direction is Direction.LEFT else 1
        if there == here or not orders[there]:
            return site
        return min(orders[there], key=lambda one: abs(_height(one) - _height(site)))
    step = -1 if direction is Direction.UP else 1
    index = orders[here].index(site) + step if site in orders[here] else 0
    return orders[here][index] if 0 <= index < len(orders[here]) else site


def _height(site: Site) -> float:
    rows = [row for row, _ in SMALL.cells(site)]
    return sum(rows) / len(rows)


# The felt map: the body drawing shaded by how often and how strongly.

MOMENT_TITLES = {
    Moment.SETTLED: "settled: felt all the time",
    Moment.EXHALE: "exhale: came with the long exhale",
    None: "felt, the moment not noted",
}
GAP = 3
ROWS = len(SMALL.rows) + 5
"""Rows of a map: two of titles, the drawing, the caption, two lines of names."""


def felt_chart(
    maps: Sequence[tuple[Block, Moment | None]], *, glyphs: Glyphs = UNICODE
) -> Picture:
    """Draw maps side by side, each with its strongest places named below.

    Args:
        maps: a block and the moment to shade, None for any; the caller takes as many
            as fit.
        glyphs: the characters to shade with.
    """
    canvas = Canvas(max(1, len(maps) * (SMALL.columns + GAP) - GAP), ROWS)
    for place, (block, moment) in enumerate(maps):
        _draw_block(canvas, block, moment, glyphs, left=place * (SMALL.columns + GAP))
    return canvas.picture()


def moments_noted(found: Sequence[Block]) -> tuple[Moment | None, ...]:
    """Return the moments that were noted in any block; none was: no moment, once."""
    noted = tuple(
        moment for moment in Moment if any(block.marks[moment] for block in found)
    )
    return noted or (None,)


def maps_that_fit(width: int) -> int:
    """Count the maps that fit side by side; one at least."""
    return max(1, (width + GAP) // (SMALL.columns + GAP))


def block_title(block: Block) -> str:
    """Name a block: ``3 Aug to 30 Aug, 11 sessions``, ``since 31 Aug, 9 sessions``."""
    first, last = block.first.monday, block.last.sunday
    begin = f"{first.day} {month_name(first)[:3]}"
    end = f"{last.day} {month_name(last)[:3]}"
    when = f"since {begin}" if block.running else f"{begin} to {end}"
    return f"{when}, {block.sessions} session{'' if block.sessions == 1 else 's'}"


def mark_text(mark: Mark) -> str:
    """Name a place with its figures: ``ribs 8x at 6``."""
    strength = "" if mark.strength is None else f" at {number(mark.strength)}"
    return f"{name(mark.site)} {mark.sessions}x{strength}"


def _draw_block(
    canvas: Canvas, block: Block, moment: Moment | None, glyphs: Glyphs, *, left: int
) -> None:
    canvas.put(0, left, MOMENT_TITLES[moment], Ink.STRONG)
    canvas.put(1, left, block_title(block)[: SMALL.columns])
    for row, text in enumerate(SMALL.rows, start=2):
        canvas.put(row, left, text, Ink.DIM)
    marks = block.marks[moment]
    for mark in marks:
        if mark.level:
            ink = Ink.SECOND if moment is Moment.EXHALE else Ink.FIRST
            side = mark_side(mark)
            for row, col in SMALL.cells(mark.site, side):
                canvas.put(row + 2, left + col, glyphs.shades[mark.level - 1], ink)
    canvas.put(len(SMALL.rows) + 2, left, SMALL.caption, Ink.DIM)
    texts = [mark_text(mark) for mark in marks[:4]] or ["nothing noted"]
    for row, text in enumerate(_two_lines(texts), start=len(SMALL.rows) + 3):
        canvas.put(row, left, text)


def mark_side(mark: Mark) -> Side:
    """Shade one side alone only where it was the only one noted."""
    if mark.left and not mark.right:
        return Side.LEFT
    if mark.right and not mark.left:
        return Side.RIGHT
    return Side.BOTH


def _two_lines(texts: Sequence[str]) -> list[str]:
    lines = [""]
    for text in texts:
        joined = f"{lines[-1]}, {text}" if lines[-1] else text
        if len(joined) <= SMALL.columns:
            lines[-1] = joined
        elif len(lines) < 2:
            lines.append(text[: SMALL.columns])
    return lines


# Where it hurts: the same drawing with a sign at each site.

HURTS_SIGN, WAS_SIGN = "!", "o"
"""At a site with open pain, and at one where it is gone."""
HURTS_KEY = f"{HURTS_SIGN} open  {WAS_SIGN} gone"


def pain_chart(places: Sequence[tuple[Place, bool]]) -> Picture:
    """Draw where it hurts, given each pain and whether it is open."""
    canvas = Canvas(SMALL.columns, len(SMALL.rows) + 2)
    for row, text in enumerate(SMALL.rows):
        canvas.put(row, 0, text, Ink.DIM)
    # What is open is drawn last, over what is gone.
    for (_, site, side), is_open in sorted(places, key=lambda one: one[1]):
        if site is not None:
            for row, col in SMALL.cells(site, side or Side.BOTH):
                sign = HURTS_SIGN if is_open else WAS_SIGN
                canvas.put(row, col, sign, Ink.STRONG if is_open else Ink.SECOND)
    canvas.put(len(SMALL.rows), 0, SMALL.caption, Ink.DIM)
    canvas.put(
        len(SMALL.rows) + 1, 0, HURTS_KEY.center(SMALL.columns).rstrip(), Ink.DIM
    )
    return canvas.picture()

"""A drawing of a body with the arms straight overhead, and where each site lies on it.

Two figures stand side by side, front and back, as rows of plain characters, so that
the drawing survives every terminal. A second grid of the same shape names the site
under each cell. The log picks sites on it and the felt map shades it.

The front figure faces the reader: the person's right is on the reader's left. On the
back figure it is the other way round. ``BODY_CAPTION`` says so.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from enum import StrEnum

from trainer.core.model import FELT_SITES, Side, Site

Cell = tuple[int, int]
"""A row and a column of the drawing, both from 0."""

_FRONT = (
    ".''.         .''.",
    "(  )         (  )",
    "|  |         |  |",
    "|  |  .---.  |  |",
    "|  | / o o \\ |  |",
    "|  | \\  -  / |  |",
    "|   '-'| |'-'   |",
    " \\             / ",
    "  \\           /  ",
    "   |         |   ",
    "   |         |   ",
    "   |         |   ",
    "  /     .     \\  ",
)
_FRONT_SITES = (
    " hh           hh ",
    " ww           ww ",
    " ff           ff ",
    " ee           ee ",
    "                 ",
    "                 ",
    " sss    n    sss ",
    "  ssss nnn ssss  ",
    "   aapppppppaa   ",
    "    aapppppaa    ",
    "    rrrrrrrrr    ",
    "    rrrrrrrrr    ",
    "                 ",
)
_BACK = (
    ".''.         .''.",
    "(  )         (  )",
    "|  |         |  |",
    "|  |  .---.  |  |",
    "|  | /     \\ |  |",
    "|  | \\     / |  |",
    "|   '-'| |'-'   |",
    " \\      '      / ",
    "  \\     '     /  ",
    "   |    '    |   ",
    "   |    '    |   ",
    "   |    '    |   ",
    "  /     '     \\  ",
)
_BACK_SITES = (
    " hh           hh ",
    " ww           ww ",
    " ff           ff ",
    " ee           ee ",
    " tt           tt ",
    " tt           tt ",
    " ttt    n    ttt ",
    "  uuuu n n uuuu  ",
    "   lbbbb bbbbl   ",
    "    lbbb bbbl    ",
    "    llll llll    ",
    "    llkk kkll    ",
    "      kk kk      ",
)
_LETTERS: Mapping[str, Site] = {
    "h": Site.HAND,
    "w": Site.WRIST,
    "f": Site.FOREARM,
    "e": Site.ELBOW,
    "s": Site.FRONT_SHOULDER,
    "n": Site.NECK,
    "a": Site.ARMPIT,
    "p": Site.PECS,
    "r": Site.RIBS,
    "t": Site.TRICEPS,
    "u": Site.TOP_SHOULDER,
    "b": Site.BETWEEN_BLADES,
    "l": Site.LATS,
    "k": Site.LOW_BACK,
}

FIGURE_COLUMNS = len(_FRONT[0])
_GAP = " " * 3
_BACK_AT = FIGURE_COLUMNS + len(_GAP)

BODY_ROWS: tuple[str, ...] = tuple(
    front + _GAP + back for front, back in zip(_FRONT, _BACK, strict=True)
)
"""The drawing: the front figure, a gap, the back figure."""
BODY_COLUMNS = len(BODY_ROWS[0])
BODY_CAPTION = (
    "right front left".center(FIGURE_COLUMNS)
    + _GAP
    + "left back right".center(FIGURE_COLUMNS)
)
"""The line under the drawing: which figure is which, and the person's own sides."""

_SITES: tuple[str, ...] = tuple(
    front + _GAP + back for front, back in zip(_FRONT_SITES, _BACK_SITES, strict=True)
)


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


def site_at(row: int, col: int) -> Site | None:
    """Name the site under a cell, or None beside every site."""
    if not (0 <= row < len(_SITES) and 0 <= col < BODY_COLUMNS):
        return None
    return _LETTERS.get(_SITES[row][col])


def side_at(col: int) -> Side | None:
    """Name the person's side under a column; None on a middle line or in the gap."""
    on_back = col >= _BACK_AT
    offset = col - (_BACK_AT if on_back else 0) - FIGURE_COLUMNS // 2
    if offset == 0 or not 0 <= col < BODY_COLUMNS or FIGURE_COLUMNS <= col < _BACK_AT:
        return None
    return Side.LEFT if (offset < 0) is on_back else Side.RIGHT


_CELLS: Mapping[Site, tuple[Cell, ...]] = {
    site: tuple(
        (row, col)
        for row, line in enumerate(_SITES)
        for col, letter in enumerate(line)
        if letter == key
    )
    for key, site in _LETTERS.items()
}


def site_cells(site: Site, side: Side = Side.BOTH) -> tuple[Cell, ...]:
    """Give a site's cells on both figures, row by row.

    Args:
        site: where.
        side: the person's own left or right; cells on the middle line belong to each.
    """
    if side is Side.BOTH:
        return _CELLS[site]
    return tuple(cell for cell in _CELLS[site] if side_at(cell[1]) in (side, None))


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
    rows = [row for row, _ in _CELLS[site]]
    return sum(rows) / len(rows)

"""The felt map: the body drawing shaded by how often and how strongly."""

from __future__ import annotations

from collections.abc import Sequence

from trainer.core.body import BODY_CAPTION, BODY_COLUMNS, BODY_ROWS, site_cells
from trainer.core.charts import UNICODE, Canvas, Glyphs, Ink, Picture, number
from trainer.core.feltmap import Block, Mark, name
from trainer.core.model import Moment, Side
from trainer.core.weeks import month_name

MOMENT_TITLES = {
    Moment.SETTLED: "settled: felt all the time",
    Moment.EXHALE: "exhale: came with the long exhale",
}
GAP = 3
ROWS = len(BODY_ROWS) + 4
"""Rows of a map: the title, the drawing, the caption, two lines of names."""


def felt_chart(
    found: Sequence[Block], *, moment: Moment | None, glyphs: Glyphs = UNICODE
) -> Picture:
    """Draw blocks side by side, oldest first, with the strongest places named below.

    Args:
        found: the blocks; the caller takes as many as fit.
        moment: which to shade; None for any.
        glyphs: the characters to shade with.
    """
    canvas = Canvas(max(1, len(found) * (BODY_COLUMNS + GAP) - GAP), ROWS)
    for place, block in enumerate(found):
        _draw_block(canvas, block, moment, glyphs, left=place * (BODY_COLUMNS + GAP))
    return canvas.picture()


def map_rows(found: Sequence[Block]) -> tuple[tuple[str, Moment | None], ...]:
    """Give the rows of a felt map that aren't empty, with their titles.

    Where no moment was ever noted, one row shows what was felt at any.
    """
    if not found:
        return ()
    rows = tuple(
        (title, moment)
        for moment, title in MOMENT_TITLES.items()
        if any(block.marks[moment] for block in found)
    )
    return rows or (("felt, the moment not noted", None),)


def blocks_that_fit(width: int) -> int:
    """Count the blocks that fit side by side; one at least."""
    return max(1, (width + GAP) // (BODY_COLUMNS + GAP))


def block_title(block: Block) -> str:
    """Name a block: ``3 Aug to 30 Aug, 11 sessions``."""
    first, last = block.first.monday, block.last.sunday
    return (
        f"{first.day} {month_name(first)[:3]} to {last.day} {month_name(last)[:3]},"
        f" {block.sessions} session{'' if block.sessions == 1 else 's'}"
    )


def mark_text(mark: Mark) -> str:
    """Name a place with its figures: ``ribs 8x at 6``."""
    strength = "" if mark.strength is None else f" at {number(mark.strength)}"
    return f"{name(mark.site)} {mark.sessions}x{strength}"


def _draw_block(
    canvas: Canvas, block: Block, moment: Moment | None, glyphs: Glyphs, *, left: int
) -> None:
    canvas.put(0, left, block_title(block)[:BODY_COLUMNS], Ink.STRONG)
    for row, text in enumerate(BODY_ROWS, start=1):
        canvas.put(row, left, text, Ink.DIM)
    marks = block.marks[moment]
    for mark in marks:
        if mark.level:
            ink = Ink.SECOND if moment is Moment.EXHALE else Ink.FIRST
            side = mark_side(mark)
            for row, col in site_cells(mark.site, side):
                canvas.put(row + 1, left + col, glyphs.shades[mark.level - 1], ink)
    canvas.put(len(BODY_ROWS) + 1, left, BODY_CAPTION, Ink.DIM)
    texts = [mark_text(mark) for mark in marks[:4]] or ["nothing noted"]
    for row, text in enumerate(_two_lines(texts), start=len(BODY_ROWS) + 2):
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
        if len(joined) <= BODY_COLUMNS:
            lines[-1] = joined
        elif len(lines) < 2:
            lines.append(text[:BODY_COLUMNS])
    return lines

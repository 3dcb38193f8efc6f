"""The felt map for the page: the body drawing with its sites shaded."""

from __future__ import annotations

from collections.abc import Sequence

from trainer.core.body import (
    BODY_CAPTION,
    BODY_COLUMNS,
    BODY_ROWS,
    Cell,
    site_cells,
)
from trainer.core.charts_body import block_title, mark_side, mark_text
from trainer.core.feltmap import Block
from trainer.core.model import Moment
from trainer.report.shapes import Box, Drawing, Label, Shape

CELL_WIDTH, CELL_HEIGHT = 7.0, 13.0
NAMED = 4
"""Places named under a map, the strongest first."""
_HARD_SPACE = "\u00a0"


def felt_drawing(block: Block, moment: Moment | None) -> Drawing:
    """Draw one block and moment; None for any."""
    shapes: list[Shape] = []
    marks = block.marks[moment]
    said = "any moment" if moment is None else moment.value
    for mark in marks:
        if not mark.level:
            continue
        cells = site_cells(mark.site, mark_side(mark))
        shapes += [
            Box(
                col * CELL_WIDTH,
                row * CELL_HEIGHT,
                length * CELL_WIDTH,
                CELL_HEIGHT,
                f"shade-{mark.level}",
            )
            for row, col, length in _runs(cells)
        ]
    for row, text in enumerate((*BODY_ROWS, BODY_CAPTION)):
        shapes.append(
            Label(
                0,
                (row + 0.8) * CELL_HEIGHT,
                text.replace(" ", _HARD_SPACE),
                "body",
                length=BODY_COLUMNS * CELL_WIDTH,
            )
        )
    texts = [mark_text(mark) for mark in marks[:NAMED]] or ["nothing noted"]
    y = (len(BODY_ROWS) + 2.2) * CELL_HEIGHT
    for n, text in enumerate(texts):
        shapes.append(Label(0, y + n * 14, text))
    return Drawing(
        id=f"felt-{block.last}-{said.replace(' ', '-')}",
        title=f"{block_title(block)}: {said}",
        description=f"Felt places, the strongest first: {', '.join(texts)}.",
        height=y + len(texts) * 14,
        shapes=tuple(shapes),
        width=BODY_COLUMNS * CELL_WIDTH,
    )


def _runs(cells: Sequence[Cell]) -> list[tuple[int, int, int]]:
    """Join cells of a row that touch: row, first column, length."""
    runs: list[tuple[int, int, int]] = []
    for row, col in cells:
        if runs and runs[-1][0] == row and sum(runs[-1][1:]) == col:
            runs[-1] = (row, runs[-1][1], runs[-1][2] + 1)
        else:
            runs.append((row, col, 1))
    return runs

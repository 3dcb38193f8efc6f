"""What a section of a review is made of, and a table drawn as text."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from trainer.core.charts import Canvas, Glyphs, Ink, Picture

Draw = Callable[[int, int, Glyphs], Picture]
"""Width, height and glyphs to a picture."""


@dataclass(frozen=True, slots=True)
class Table:
    """A picture's figures in words."""

    headers: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """One part of a review."""

    id: str
    title: str
    sentences: tuple[str, ...]
    """The first one says what the picture shows."""
    draw: Draw
    table: Table
    cautions: tuple[str, ...] = ()


def table_picture(table: Table, *, width: int) -> Picture:
    """Draw a table with its columns side by side, cut at the width."""
    columns = list(zip(table.headers, *table.rows, strict=True))
    widths = [max(len(text) for text in column) for column in columns]
    canvas = Canvas(width, 1 + len(table.rows))
    for row, texts in enumerate((table.headers, *table.rows)):
        col = 0
        for text, wide in zip(texts, widths, strict=True):
            right = row > 0 and _is_figure(text)
            shown = text.rjust(wide) if right else text
            canvas.put(row, col, shown, Ink.PLAIN if row else Ink.STRONG)
            col += wide + 2
    return canvas.picture()


def _is_figure(text: str) -> bool:
    return text[:1].isdigit() and not text.startswith("20") and "to" not in text

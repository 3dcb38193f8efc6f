"""A picture of the core on the screen: rows of spans, each ink in a style of ours."""

from __future__ import annotations

from collections.abc import Mapping

from textual.content import Content

from trainer.core.charts.canvas import ASCII, Glyphs, Ink, Picture, glyphs_for
from trainer.tui.letters import screen_alphabet, spelt

STYLES: Mapping[Ink, str] = {
    Ink.PLAIN: "",
    Ink.DIM: "$text-muted",
    Ink.STRONG: "bold",
    Ink.FIRST: "$primary",
    Ink.SECOND: "$accent",
}


def screen_glyphs() -> Glyphs:
    """Choose the characters that this terminal can show."""
    return glyphs_for(screen_alphabet())


def drawn(picture: Picture, glyphs: Glyphs) -> Content:
    """Give a picture as content; its text is ours and is never parsed."""
    rows = [
        Content.assemble(
            *(
                (
                    spelt(span.text) if glyphs is ASCII else span.text,
                    STYLES[span.ink],
                )
                for span in row
            )
        )
        for row in picture
    ]
    return Content("\n").join(rows)

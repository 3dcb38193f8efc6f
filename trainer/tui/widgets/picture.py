"""A picture of the core on the screen: rows of spans, each ink in a style of ours."""

from __future__ import annotations

import os
import sys
from collections.abc import Mapping

from textual.content import Content

from trainer.core.charts.canvas import ASCII, Glyphs, Ink, Picture, glyphs_for, to_ascii

STYLES: Mapping[Ink, str] = {
    Ink.PLAIN: "",
    Ink.DIM: "$text-muted",
    Ink.STRONG: "bold",
    Ink.FIRST: "$primary",
    Ink.SECOND: "$accent",
}


def screen_glyphs() -> Glyphs:
    """Choose the characters that this terminal can show."""
    encoding = sys.__stdout__.encoding if sys.__stdout__ is not None else "utf-8"
    return glyphs_for(encoding, os.environ)


def drawn(picture: Picture, glyphs: Glyphs) -> Content:
    """Give a picture as content; its text is ours and is never parsed."""
    rows = [
        Content.assemble(
            *(
                (
                    to_ascii(span.text) if glyphs is ASCII else span.text,
                    STYLES[span.ink],
                )
                for span in row
            )
        )
        for row in picture
    ]
    return Content("\n").join(rows)

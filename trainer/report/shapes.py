"""Shapes that the page's pictures are made of; the template writes them as SVG.

Lengths are in units of the picture's own grid, ``WIDTH`` across. Text is data: the
template escapes it.
"""

from __future__ import annotations

from dataclasses import dataclass

WIDTH = 440.0
"""Units across a picture: text of 13 units is still read at a phone's width."""


@dataclass(frozen=True, slots=True)
class Box:
    """A filled rectangle."""

    x: float
    y: float
    width: float
    height: float
    look: str
    """A class of the page's style sheet."""
    kind: str = "box"


@dataclass(frozen=True, slots=True)
class Stroke:
    """A straight line."""

    x1: float
    y1: float
    x2: float
    y2: float
    look: str
    kind: str = "stroke"


@dataclass(frozen=True, slots=True)
class Dot:
    """A filled circle."""

    x: float
    y: float
    radius: float
    look: str
    kind: str = "dot"


@dataclass(frozen=True, slots=True)
class Area:
    """A filled polygon."""

    points: tuple[tuple[float, float], ...]
    look: str
    kind: str = "area"


@dataclass(frozen=True, slots=True)
class Label:
    """A text."""

    x: float
    y: float
    text: str
    look: str = "label"
    anchor: str = "start"
    kind: str = "text"


Shape = Box | Stroke | Dot | Area | Label


@dataclass(frozen=True, slots=True)
class Drawing:
    """A picture with its text alternative."""

    id: str
    title: str
    description: str
    height: float
    shapes: tuple[Shape, ...]
    width: float = WIDTH

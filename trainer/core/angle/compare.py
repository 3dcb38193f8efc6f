"""Then and now: two checks turned and scaled so that trunk lies on trunk.

What is left to see is the arm, the rib and the ear: no lean, no camera further off and
no other side that is faced makes one of them look better.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from trainer.core.angle.check import AngleCheck
from trainer.core.angle.figures import Figures, front
from trainer.core.angle.landmarks import Landmarks, Point
from trainer.core.angle.lines import LineInk, Overlay, Stroke, line
from trainer.core.charts.canvas import UNICODE, Canvas, Glyphs, Ink, Picture


@dataclass(frozen=True, slots=True)
class Frame:
    """A way from a photo's pixels into the trunk's own frame and back.

    In the frame the hip is at 0, 0, the shoulder at 0, 1, and the chest points to the
    right; y grows upward.
    """

    hip: Point
    up: Point
    """One trunk's length, from the hip to the shoulder, in pixels."""
    out: Point
    """One trunk's length out of the chest, in pixels."""

    @classmethod
    def of(cls, marked: Landmarks) -> Frame:
        """Return the frame of somebody's trunk."""
        up = marked.trunk.scaled(-1)
        return cls(marked.hip, up, front(marked).scaled(up.length))

    def into(self, point: Point) -> Point:
        """Return a place of the photo in the frame."""
        way, square = point - self.hip, self.up.dot(self.up)
        return Point(way.dot(self.out) / square, way.dot(self.up) / square)

    def back(self, point: Point) -> Point:
        """Return a place of the frame on the photo."""
        return self.hip + self.out.scaled(point.x) + self.up.scaled(point.y)


@dataclass(frozen=True, slots=True)
class Outline:
    """Somebody's points in the frame of their trunk."""

    arm_end: Point
    rib: Point | None
    ear: Point | None

    @property
    def arm_tip(self) -> Point:
        """Where the arm's line is drawn to: as far for all, and beyond the elbow, so
        that the angle between two of them is seen."""
        arm = self.arm_end - SHOULDER
        return SHOULDER + arm.scaled(ARM_DRAWN / arm.length)


SHOULDER, HIP = Point(0.0, 1.0), Point(0.0, 0.0)
"""Where both are in every frame."""
ARM_DRAWN = 0.85
"""Trunk lengths of an arm's line (our choice)."""


def outline(marked: Landmarks) -> Outline:
    """Return the points of MARKED, the trunk upright and of length 1."""
    frame = Frame.of(marked)
    return Outline(
        frame.into(marked.arm_end),
        None if marked.rib is None else frame.into(marked.rib),
        None if marked.ear is None else frame.into(marked.ear),
    )


@dataclass(frozen=True, slots=True)
class Line:
    """A line of a comparison, in the trunk's frame."""

    start: Point
    end: Point
    what: str
    """``trunk``, ``then`` or ``now``."""


def lines(then: Outline, now: Outline) -> Iterator[Line]:
    """Yield the lines to be drawn: the one trunk, and both arms with their ribs."""
    yield Line(HIP, SHOULDER, "trunk")
    for what, one in (("then", then), ("now", now)):
        yield Line(SHOULDER, one.arm_tip, what)
        if one.rib is not None:
            yield Line(Point(0.0, one.rib.y), one.rib, what)


def over_turned(own: Landmarks, other: Landmarks | None = None) -> Overlay:
    """Return the lines over one of two photos, in the trunk's frame.

    The trunk and the own arm are whole; the other photo's arm is dotted.
    """
    strokes = [
        Stroke(HIP, SHOULDER, LineInk.TRUNK),
        Stroke(SHOULDER, outline(own).arm_end, LineInk.ARM),
    ]
    if other is not None:
        end = outline(other).arm_end
        strokes.insert(1, Stroke(SHOULDER, end, LineInk.ARM, dotted=True))
    return Overlay(tuple(strokes))


LEFT, RIGHT, BOTTOM, TOP = -0.75, 0.75, -0.1, 1.9
"""What is seen of the frame; an arm to the wrist may be cut off at its end."""


@dataclass(frozen=True, slots=True)
class Window:
    """What is seen of the frame on a screen of so many dots."""

    columns: int
    rows: int

    @property
    def scale(self) -> float:
        """Dots to one trunk's length."""
        return min(self.columns / (RIGHT - LEFT), self.rows / (TOP - BOTTOM))

    def spot(self, point: Point) -> tuple[float, float]:
        """Return where a place of the frame lies, in dots."""
        x = self.columns / 2 + (point.x - (LEFT + RIGHT) / 2) * self.scale
        return x, self.rows - 1 - (point.y - BOTTOM) * self.scale

    def dot(self, point: Point) -> tuple[int, int]:
        """Return the dot that a place of the frame falls on."""
        x, y = self.spot(point)
        return round(x), round(y)

    def place(self, column: float, row: float) -> Point:
        """Return the place of the frame under a dot."""
        return Point(
            (column - self.columns / 2) / self.scale + (LEFT + RIGHT) / 2,
            (self.rows - 1 - row) / self.scale + BOTTOM,
        )


def comparable(then: AngleCheck, now: AngleCheck) -> str:
    """Return why two checks can't be told from each other, or an empty text."""
    if then.series != now.series:
        return (
            "They are of different series: what differs between them is no change of"
            " the shoulder"
        )
    return ""


SHORT = {"overhead angle": "overhead", "arm against vertical": "arm"}
"""What is measured, where there is little room for it."""


def figure_rows(then: Figures, now: Figures) -> Iterator[tuple[str, str, str, str]]:
    """Yield what is measured, its name first, then, now, and the difference."""
    yield _row("overhead angle", then.overhead_deg, now.overhead_deg, "{:.0f}°")
    yield _row("lean", then.lean_deg, now.lean_deg, "{:.0f}°")
    yield _row("arm against vertical", then.arm_deg, now.arm_deg, "{:.0f}°")
    yield _row("rib flare", then.flare, now.flare, "{:.2f}")
    yield _row("lift", then.lift, now.lift, "{:.2f}")
    yield "ear", _said(then.ear), _said(now.ear), ""


def _said(word: str | None) -> str:
    return "–" if word is None else word


def _row(
    name: str, then: float | None, now: float | None, form: str
) -> tuple[str, str, str, str]:
    said = [_signed(form, value) for value in (then, now)]
    if then is None or now is None:
        return name, said[0], said[1], ""
    difference = _signed(form, now - then)
    rose = float(form.format(now - then).strip("°")) > 0
    return name, said[0], said[1], f"+{difference}" if rose else difference


def _signed(form: str, value: float | None) -> str:
    if value is None:
        return "–"
    said = form.format(value)
    # Rounded to nothing, no sign is left of it.
    return said.replace("-", "−") if float(said.strip("°")) else form.format(0)


def drawing(
    then: Outline,
    now: Outline,
    *,
    width: int,
    height: int,
    glyphs: Glyphs = UNICODE,
) -> Picture:
    """Return the comparison as a picture in cells, two dots to a cell.

    The arm of then is dotted, that of now whole, and each has its word at its end.
    Braille has eight dots to a cell; in plain ASCII it is a letter for each ink.
    """
    in_braille = glyphs is UNICODE
    across, down = (2, 4) if in_braille else (1, 2)
    dot = Window(across * width, down * height).dot
    ink_of = {"trunk": Ink.PLAIN, "then": Ink.SECOND, "now": Ink.FIRST}
    inked: dict[tuple[int, int], Ink] = {}
    for each in lines(then, now):
        for number, (column, row) in enumerate(line(dot(each.start), dot(each.end))):
            if each.what != "then" or number % 4 < 2:
                inked[column, row] = ink_of[each.what]
            if each.what == "trunk" and in_braille:
                inked[column - 1, row] = Ink.PLAIN
    canvas = Canvas(width, height)
    _put_dots(canvas, inked, (across, down))
    for word, one, ink in (("then", then, Ink.SECOND), ("now", now, Ink.FIRST)):
        column, row = dot(one.arm_tip)
        ahead = one.arm_tip.x >= (then if one is now else now).arm_tip.x
        cell = column // across
        beside = cell + 2 if ahead else cell - 1 - len(word)
        canvas.put(min(max(row // down, 0), height - 1), beside, word, ink)
    return canvas.picture()


_BRAILLE = 0x2800
_BITS = ((0x01, 0x08), (0x02, 0x10), (0x04, 0x20), (0x40, 0x80))
"""Of the dots in a Braille cell, row by row (Unicode, "Braille Patterns")."""
_IN_ASCII = {Ink.PLAIN: "|", Ink.SECOND: ".", Ink.FIRST: "#"}


def _put_dots(
    canvas: Canvas, inked: dict[tuple[int, int], Ink], dots: tuple[int, int]
) -> None:
    """Write dots, so many across and down to a cell; a cell has the last one's ink."""
    across, down = dots
    cells: dict[tuple[int, int], int] = {}
    for (column, row), ink in inked.items():
        cell = row // down, column // across
        bit = _BITS[row % down][column % across]
        cells[cell] = cells.get(cell, 0) | bit
        glyph = chr(_BRAILLE + cells[cell]) if across > 1 else _IN_ASCII[ink]
        canvas.put(*cell, glyph, ink)

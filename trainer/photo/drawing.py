"""Lines, marks and masks drawn into a picture of a photo.

On half blocks the same marks are dots (``core.angle.lines``). Here they are drawn on as
many pixels as the terminal or the page has, so that the photo is seen beside them. What
comes out holds pixels alone: nothing else that the file says goes along.
"""

from __future__ import annotations

import io
import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

from trainer.core.angle.landmarks import Point
from trainer.core.angle.lines import LineInk, Overlay, Stroke

if TYPE_CHECKING:
    from PIL import Image, ImageDraw

Rgb = tuple[int, int, int]
Place = tuple[float, float]
INKS: Mapping[LineInk, Rgb] = {
    LineInk.SHADE: (20, 23, 26),
    LineInk.TRUNK: (86, 180, 233),
    LineInk.ARM: (240, 228, 66),
    LineInk.RING: (255, 255, 255),
    LineInk.CURSOR: (230, 159, 0),
}
"""Of Okabe and Ito's palette; on a photo none is ever safe alone, hence the shapes."""
MASK: Rgb = (104, 108, 112)
BEYOND_PX = 3
"""How much wider than asked a mask is: a scaled pixel takes in its neighbours."""
JPEG_QUALITY = 80
RING, CROSS = 1.5, (1.5, 4.5)
"""In dots of the half blocks, so that both kinds of screen look alike."""
WIDTH = 0.4
"""Of a line, in the same."""


def png_over(
    size: tuple[int, int],
    rgb: bytes,
    over: Overlay,
    *,
    place: Callable[[Point], Place],
    dot_px: int,
) -> bytes:
    """Return a picture as a PNG file, with OVER drawn into it.

    Each line has a dark edge, so that it stands out on any photo.

    Args:
        size: pixels across and down.
        rgb: three bytes for each, row by row.
        over: lines and marks.
        place: where in the picture a place of the lines and marks lies.
        dot_px: pixels of the picture in a dot of the half blocks.
    """
    from PIL import Image

    image = Image.frombytes("RGB", size, rgb)
    _draw_over(image, over, place, dot_px)
    written = io.BytesIO()
    # Quickly rather than small: it goes to the terminal at each key.
    image.save(written, "PNG", compress_level=1)
    return written.getvalue()


def jpeg_over(
    size: tuple[int, int],
    rgb: bytes,
    over: Overlay,
    *,
    place: Callable[[Point], Place],
    dot_px: int,
    masks: Sequence[tuple[Place, float]] = (),
) -> bytes:
    """Return a picture as a JPEG file, with masks and, above them, OVER drawn into it.

    Args:
        size: pixels across and down.
        rgb: three bytes for each, row by row.
        over: lines and marks.
        place: where in the picture a place of the lines and marks lies.
        dot_px: pixels of the picture in a dot of the half blocks.
        masks: where the middle of each lies in the picture, and its radius in pixels.
    """
    from PIL import Image, ImageDraw

    image = Image.frombytes("RGB", size, rgb)
    pen = ImageDraw.Draw(image)
    for at, radius in masks:
        pen.ellipse(_about(at, radius + BEYOND_PX), fill=MASK)
    _draw_over(image, over, place, dot_px)
    written = io.BytesIO()
    image.save(written, "JPEG", quality=JPEG_QUALITY)
    return written.getvalue()


def _draw_over(
    image: Image.Image,
    over: Overlay,
    place: Callable[[Point], Place],
    dot_px: int,
) -> None:
    from PIL import ImageDraw

    pen = ImageDraw.Draw(image)
    width = max(1, round(WIDTH * dot_px))
    marks = [*over.rings, *([] if over.cross is None else [over.cross])]
    # What lies in a mark's middle stays to be seen, whatever line ends there.
    open_ = [_about(place(each), RING * dot_px) for each in marks]
    beneath = [image.crop(box) for box in open_]
    for edge in (True, False):
        for each in over.strokes:
            colour = INKS[LineInk.SHADE if edge else each.ink]
            for start, end in _parts(each, place, dot_px):
                pen.line((*start, *end), fill=colour, width=width + 2 * edge)
    for box, seen in zip(open_, beneath, strict=True):
        image.paste(seen, box[:2])
    for edge in (True, False):
        broad = width + 2 * edge
        for each_ring in over.rings:
            colour = INKS[LineInk.SHADE if edge else LineInk.RING]
            _ring(pen, place(each_ring), RING * dot_px, colour, broad)
        if over.cross is not None:
            colour = INKS[LineInk.SHADE if edge else LineInk.CURSOR]
            _cross(pen, place(over.cross), dot_px, colour, broad)


def _about(at: Place, far: float) -> tuple[int, int, int, int]:
    left, top = math.floor(at[0] - far), math.floor(at[1] - far)
    return left, top, math.ceil(at[0] + far), math.ceil(at[1] + far)


def _parts(
    stroke: Stroke, place: Callable[[Point], Place], dot_px: int
) -> Iterator[tuple[Place, Place]]:
    """Yield a whole line, or the dashes of a dotted one."""
    start, end = place(stroke.start), place(stroke.end)
    if not stroke.dotted:
        yield start, end
        return
    across, down = end[0] - start[0], end[1] - start[1]
    dashes = min(1000, max(1, round(math.hypot(across, down) / (3 * dot_px))))
    for number in range(dashes):
        first, last = number / dashes, (number + 0.5) / dashes
        yield (
            (start[0] + first * across, start[1] + first * down),
            (start[0] + last * across, start[1] + last * down),
        )


def _ring(
    pen: ImageDraw.ImageDraw, at: Place, radius: float, colour: Rgb, width: int
) -> None:
    # Pillow draws an ellipse's width inwards: the edge is as far out as in.
    far = radius + width / 2
    box = (at[0] - far, at[1] - far, at[0] + far, at[1] + far)
    pen.ellipse(box, outline=colour, width=width)


def _cross(
    pen: ImageDraw.ImageDraw, at: Place, dot_px: int, colour: Rgb, width: int
) -> None:
    near, far = CROSS[0] * dot_px, CROSS[1] * dot_px
    for right, down in ((1, 0), (-1, 0), (0, 1), (0, -1)):
        pen.line(
            (
                *(at[0] + right * near, at[1] + down * near),
                *(at[0] + right * far, at[1] + down * far),
            ),
            fill=colour,
            width=width,
        )

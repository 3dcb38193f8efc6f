"""A photo turned and scaled so that trunks of two photos lie alike."""

from __future__ import annotations

from dataclasses import dataclass

from trainer.core.angle.compare import Frame, Window
from trainer.core.angle.landmarks import Landmarks, Point
from trainer.photo.reading import PhotoPixels


@dataclass(frozen=True, slots=True)
class Turned:
    """A photo with the trunk upright and the chest to the right."""

    rgb: bytes
    """Three bytes a pixel, row by row."""
    window: Window
    """What is seen of the trunk's frame, and where."""
    frame: Frame
    """From the photo's pixels into the trunk's frame."""

    def place(self, point: Point) -> tuple[float, float]:
        """Return where a place of the photo lies."""
        return self.window.spot(self.frame.into(point))

    @property
    def scale(self) -> float:
        """How long a pixel of the photo is here."""
        return self.window.scale / self.frame.up.length


def turned(pixels: PhotoPixels, marked: Landmarks, size: tuple[int, int]) -> Turned:
    """Return a photo on so many pixels across and down, turned by its landmarks."""
    window, frame = Window(*size), Frame.of(marked)
    first, across, down = [
        frame.back(window.place(column, row))
        for column, row in ((-0.5, -0.5), (0.5, -0.5), (-0.5, 0.5))
    ]
    corners = (first.x, first.y), (across.x, across.y), (down.x, down.y)
    return Turned(pixels.turned(corners, size).tobytes(), window, frame)

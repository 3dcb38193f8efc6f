"""Stick figures with known angles, drawn to picture files: made up, nobody's photo."""

from __future__ import annotations

from pathlib import Path

from PIL import Image, ImageDraw

from tests.core.angle.poses import person
from trainer.core.angle.landmarks import Facing, Landmarks, Point

WALL, FLOOR, BODY, JOINT = (
    (206, 199, 186),
    (120, 104, 88),
    (70, 84, 110),
    (250, 240, 90),
)


def landmarks_on(
    size: tuple[int, int],
    overhead_deg: float,
    *,
    lean_deg: float = 4.0,
    facing: Facing = Facing.RIGHT,
    upside_down: bool = False,
) -> Landmarks:
    """Return the landmarks of somebody who fills a picture of SIZE."""
    width, height = size
    return person(
        overhead_deg=overhead_deg,
        lean_deg=lean_deg,
        facing=facing,
        upside_down=upside_down,
        trunk_px=0.24 * height,
        arm_px=0.14 * height,
        at=Point(0.52 * width, (0.6 if upside_down else 0.38) * height),
    )


def draw(marked: Landmarks, size: tuple[int, int]) -> Image.Image:
    """Draw somebody with these landmarks, each joint a small bright disk."""
    width, height = size
    image = Image.new("RGB", size, WALL)
    pen = ImageDraw.Draw(image)
    pen.rectangle((0, 0.93 * height, width, height), fill=FLOOR)
    thick = max(3, height // 40)

    def limb(start: Point, end: Point, share: float = 1.0) -> None:
        ends = (start.x, start.y, end.x, end.y)
        pen.line(ends, fill=BODY, width=max(2, int(thick * share)))

    shoulder, hip = marked.shoulder, marked.hip
    legs = hip + (hip - shoulder).scaled(1.7)
    hand = shoulder + marked.arm.scaled(1.9)
    limb(shoulder, hip, 1.8)
    limb(hip, legs, 1.4)
    limb(shoulder, hand)
    if marked.rib is not None:
        limb(shoulder, marked.rib)
        limb(marked.rib, hip)
    if marked.ear is not None:
        _disk(pen, marked.ear, 0.035 * height, BODY)
    for point in marked.points().values():
        _disk(pen, point, max(1.5, 0.006 * height), JOINT)
    return image


def _disk(
    pen: ImageDraw.ImageDraw, at: Point, radius: float, colour: tuple[int, int, int]
) -> None:
    box = (at.x - radius, at.y - radius, at.x + radius, at.y + radius)
    pen.ellipse(box, fill=colour)


def saved(
    folder: Path, size: tuple[int, int], overhead_deg: float, name: str = "reach.png"
) -> tuple[Path, Landmarks]:
    """Write the drawing of somebody to FOLDER; return the file and the truth."""
    marked = landmarks_on(size, overhead_deg)
    path = folder / name
    draw(marked, size).save(path)
    return path, marked

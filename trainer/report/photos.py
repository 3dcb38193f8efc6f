"""Photos on the page, where somebody asked for them: small, masked, and pixels alone.

Each is turned as its check's landmarks say, so that trunk lies on trunk, and written as
a JPEG of its own: nothing else that the file says goes along, neither where it was
taken nor when nor with what.
"""

from __future__ import annotations

import base64
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from trainer.core import words
from trainer.core.angle.check import AngleCheck
from trainer.core.angle.compare import over_turned
from trainer.core.angle.landmarks import Landmarks, Point
from trainer.core.angle.words import degrees, named
from trainer.errors import UsageError
from trainer.photo.drawing import jpeg_over
from trainer.photo.reading import OpenPhoto
from trainer.photo.turned import turned

SIZE = (480, 640)
"""Pixels of a photo on the page (our choice)."""
DOT_PX = 10
"""How bold its lines are."""
MOST_PHOTOS = 8
"""On one page (our choice)."""


@dataclass(frozen=True, slots=True)
class Mask:
    """A disk over a photo, in pixels of the photo the way up that it is looked at."""

    at: Point
    radius_px: float


@dataclass(frozen=True, slots=True)
class Given:
    """A photo that is to be on the page."""

    photo: OpenPhoto
    masks: tuple[Mask, ...] = ()


@dataclass(frozen=True, slots=True)
class PagePhoto:
    """A photo as the page holds it."""

    caption: str
    source: str
    """A ``data:`` address: the picture itself."""
    width: int
    height: int


def page_photos(
    given: Sequence[Given], checks: Iterable[AngleCheck]
) -> tuple[PagePhoto, ...]:
    """Return the photos as they stand on the page, in order of their days.

    Beside its own arm each shows that of the first of its series dotted, or, being the
    first, that of the newest.

    Raises:
        UsageError: a photo is that of no check, or a mask lies outside its photo.
        PhotoError: one can't be looked at as a photo.
    """
    by_hash = {
        check.photo.sha256: check
        for check in checks
        if check.photo is not None and check.landmarks is not None
    }
    found = [(_check_of(one, by_hash), one) for one in given]
    found.sort(key=lambda each: each[0].measured_at)
    shown = [check for check, _ in found]
    return tuple(_as_shown(check, one, shown) for check, one in found)


def _check_of(one: Given, by_hash: dict[str, AngleCheck]) -> AngleCheck:
    check = by_hash.get(one.photo.sha256())
    if check is None:
        raise UsageError(
            f"{one.photo.name} is the photo of no check",
            "Mark it first: trainer angle add",
        )
    width, height = one.photo.size
    for mask in one.masks:
        if not (0 <= mask.at.x <= width and 0 <= mask.at.y <= height):
            raise UsageError(
                f"the mask at {mask.at.x:g},{mask.at.y:g} lies outside"
                f" {one.photo.name}, which has {width} × {height} pixels",
                "Give its middle and its radius in pixels of the photo",
            )
    return check


def _as_shown(check: AngleCheck, one: Given, shown: Sequence[AngleCheck]) -> PagePhoto:
    marked = check.landmarks
    if marked is None:
        raise ValueError("a check without landmarks has no place for its photo")
    seen = turned(one.photo.whole(), marked, SIZE)
    jpeg = jpeg_over(
        SIZE,
        seen.rgb,
        over_turned(marked, _beside(check, shown)),
        place=seen.window.spot,
        dot_px=DOT_PX,
        masks=[
            (seen.place(mask.at), mask.radius_px * seen.scale) for mask in one.masks
        ],
    )
    source = f"data:image/jpeg;base64,{base64.b64encode(jpeg).decode('ascii')}"
    caption = (
        f"{words.day(check.local_date)}: overhead angle"
        f" {degrees(check.overhead_deg)} ({named(check.series)})"
    )
    return PagePhoto(caption, source, *SIZE)


def _beside(check: AngleCheck, shown: Sequence[AngleCheck]) -> Landmarks | None:
    """Return the landmarks of the other photo that the arm is seen against."""
    others = list(_of_series(check, shown))
    if not others:
        return None
    first = others[0]
    other = first if first.measured_at < check.measured_at else others[-1]
    return other.landmarks


def _of_series(check: AngleCheck, shown: Sequence[AngleCheck]) -> Iterator[AngleCheck]:
    for other in shown:
        if other.series == check.series and other.uid != check.uid:
            yield other

"""A photo opened: its size, its hash, and any part of it in any size.

The pixels stay as the file has them. A part is cut out first and turned the right way
up afterwards, so that a photo is in memory once. Pillow keeps four bytes for a pixel.
"""

from __future__ import annotations

import hashlib
import math
import struct
import warnings
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from trainer.core.text import clean
from trainer.errors import ExitCode, TrainerError
from trainer.photo.kinds import HEAD_BYTES, is_read, refused

if TYPE_CHECKING:
    from PIL import Image

MOST_PIXELS = 120_000_000
"""A larger photo is refused (our choice; the largest telephones make 108 million)."""
MOST_LOADED = 45_000_000
"""A JPEG with more pixels is read at half its size, which its format offers: all in all
the program stays below 300 MB, and half of it is still finer than a landmark needs."""
MOST_BYTES = 150_000_000
"""A larger file is refused (our choice)."""
LEAST_SIDE = 64
"""Pixels; no landmark is found on less (our choice)."""
OVERVIEW_PX = 600
"""Pixels of the longer side that the first look needs at least."""
_ORIENTATION = 0x0112
"""The EXIF tag that says which way up a photo is."""
INSTALL = "pip install 'overhead-hold-trainer[photo]'"
"""What brings Pillow."""


class PhotoError(TrainerError):
    """A file that can't be looked at as a photo."""

    exit_code = ExitCode.USAGE


class OpenPhoto:
    """A photo whose head was read; its pixels come when they are asked for."""

    def __init__(self, path: Path) -> None:
        """Open PATH.

        Raises:
            PhotoError: it is no photo that is read here; the text says what to do.
        """
        self.name = clean(path.name, limit=255)
        self._path = path
        self._whole: PhotoPixels | None = None
        _look_at_file(path, self.name)
        with _opened(path, self.name) as image:
            self._raw_size = image.size
            self._format = image.format
            self._progressive = bool(image.info.get("progressive"))
            self.orientation = _orientation(image)
        self._refuse_size()

    @property
    def size(self) -> tuple[int, int]:
        """Pixels across and down, the right way up."""
        width, height = self._raw_size
        return (height, width) if self.orientation >= 5 else (width, height)

    def _refuse_size(self) -> None:
        width, height = self.size
        if width * height > MOST_PIXELS:
            raise PhotoError(
                f"{self.name} has {width} × {height} pixels, more than are read here",
                "Save it smaller: 4000 pixels across are plenty",
            )
        if min(width, height) < LEAST_SIDE:
            raise PhotoError(
                f"{self.name} has {width} × {height} pixels: too few to mark anything",
                "Give the photo as it was taken",
            )

    def sha256(self) -> str:
        """Return the hash of the file, by which it is known again."""
        digest = hashlib.sha256()
        try:
            with self._path.open("rb") as file:
                while block := file.read(1 << 20):
                    digest.update(block)
        except OSError as error:
            raise _unreadable(self.name, error) from error
        return digest.hexdigest()

    def overview(self) -> PhotoPixels:
        """Return a quick first look: a JPEG read at an eighth of its size or so."""
        if self._format != "JPEG":
            return self.whole()
        most = max(self._raw_size)
        least = tuple(max(1, side * OVERVIEW_PX // most) for side in self._raw_size)
        return self._load((least[0], least[1]))

    def whole(self) -> PhotoPixels:
        """Return the photo with all its pixels; a huge JPEG at half its size.

        They are read once: a second copy of a large photo would be too much.
        """
        if self._whole is None:
            self._whole = self._read_whole()
        return self._whole

    def _read_whole(self) -> PhotoPixels:
        width, height = self._raw_size
        huge = width * height > MOST_LOADED
        # A progressive JPEG is held twice while it is read.
        huge |= self._progressive and width * height > MOST_LOADED / 2
        if huge and self._format == "JPEG":
            return self._load((width // 2, height // 2))
        return self._load(None)

    def _load(self, at_least: tuple[int, int] | None) -> PhotoPixels:
        with _opened(self._path, self.name) as image:
            if at_least is not None:
                image.draft(None, at_least)
            try:
                image.load()
                loaded = _plain(image)
            except (OSError, SyntaxError, ValueError, struct.error, MemoryError) as why:
                raise PhotoError(
                    f"{self.name} is damaged: it can't be read to its end ({why})",
                    "Copy it again from where it was taken",
                ) from why
            return PhotoPixels(loaded, self._raw_size, self.orientation)


class PhotoPixels:
    """The pixels of a photo, or of a smaller copy, as the file has them."""

    def __init__(
        self, image: Image.Image, raw_size: tuple[int, int], orientation: int
    ) -> None:
        """Take the pixels.

        Args:
            image: as the file has it, possibly smaller.
            raw_size: of the file's own pixels.
            orientation: the EXIF word for which way up it is, 1 to 8.
        """
        self._image = image
        self._scale = (image.width / raw_size[0], image.height / raw_size[1])
        self._raw_size = raw_size
        self._orientation = orientation

    def part(
        self, box: tuple[float, float, float, float], size: tuple[int, int]
    ) -> Image.Image:
        """Return what lies in BOX in another size, the right way up, in RGB.

        Args:
            box: left, top, right, bottom in pixels of the upright photo, inside it.
            size: pixels across and down of what is returned.
        """
        from PIL import Image

        left, top, right, bottom = _raw_box(box, self._raw_size, self._orientation)
        across, down = self._scale
        wanted = size[::-1] if self._orientation >= 5 else size
        cut = self._image.resize(
            wanted,
            Image.Resampling.BILINEAR,
            box=(
                max(0.0, left * across),
                max(0.0, top * down),
                min(float(self._image.width), right * across),
                min(float(self._image.height), bottom * down),
            ),
            reducing_gap=2.0,
        )
        return _upright(cut.convert("RGB"), self._orientation)

    def turned(
        self,
        corners: tuple[tuple[float, float], tuple[float, float], tuple[float, float]],
        size: tuple[int, int],
    ) -> Image.Image:
        """Return the photo turned, mirrored and scaled into a picture of SIZE, in RGB.

        Args:
            corners: where its upper left corner, the next dot to the right of that and
                the next dot below lie on the upright photo, in pixels.
            size: dots across and down; what lies beside the photo is black.
        """
        from PIL import Image

        raw = [_raw_point(x, y, self._raw_size, self._orientation) for x, y in corners]
        (x0, y0), (x1, y1), (x2, y2) = [
            (x * self._scale[0], y * self._scale[1]) for x, y in raw
        ]
        # What one dot covers is averaged first: a transform looks at single pixels.
        shrink = max(1, int(math.hypot(x1 - x0, y1 - y0) / 2))
        image = self._image if shrink == 1 else self._image.reduce(shrink)
        factors = (x1 - x0, x2 - x0, x0, y1 - y0, y2 - y0, y0)
        return image.convert("RGB").transform(
            size,
            Image.Transform.AFFINE,
            [each / shrink for each in factors],
            Image.Resampling.BILINEAR,
        )


def _look_at_file(path: Path, name: str) -> None:
    try:
        if path.is_dir():
            raise PhotoError(f"{name} is a folder", "Give one photo in it")
        length = path.stat().st_size
        with path.open("rb") as file:
            head = file.read(HEAD_BYTES)
    except FileNotFoundError:
        raise PhotoError(
            f"there is no photo {name}", "Look at the name and the folder"
        ) from None
    except OSError as error:
        raise _unreadable(name, error) from error
    if length == 0:
        raise PhotoError(f"{name} is empty", "Copy it again from where it was taken")
    if not is_read(head):
        what, hint = refused(head)
        raise PhotoError(f"{name} {what}", hint)
    if length > MOST_BYTES:
        raise PhotoError(
            f"{name} has {length // 1_000_000} million bytes, more than are read here",
            "Save it smaller: 4000 pixels across are plenty",
        )


def _unreadable(name: str, error: OSError) -> PhotoError:
    why = error.strerror or "unknown fault"
    return PhotoError(f"{name} can't be read: {why.lower()}", "Look at its rights")


def _opened(path: Path, name: str) -> Image.Image:
    try:
        from PIL import Image, UnidentifiedImageError
    except ImportError:
        raise PhotoError(
            "looking at photos needs Pillow, which isn't installed",
            f"Install it: {INSTALL}. Without it, give the points as options",
        ) from None
    try:
        with warnings.catch_warnings():
            # The size is looked at before any pixel is read.
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)
            return Image.open(path, formats=("JPEG", "PNG", "WEBP"))
    except Image.DecompressionBombError:
        raise PhotoError(
            f"{name} has far more pixels than are read here",
            "Save it smaller: 4000 pixels across are plenty",
        ) from None
    except UnidentifiedImageError:
        raise PhotoError(
            f"{name} is damaged: it begins as a photo and isn't one",
            "Copy it again from where it was taken",
        ) from None
    except (OSError, SyntaxError, ValueError, struct.error) as why:
        raise PhotoError(
            f"{name} is damaged ({why})", "Copy it again from where it was taken"
        ) from why


def _orientation(image: Image.Image) -> int:
    try:
        found = image.getexif().get(_ORIENTATION, 1)
    except (OSError, SyntaxError, ValueError, KeyError, TypeError, struct.error):
        return 1  # a photo is worth looking at whatever its notes are like
    return found if found in range(1, 9) else 1


def _plain(image: Image.Image) -> Image.Image:
    """Return the pixels in a mode that can be resized; most are in one already."""
    if image.mode in ("RGB", "L", "RGBA", "CMYK", "YCbCr", "LA"):
        return image
    if image.mode.startswith("I"):
        return image.point(lambda value: value * (1 / 256)).convert("L")
    return image.convert("RGB")


def _raw_box(
    box: tuple[float, float, float, float], raw_size: tuple[int, int], orientation: int
) -> tuple[float, float, float, float]:
    """Return where a box of the upright photo lies among the file's own pixels."""
    corners = [
        _raw_point(x, y, raw_size, orientation)
        for x, y in ((box[0], box[1]), (box[2], box[3]))
    ]
    (x1, y1), (x2, y2) = corners
    return min(x1, x2), min(y1, y2), max(x1, x2), max(y1, y2)


def _raw_point(
    x: float, y: float, raw_size: tuple[int, int], orientation: int
) -> tuple[float, float]:
    width, height = raw_size
    places: Mapping[int, tuple[float, float]] = {
        1: (x, y),
        2: (width - x, y),
        3: (width - x, height - y),
        4: (x, height - y),
        5: (y, x),
        6: (y, height - x),
        7: (width - y, height - x),
        8: (width - y, x),
    }
    return places[orientation]


def _upright(image: Image.Image, orientation: int) -> Image.Image:
    from PIL import Image

    turns = {
        2: Image.Transpose.FLIP_LEFT_RIGHT,
        3: Image.Transpose.ROTATE_180,
        4: Image.Transpose.FLIP_TOP_BOTTOM,
        5: Image.Transpose.TRANSPOSE,
        6: Image.Transpose.ROTATE_270,
        7: Image.Transpose.TRANSVERSE,
        8: Image.Transpose.ROTATE_90,
    }
    turn = turns.get(orientation)
    return image if turn is None else image.transpose(turn)

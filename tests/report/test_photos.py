"""Photos on the page: only where asked for, small, masked, and pixels alone.

What is in the files is read back by Pillow.
"""

from __future__ import annotations

import base64
import io
from dataclasses import replace
from datetime import date, datetime, timedelta, timezone
from importlib.resources import files
from pathlib import Path

import pytest
from PIL import Image, ImageDraw

from tests.photo.stick import draw, landmarks_on
from trainer.core.angle.check import AngleCheck, Photo, Position, Reach
from trainer.core.angle.figures import measure
from trainer.core.angle.landmarks import Facing, Landmarks, Point
from trainer.errors import UsageError
from trainer.photo.reading import OpenPhoto
from trainer.report.photos import SIZE, Given, Mask, PagePhoto, page_photos

FULL = (1600, 1200)
FACE, FACE_PX = Point(700, 300), 60.0
"""Beside the arms: no line goes over it."""
SECRET = "48.2082 N, 16.3738 E"
GPS, MAKER, ORIENTATION = 0x8825, 0x010F, 0x0112


def _photo(path: Path, degrees: float, face: tuple[int, int, int] = (9, 9, 9)) -> Path:
    """Draw somebody with a face, and write with it where it was taken, and a rotation.

    The file's own pixels lie on their side, as EXIF says.
    """
    image = draw(landmarks_on(FULL, degrees), FULL)
    pen = ImageDraw.Draw(image)
    box = (FACE.x - FACE_PX, FACE.y - FACE_PX, FACE.x + FACE_PX, FACE.y + FACE_PX)
    pen.ellipse(box, fill=face)
    exif = Image.Exif()
    exif[MAKER] = SECRET
    exif[ORIENTATION] = 6
    exif.get_ifd(GPS)[1] = "N"
    turned = image.transpose(Image.Transpose.ROTATE_90)
    turned.save(path, exif=exif, quality=95, comment=SECRET.encode())
    return path


def _check(path: Path, degrees: float, weeks: int) -> AngleCheck:
    photo = OpenPhoto(path)
    marked = landmarks_on(FULL, degrees)
    day = date(2026, 1, 7) + timedelta(weeks=weeks)
    return AngleCheck(
        uid=str(weeks),
        measured_at=datetime(day.year, day.month, day.day, 8, tzinfo=timezone.utc),
        utc_offset_min=0,
        local_date=day,
        position=Position(reach=Reach.GUARDED),
        figures=measure(marked),
        landmarks=marked,
        photo=Photo(photo.name, photo.sha256(), *photo.size),
    )


def _file(shown: PagePhoto) -> bytes:
    head, _, body = shown.source.partition(",")
    assert "data:image/jpeg;base64" == head
    return base64.b64decode(body)


@pytest.fixture
def one(tmp_path: Path) -> tuple[Path, AngleCheck]:
    """Return a photo and its check."""
    path = _photo(tmp_path / "now.jpg", 165.0)
    return path, _check(path, 165.0, 0)


class TestOnePhoto:
    def test_is_small_and_holds_pixels_alone(
        self, one: tuple[Path, AngleCheck]
    ) -> None:
        """No EXIF, no comment, no profile; the file that it comes from has them."""
        path, check = one
        (shown,) = page_photos([Given(OpenPhoto(path))], [check])
        written = _file(shown)
        image = Image.open(io.BytesIO(written))

        assert SECRET.encode() in path.read_bytes()
        assert SECRET.encode() not in written
        assert {} == dict(image.getexif())
        assert not {"exif", "comment", "icc_profile", "xmp"} & set(image.info)
        assert SIZE == image.size
        assert len(written) < 100_000

    def test_has_nothing_of_what_lies_under_a_mask(self, tmp_path: Path) -> None:
        """Two faces come to the same bytes; without a mask they don't."""

        def shown(face: tuple[int, int, int], *masks: Mask) -> bytes:
            path = _photo(tmp_path / "face.png", 165.0, face)
            (one,) = page_photos(
                [Given(OpenPhoto(path), masks)], [_check(path, 165.0, 0)]
            )
            return _file(one)

        mask = Mask(FACE, FACE_PX)
        covered = shown((250, 10, 10), mask)

        assert covered == shown((10, 10, 250), mask)
        assert shown((250, 10, 10)) != shown((10, 10, 250))

    def test_is_of_one_colour_under_a_mask(self, one: tuple[Path, AngleCheck]) -> None:
        """But for what a JPEG does at its edge."""
        path, check = one
        given = Given(OpenPhoto(path), (Mask(FACE, FACE_PX),))
        (shown,) = page_photos([given], [check])
        image = Image.open(io.BytesIO(_file(shown)))
        # The frame's hip and shoulder say where the face has come to lie.
        from trainer.photo.turned import turned

        marked = check.landmarks
        assert marked is not None
        seen = turned(OpenPhoto(path).whole(), marked, SIZE)
        x, y = seen.place(FACE)
        far = 0.6 * FACE_PX * seen.scale
        inside = image.crop((int(x - far), int(y - far), int(x + far), int(y + far)))

        for band in inside.split():
            low, high = band.getextrema()
            assert isinstance(low, int)
            assert isinstance(high, int)
            assert high - low <= 4

    def test_of_no_check_or_a_mask_beside_it_is_refused(
        self, one: tuple[Path, AngleCheck], tmp_path: Path
    ) -> None:
        """By its name, with what to do."""
        path, check = one
        other = _photo(tmp_path / "other.jpg", 150.0)
        beside = Given(OpenPhoto(path), (Mask(Point(5000, 10), 5),))

        with pytest.raises(UsageError, match=r"other\.jpg is the photo of no check"):
            page_photos([Given(OpenPhoto(other))], [check])
        with pytest.raises(UsageError, match=r"5000,10 lies outside now\.jpg"):
            page_photos([beside], [check])


def test_stand_in_order_of_their_days(tmp_path: Path) -> None:
    """Whatever order they are given in."""
    paths = [_photo(tmp_path / f"{n}.jpg", 150.0 + 10 * n) for n in range(2)]
    checks = [_check(path, 150.0 + 10 * n, 8 * n) for n, path in enumerate(paths)]
    given = [Given(OpenPhoto(path)) for path in reversed(paths)]

    assert [
        "7 January 2026: overhead angle 150° (reach, guarded, photo, to the elbow)",
        "4 March 2026: overhead angle 160° (reach, guarded, photo, to the elbow)",
    ] == [one.caption for one in page_photos(given, checks)]


def test_what_a_real_file_says_besides_stays_in_it(tmp_path: Path) -> None:
    """A portrait that an editor wrote its own notes into (``gracehopper.jpg`` in the
    wheel of textual-image, public domain)."""
    path = tmp_path / "portrait.jpg"
    portrait = Path(str(files("textual_image"))) / "gracehopper.jpg"
    path.write_bytes(portrait.read_bytes())
    marked = Landmarks(
        shoulder=Point(150, 420),
        elbow=Point(200, 150),
        hip=Point(140, 590),
        facing=Facing.RIGHT,
    )
    check = replace(_check(path, 165.0, 0), landmarks=marked, figures=measure(marked))
    (shown,) = page_photos([Given(OpenPhoto(path))], [check])
    with Image.open(path) as before, Image.open(io.BytesIO(_file(shown))) as after:
        assert {"photoshop", "adobe"} <= set(before.info)
        assert not {"photoshop", "adobe", "exif", "icc_profile"} & set(after.info)

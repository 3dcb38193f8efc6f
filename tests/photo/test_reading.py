"""Photos from files: which way up, which part, and what is said of all the others."""

from __future__ import annotations

import hashlib
import io
import struct
import zlib
from importlib.resources import files
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageOps

from trainer.photo import reading
from trainer.photo.reading import OpenPhoto, PhotoError

ORIENTATION = 0x0112


def _noise(width: int, height: int) -> Image.Image:
    """Return a picture in which no two parts are alike: smooth waves of colour."""
    across = np.arange(width, dtype=np.float32)
    down = np.arange(height, dtype=np.float32)[:, np.newaxis]
    # Of a sum of angles, by products: a sine for each of millions of pixels takes long.
    one = np.exp(1j * across / 17) * np.exp(1j * down / 41)
    other = np.exp(1j * across / 29) * np.exp(-1j * down / 23)
    pixels = np.empty((height, width, 3), dtype=np.uint8)
    pixels[..., 0] = 127 + 127 * one.imag
    pixels[..., 1] = 127 + 127 * other.real
    pixels[..., 2] = 255 * across / width
    return Image.fromarray(pixels)


def _saved(folder: Path, orientation: int, kind: str = "png") -> Path:
    path = folder / f"photo-{orientation}.{kind}"
    exif = Image.Exif()
    exif[ORIENTATION] = orientation
    _noise(240, 160).save(path, exif=exif, lossless=True)
    return path


class TestWhichWayUp:
    @pytest.mark.parametrize("kind", ["png", "webp", "jpg"])
    @pytest.mark.parametrize("orientation", range(1, 9))
    def test_is_what_the_file_says(
        self, tmp_path: Path, orientation: int, kind: str
    ) -> None:
        """Source: Pillow's own ImageOps.exif_transpose, for EXIF's words 1 to 8."""
        path = _saved(tmp_path, orientation, kind)
        photo = OpenPhoto(path)
        with Image.open(path) as image:
            upright = ImageOps.exif_transpose(image).convert("RGB")
        part = photo.whole().part((0, 0, *photo.size), photo.size)

        assert upright.size == photo.size
        assert np.array_equal(np.asarray(upright), np.asarray(part))

    @pytest.mark.parametrize("orientation", range(1, 9))
    def test_a_part_is_cut_out_of_the_upright_photo(
        self, tmp_path: Path, orientation: int
    ) -> None:
        """Source: Pillow's crop of its own upright photo."""
        path = _saved(tmp_path, orientation)
        with Image.open(path) as image:
            upright = ImageOps.exif_transpose(image)
        box = (30, 40, 90, 120)
        part = OpenPhoto(path).whole().part(box, (60, 80))

        assert np.array_equal(np.asarray(upright.crop(box)), np.asarray(part))

    def test_an_odd_word_is_upright(self, tmp_path: Path) -> None:
        """A photo is worth looking at whatever its notes are like."""
        assert 1 == OpenPhoto(_saved(tmp_path, 0)).orientation

    @pytest.mark.parametrize("orientation", range(1, 9))
    def test_a_turned_photo_is_the_upright_one_turned(
        self, tmp_path: Path, orientation: int
    ) -> None:
        """Source: numpy's rot90 of Pillow's own upright photo."""
        path = _saved(tmp_path, orientation)
        with Image.open(path) as image:
            upright = np.asarray(ImageOps.exif_transpose(image).convert("RGB"))
        height, width = upright.shape[:2]
        # The upper left dot of the turned photo is the upper right pixel of this one.
        turned = (
            OpenPhoto(path)
            .whole()
            .turned(((width, 0), (width, 1), (width - 1, 0)), (height, width))
        )
        apart = np.abs(np.rot90(upright).astype(int) - np.asarray(turned, dtype=int))

        assert 1 >= apart[1:-1, 1:-1].max()


class TestPixels:
    @pytest.mark.parametrize("mode", ["L", "LA", "P", "RGBA", "I;16", "1", "CMYK"])
    def test_come_in_any_mode(self, tmp_path: Path, mode: str) -> None:
        """As RGB, whatever the file has."""
        path = tmp_path / ("photo.jpg" if mode == "CMYK" else "photo.png")
        if mode == "I;16":
            grey = np.asarray(_noise(100, 80).convert("L")).astype(np.uint16)
            Image.fromarray(grey * 256).save(path)
        else:
            _noise(100, 80).convert(mode).save(path)
        part = OpenPhoto(path).whole().part((0, 0, 100, 80), (10, 8))

        assert ("RGB", (10, 8)) == (part.mode, part.size)
        assert np.asarray(part).std() > 10

    def test_a_first_look_shows_the_same_in_fewer(self, tmp_path: Path) -> None:
        """A JPEG is read at a part of its size, and the places are the photo's."""
        path = tmp_path / "photo.jpg"
        _noise(4000, 3000).save(path, quality=90)
        photo = OpenPhoto(path)
        box = (1000.0, 500.0, 3000.0, 2000.0)
        first = np.asarray(photo.overview().part(box, (40, 30)), dtype=float)
        whole = np.asarray(photo.whole().part(box, (40, 30)), dtype=float)

        assert 12 > np.abs(first - whole).mean()

    def test_a_huge_jpeg_is_read_at_half_its_size(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """Memory is bounded; the places stay those of the photo."""
        monkeypatch.setattr(reading, "MOST_LOADED", 10_000)
        path = tmp_path / "photo.jpg"
        _noise(400, 300).save(path, quality=95)
        photo = OpenPhoto(path)

        assert (400, 300) == photo.size
        assert (10, 10) == photo.whole().part((390, 290, 400, 300), (10, 10)).size

    def test_have_a_hash_by_which_the_file_is_known(self, tmp_path: Path) -> None:
        """Source: hashlib's SHA-256 of the same bytes."""
        path = _saved(tmp_path, 6)

        assert hashlib.sha256(path.read_bytes()).hexdigest() == OpenPhoto(path).sha256()


def _bomb() -> bytes:
    """Return a PNG of few bytes that claims 60 000 × 60 000 pixels."""
    head = struct.pack(">IIBBBBB", 60_000, 60_000, 8, 2, 0, 0, 0)

    def chunk(name: bytes, data: bytes) -> bytes:
        crc = zlib.crc32(name + data)
        return struct.pack(">I", len(data)) + name + data + struct.pack(">I", crc)

    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", head)
        + chunk(b"IDAT", zlib.compress(bytes(1000)))
        + chunk(b"IEND", b"")
    )


def _box(brand: bytes) -> bytes:
    return b"\x00\x00\x00\x18ftyp" + brand + bytes(40)


class TestRefused:
    @pytest.mark.parametrize(
        ("content", "says"),
        [
            (b"", r"is empty\. Copy it again"),
            (b"hello, this is a letter", r"is no photo\. Give a JPEG"),
            (_box(b"heic"), r"is a HEIC .*\. Export it as JPEG"),
            (_box(b"mif1"), r"is a HEIC .*\. Export it as JPEG"),
            (_box(b"mp42"), r"is a video, no photo\. Take a still"),
            (_box(b"qt  "), r"is a video, no photo\. Take a still"),
            (b"\x1a\x45\xdf\xa3" + bytes(60), r"is a video, no photo"),
            (b"RIFF\x00\x00\x00\x00AVI " + bytes(60), r"is a video, no photo"),
            (b"II*\x00" + bytes(60), r"of a kind that isn't read .*\. Export"),
            (b"\xff\xd8\xff" + bytes(60), r"is damaged"),
            (_bomb(), r"far more pixels than are read here\. Save it smaller"),
        ],
    )
    def test_says_what_it_is_and_what_to_do(
        self, tmp_path: Path, content: bytes, says: str
    ) -> None:
        """In a sentence, before anything is drawn."""
        path = tmp_path / "photo.jpg"
        path.write_bytes(content)

        with pytest.raises(PhotoError, match=says):
            OpenPhoto(path)

    def test_a_photo_cut_short_is_damaged(self, tmp_path: Path) -> None:
        """A copy that broke off halfway."""
        path = tmp_path / "photo.jpg"
        whole = io.BytesIO()
        _noise(800, 600).save(whole, "JPEG", quality=95)
        path.write_bytes(whole.getvalue()[: len(whole.getvalue()) // 3])

        with pytest.raises(PhotoError, match="is damaged: it can't be read to its end"):
            OpenPhoto(path).whole()

    def test_a_missing_file_and_a_folder_are_named(self, tmp_path: Path) -> None:
        """By the name, without its folder."""
        with pytest.raises(PhotoError, match=r"there is no photo nowhere\.jpg"):
            OpenPhoto(tmp_path / "nowhere.jpg")
        with pytest.raises(PhotoError, match="is a folder"):
            OpenPhoto(tmp_path)

    def test_too_few_pixels_are_refused(self, tmp_path: Path) -> None:
        """A thumbnail shows no landmark."""
        path = tmp_path / "photo.png"
        _noise(40, 200).save(path)

        with pytest.raises(PhotoError, match="40 × 200 pixels: too few"):
            OpenPhoto(path)

    def test_a_name_is_data(self, tmp_path: Path) -> None:
        """Control characters go, brackets stay."""
        path = tmp_path / "[b]re\x1bach.png"
        _noise(100, 100).save(path)

        assert "[b]reach.png" == OpenPhoto(path).name


class TestARealPhoto:
    """A portrait, taken by a camera, in the public domain (United States Navy, 1984;
    from memory): ``gracehopper.jpg``, which ships in the wheel of textual-image."""

    @pytest.fixture
    def portrait(self) -> Path:
        """Return where it lies."""
        return Path(str(files("textual_image"))) / "gracehopper.jpg"

    def test_is_seen_as_pillow_scales_it(self, portrait: Path) -> None:
        """The dots of a screen and the first look, against Pillow's mean of boxes."""
        photo = OpenPhoto(portrait)
        across, down = 54, 63
        whole = (0, 0, *photo.size)
        with Image.open(portrait) as image:
            scaled = image.convert("RGB").resize(
                (across, down), Image.Resampling.BOX, reducing_gap=None
            )
        expected = np.asarray(scaled).astype(int)

        assert (517, 606) == photo.size
        for pixels in (photo.overview(), photo.whole()):
            dots = np.asarray(pixels.part(whole, (across, down))).astype(int)

            assert np.abs(expected - dots).mean() < 6
            assert np.corrcoef(expected.ravel(), dots.ravel())[0, 1] > 0.99

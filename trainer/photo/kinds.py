"""What a file is, by its first bytes: a photo that we read, or what to do instead."""

from __future__ import annotations

HEAD_BYTES = 32
"""Bytes that tell the kinds apart."""

_HEIF = (
    b"heic",
    b"heix",
    b"hevc",
    b"hevx",
    b"heim",
    b"heis",
    b"mif1",
    b"msf1",
    b"avif",
)
_TO_JPEG = "Export it as JPEG (in most photo programs: share or export), and give that"
_STILL = "Take a still of the moment you mean, and give that"


def is_read(head: bytes) -> bool:
    """Tell whether HEAD begins a JPEG, a PNG or a WebP."""
    return head.startswith((b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n")) or (
        head[:4] == b"RIFF" and head[8:12] == b"WEBP"
    )


def refused(head: bytes) -> tuple[str, str]:
    """Return what a file that isn't read is, and what to do instead."""
    if head[4:8] == b"ftyp":
        if head[8:12] in _HEIF:
            return "is a HEIC (or AVIF) photo, which isn't read here", _TO_JPEG
        return "is a video, no photo", _STILL
    if (head[:4] == b"RIFF" and head[8:12] == b"AVI ") or head.startswith(
        (b"\x1a\x45\xdf\xa3", b"\x00\x00\x01\xba", b"FLV", b"OggS")
    ):
        return "is a video, no photo", _STILL
    if head.startswith((b"II*\x00", b"MM\x00*", b"BM", b"GIF8")):
        return "is a picture of a kind that isn't read here", _TO_JPEG
    return "is no photo", "Give a JPEG, a PNG or a WebP"

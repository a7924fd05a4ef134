"""How many parts a file is built of: some are made of millions, or of one picture drawn thousands of times over.

Such a file is small to send, and a decoder works on it for minutes. No camera makes one.
"""

import re

from grader.errors import PhotoUnreadable
from grader.photo.kind import Kind
from grader.photo.refusals import refusal

JPEG_SEGMENTS = 2000
"""Before the picture: profile, Exif and maps of depth, at 64 kB each, come to some hundred in phones' photos."""
JPEG_SCANS = 64
"""A progressive picture has about ten, and one lies in each small or second picture beside it."""
PNG_CHUNKS = 50_000
"""Programs write pixels in chunks of 8 kB or more: 60 MB are 7500."""
TIFF_PAGES = 100
"""A camera's file has its photo and a few small versions of it."""

_WITHOUT_LENGTH = {b"\x00", b"\x01", b"\xff", *(bytes([kind]) for kind in range(0xD0, 0xDA))}
_SCAN = re.compile(rb"\xff\xda\x00[\x06\x08\x0a\x0c][\x01-\x04]")
"""The start of a scan (ITU-T T.81, B.2.3): its length is 6 and 2 for each of one to four channels."""


def check_parts(data: bytes, kind: Kind) -> None:
    """Refuse a JPEG or PNG of more parts than any camera or program makes.

    Raises
    ------
    PhotoUnreadable
        `not_an_image`.
    """
    if kind == "JPEG":
        scans = sum(1 for _ in _SCAN.finditer(data))
        if _jpeg_segments(data) > JPEG_SEGMENTS or scans > JPEG_SCANS:
            raise too_many_parts()
    elif kind == "PNG" and _png_chunks(data) > PNG_CHUNKS:
        raise too_many_parts()


def too_many_parts() -> PhotoUnreadable:
    """The refusal."""
    return refusal("not_an_image", "it is built of far more parts than a photo")


def _jpeg_segments(data: bytes) -> int:
    """Up to the picture, or one more than may be (B.1.1.4: 0xFF, a kind, for most kinds a length that counts itself).

    Bytes that belong to no segment are passed over, as decoders do, and count as one.
    """
    at, count = 2, 0
    while count <= JPEG_SEGMENTS:
        at = data.find(b"\xff", at)
        kind = data[at + 1 : at + 2]
        if at < 0 or kind in (b"", b"\xda"):
            break
        if kind in _WITHOUT_LENGTH:
            at += 1 if kind == b"\xff" else 2
        else:
            at += 2 + int.from_bytes(data[at + 2 : at + 4], "big")
        count += 1
    return count


def _png_chunks(data: bytes) -> int:
    """All, or one more than may be (ISO/IEC 15948, 5.3: a length, a kind, the content, a check)."""
    at, count = 8, 0
    while count <= PNG_CHUNKS and at + 12 <= len(data):
        at += 12 + int.from_bytes(data[at : at + 4], "big")
        count += 1
    return count

"""What kind of file some bytes are, by their first bytes: a file's name is only what somebody called it."""

from collections.abc import Mapping
from typing import Literal

from grader.photo.refusals import refusal

Kind = Literal["JPEG", "PNG", "TIFF", "WEBP", "HEIF"]

_STARTS: Mapping[bytes, Kind] = {
    b"\xff\xd8\xff": "JPEG",
    b"\x89PNG\r\n\x1a\n": "PNG",
    b"II*\x00": "TIFF",
    b"MM\x00*": "TIFF",
}

_OTHER_STARTS: Mapping[bytes, str] = {
    b"GIF8": "it is a GIF",
    b"BM": "it is a BMP",
    b"%PDF": "it is a PDF document",
    b"PK\x03\x04": "it is a ZIP archive or an office document",
}

# ISO/IEC 23008-12, brands of a file of still pictures coded with HEVC, and of a sequence of pictures.
_HEIF_STILL = {b"heic", b"heix", b"heim", b"heis", b"mif1", b"mif2"}
_HEIF_SEQUENCE = {b"hevc", b"hevx", b"hevm", b"hevs", b"msf1"}
_AVIF = {b"avif", b"avis"}


def kind_of(data: bytes) -> Kind:
    """The kind of picture file.

    Raises
    ------
    PhotoUnreadable
        `empty`, `not_an_image`, or `animated` for a HEIF picture sequence.
    """
    if not data:
        raise refusal("empty")
    for start, kind in _STARTS.items():
        if data.startswith(start):
            return kind
    if data[:4] == b"RIFF" and data[8:12] == b"WEBP":
        return "WEBP"
    if data[4:8] == b"ftyp":
        return _kind_by_brand(data)
    for start, words in _OTHER_STARTS.items():
        if data.startswith(start):
            raise refusal("not_an_image", words)
    raise refusal("not_an_image")


def _kind_by_brand(data: bytes) -> Kind:
    """HEIF by the brands of its first box; other files built of the same boxes are videos or AVIF."""
    major = data[8:12]
    box = data[: min(int.from_bytes(data[:4], "big"), 256)]
    brands = {major, *(box[i : i + 4] for i in range(16, len(box) - 3, 4))}
    if major in _HEIF_SEQUENCE:
        raise refusal("animated")
    if brands & _AVIF:
        raise refusal("not_an_image", "it is an AVIF")
    if brands & _HEIF_STILL:
        return "HEIF"
    raise refusal("not_an_image", "it looks like a video")

"""Photos: small ones through the decoders, larger ones through the whole of grading."""

import io
import struct
import zlib
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pillow_heif
from PIL import Image, ImageCms

from grader.errors import GraderError
from grader.grading import grade_photo
from grader.photo import read_photo
from grader.standard import load_shipped
from tests.fuzz.mutating import BYTES
from tests.fuzz.structures import PICTURES
from tests.fuzz.target import Read, Target

TESTS = Path(__file__).parents[1]
REAL = TESTS / "photo" / "real"
LEAST_PX = 8


def exif_block() -> bytes:
    """An Exif block as a phone writes one: orientation, a small picture, the moment, focal length, flash."""
    exif = Image.Exif()
    exif[0x0112], exif[0x010F] = 6, "Invented"
    exif[0x8769] = {0x9003: "2026:11:02 18:30:00", 0x9011: "+01:00", 0x9209: 16, 0xA405: 26}
    return exif.tobytes()


def picture(size: tuple[int, int] = (40, 32)) -> Image.Image:
    """Smooth colours."""
    rows, columns = np.mgrid[0 : size[1], 0 : size[0]]
    channels = [rows * 255 / size[1], columns * 255 / size[0], (rows + columns) * 255 / sum(size)]
    return Image.fromarray(np.stack(channels, axis=-1).astype(np.uint8))


def saved(image: Image.Image, kind: str, **how: Any) -> bytes:
    """The file's bytes."""
    stream = io.BytesIO()
    if kind == "HEIF":
        pillow_heif.from_pillow(image).save(stream, quality=80, **how)
    else:
        image.save(stream, kind, **how)
    return stream.getvalue()


def deep_png() -> bytes:
    """16 bits a channel."""
    deep = np.asarray(picture()).astype(np.uint16) * np.uint16(257)
    return bytes(cv2.imencode(".png", deep)[1])


def _seeds(_: Path) -> Sequence[bytes]:
    image, exif = picture(), exif_block()
    icc = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    told: dict[str, Any] = {"exif": exif, "icc_profile": icc}
    return [
        saved(image, "JPEG", **told),
        saved(image, "JPEG", progressive=True, **told),
        saved(image.convert("CMYK"), "JPEG", icc_profile=icc),
        saved(image.convert("L"), "JPEG", restart_marker_blocks=1),
        saved(image, "PNG", **told),
        saved(image.convert("P"), "PNG", transparency=3),
        saved(image.convert("LA"), "PNG"),
        deep_png(),
        saved(image, "TIFF", compression="tiff_deflate", icc_profile=icc),
        saved(image, "TIFF", compression="tiff_lzw"),
        saved(image, "TIFF"),
        saved(image, "TIFF", compression="jpeg"),
        saved(image.convert("1"), "TIFF", compression="group4"),
        saved(image, "WEBP", lossless=True, **told),
        saved(image.convert("RGBA"), "WEBP", quality=70),
        saved(image, "HEIF", **told),
        *((REAL / "heic" / name).read_bytes() for name in ("rgb_8_bit_128x128.heif", "rgb_10_bit_128x128.heif")),
    ]


def _decoding(_: Path) -> Read:
    return lambda data: read_photo(data, name="strange", least_side_px=LEAST_PX)


def _plates(_: Path) -> Sequence[bytes]:
    return [(TESTS / "plates" / f"{name}.jpg").read_bytes() for name in ("plain101", "plain107", "ink069")]


def _grading(_: Path) -> Read:
    standard = load_shipped()["strips-9.5mm-skin-on"]

    def read(data: bytes) -> None:
        graded = grade_photo(data, name="strange", standard=standard)
        if graded.plate is None:
            raise GraderError(graded.reasons[0].message, hint=graded.reasons[0].hint)

    return read


def flat_png(width: int, height: int) -> bytes:
    """A picture of one colour that is far smaller packed than unpacked."""
    row = zlib.compress(bytes(1 + 3 * width) * height, 9)
    chunks = [(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)), (b"IDAT", row), (b"IEND", b"")]
    told = (struct.pack(">I", len(b)) + k + b + struct.pack(">I", zlib.crc32(k + b)) for k, b in chunks)
    return b"\x89PNG\r\n\x1a\n" + b"".join(told)


TARGETS = (
    Target(name="photo, decoded", seeds=_seeds, ways=(*PICTURES, *BYTES), open=_decoding, share=6),
    Target(name="photo, graded", seeds=_plates, ways=(*PICTURES, *BYTES), open=_grading, share=4),
)

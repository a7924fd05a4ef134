"""Files made for the tests: small pictures in every format, profiles taken from real files."""

import io
import struct
import warnings
import zlib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pillow_heif
import pytest
from numpy.typing import NDArray
from PIL import Image, ImageCms

with warnings.catch_warnings():
    # colour-science warns once, when it is first imported, that its plots want matplotlib; no test draws any.
    warnings.simplefilter("ignore")
    import colour  # noqa: F401

from grader.arrays import ByteArray, PixelArray

REAL = Path(__file__).parent / "real"

MakeFile = Callable[..., bytes]
"""`make_file(kind, pixels, **what Pillow's save takes)`: the file's bytes."""


@pytest.fixture(scope="session")
def real() -> Path:
    return REAL


@pytest.fixture(scope="session")
def scene() -> ByteArray:
    """(600, 640, 3): smooth colours, another in every corner, so that no turning or mirroring leaves it the same."""
    rows, columns = np.mgrid[0:600, 0:640].astype(np.float32)
    channels = [rows / 600 * 255, columns / 640 * 255, (rows + columns) / 1240 * 120 + 60]
    return np.stack(channels, axis=-1).astype(np.uint8)


@pytest.fixture(scope="session")
def make_file() -> MakeFile:
    def make(kind: str, pixels: NDArray[Any], **options: Any) -> bytes:
        stream = io.BytesIO()
        if kind == "HEIF":
            heif = pillow_heif.from_pillow(Image.fromarray(pixels))
            heif.save(stream, quality=options.pop("quality", 90), chroma=444, **options)
        else:
            Image.fromarray(pixels).save(stream, kind, **options)
        return stream.getvalue()

    return make


def _png_chunk(name: bytes, body: bytes) -> bytes:
    return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))


@pytest.fixture(scope="session")
def make_deep_png() -> Callable[..., bytes]:
    """A 16-bit PNG of (h, w), (h, w, 3) or (h, w, 4) RGB pixels, with a profile and an EXIF block where given."""

    def make(pixels: PixelArray, *, icc: bytes | None = None, exif: bytes | None = None) -> bytes:
        stored: NDArray[Any] = pixels
        if pixels.ndim == 3:
            order = cv2.COLOR_RGBA2BGRA if pixels.shape[2] == 4 else cv2.COLOR_RGB2BGR
            stored = cv2.cvtColor(pixels, order)
        png = cv2.imencode(".png", stored)[1].tobytes()
        head, rest = png[:33], png[33:]
        if icc is not None:
            head += _png_chunk(b"iCCP", b"profile\0\0" + zlib.compress(icc))
        if exif is not None:
            head += _png_chunk(b"eXIf", exif.removeprefix(b"Exif\0\0"))
        return head + rest

    return make


@pytest.fixture(scope="session")
def display_p3() -> bytes:
    """The Display P3 profile that a phone wrote into its own file."""
    file = pillow_heif.open_heif(REAL / "heic" / "phone_4032x3024.heic")
    return bytes(file.info["icc_profile"])


@pytest.fixture(scope="session")
def rec_2020() -> bytes:
    """A profile of Rec. 2020's primaries with the exponent 2.2, from a real file."""
    with Image.open(REAL / "wide_gamut" / "R2020-sRGB-blue.jpg") as image:
        return bytes(image.info["icc_profile"])


@pytest.fixture(scope="session")
def srgb_icc() -> bytes:
    """The sRGB profile that littlecms builds."""
    return ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()

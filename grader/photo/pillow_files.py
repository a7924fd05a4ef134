"""JPEG, PNG, TIFF and WebP: header by Pillow, pixels by Pillow at 8 bits a channel and by OpenCV at 16.

Pillow has no RGB of 16 bits. OpenCV in turn takes a file that breaks off for a whole one: what Pillow doesn't decode
itself is checked before OpenCV gets it.
"""

import io
from itertools import islice
from typing import cast

import cv2
import numpy as np
from PIL import Image, ImageSequence, TiffImagePlugin

from grader.arrays import PixelArray
from grader.photo.exif import camera_facts_of_picture
from grader.photo.kind import Kind
from grader.photo.parts import TIFF_PAGES, check_parts, too_many_parts
from grader.photo.profile import apply_profile, cmyk_to_rgb
from grader.photo.raster import Raster, colour_and_alpha, over_white
from grader.photo.refusals import check_size, refusal

_PNG_DEPTH_BYTE = 24
_NEW_SUBFILE_TYPE = 254
_BAND_ROWS = 64

# Modes of Pillow and the one with 8 bits a channel that they are brought to; others are no photographs.
_PLAIN_MODES = {
    "1": "L",
    "L": "L",
    "LA": "RGBA",
    "La": "RGBA",
    "PA": "RGBA",
    "RGB": "RGB",
    "RGBX": "RGB",
    "RGBA": "RGBA",
    "RGBa": "RGBA",
    "YCbCr": "RGB",
}


def read_with_pillow(data: bytes, kind: Kind, least_side_px: int | None = None) -> Raster:
    """Decode the bytes of a JPEG, PNG, TIFF or WebP file.

    Raises
    ------
    PhotoUnreadable
        By the header: `too_small`, `too_large`, `animated`, `not_an_image`. Whatever else a decoder raises on damaged
        bytes is left to the caller, which knows that they did begin as a picture.
    """
    check_parts(data, kind)
    with Image.open(io.BytesIO(data), formats=[kind]) as image:
        check_size(*image.size, least_side_px)
        _check_single(image, kind)
        facts = camera_facts_of_picture(image)
        icc = image.info.get("icc_profile")
        if kind == "TIFF":
            # Both Pillow and OpenCV turn a TIFF upright while they decode it.
            facts = facts.with_orientation(1)
        if _is_16_bit(data, image, kind):
            pixels, alpha = _read_16_bit(data, image, kind)
        elif image.mode == "CMYK":
            converted, profile = cmyk_to_rgb(image, icc)
            return Raster(pixels=np.asarray(converted), source_profile=profile, facts=facts)
        else:
            pixels, alpha = _read_8_bit(image)
    converted_pixels, profile = apply_profile(pixels, icc)
    return Raster(pixels=over_white(converted_pixels, alpha), source_profile=profile, facts=facts)


def _check_single(image: Image.Image, kind: Kind) -> None:
    """One picture a file. A JPEG with more is a phone's photo with its small or depth picture: the first one counts."""
    if kind in ("PNG", "WEBP") and getattr(image, "is_animated", False):
        raise refusal("animated")
    if isinstance(image, TiffImagePlugin.TiffImageFile):
        if _is_reduced(image):
            raise refusal("not_an_image", "it looks like a camera's raw file")
        pages = list(islice(map(_is_reduced, ImageSequence.Iterator(image)), TIFF_PAGES + 1))
        image.seek(0)
        if len(pages) > TIFF_PAGES:
            raise too_many_parts()
        full_size = pages.count(False)
        if full_size > 1:
            raise refusal("animated")


def _is_reduced(image: Image.Image) -> bool:
    """A small version of another picture of the same file (TIFF 6.0, NewSubfileType, bit 0)."""
    return isinstance(image, TiffImagePlugin.TiffImageFile) and bool(int(image.tag_v2.get(_NEW_SUBFILE_TYPE, 0)) & 1)


def _is_16_bit(data: bytes, image: Image.Image, kind: Kind) -> bool:
    if kind == "PNG":
        return data[_PNG_DEPTH_BYTE] == 16
    if isinstance(image, TiffImagePlugin.TiffImageFile):
        bits = image.tag_v2.get(TiffImagePlugin.BITSPERSAMPLE, (1,))
        return set(bits) == {16} and image.mode in ("RGB", "RGBA", "RGBX", "I;16", "I;16B")
    return False


def _read_8_bit(image: Image.Image) -> tuple[PixelArray, PixelArray | None]:
    mode = image.mode
    if mode == "P":
        plain = "RGBA" if "transparency" in image.info else "RGB"
    elif mode in _PLAIN_MODES:
        plain = _PLAIN_MODES[mode]
    else:
        raise refusal("not_an_image", "its pixels are stored in an unusual way")
    return colour_and_alpha(_pixels_of(image if mode == plain else image.convert(plain)))


def _pixels_of(image: Image.Image) -> PixelArray:
    """(h, w[, c]) band by band: of a whole picture Pillow makes its bytes in pieces first, and joins them then."""
    image.load()
    width, height = image.size
    row = np.asarray(image.crop((0, 0, width, 1)))
    pixels = np.empty((height, *row.shape[1:]), np.uint8)
    for top in range(0, height, _BAND_ROWS):
        below = min(top + _BAND_ROWS, height)
        pixels[top:below] = np.asarray(image.crop((0, top, width, below)))
    return pixels


def _read_16_bit(data: bytes, image: Image.Image, kind: Kind) -> tuple[PixelArray, PixelArray | None]:
    if isinstance(image, TiffImagePlugin.TiffImageFile):
        _check_tiff_whole(data, image)
    else:
        with Image.open(io.BytesIO(data), formats=[kind]) as same:
            same.verify()  # checks every chunk's CRC, and that the last one is there
    pixels = cv2.imdecode(np.frombuffer(data, np.uint8), cv2.IMREAD_UNCHANGED)
    if pixels is None or pixels.dtype != np.uint16:
        raise refusal("truncated")
    if pixels.ndim == 3:
        pixels = cv2.cvtColor(pixels, cv2.COLOR_BGRA2RGBA if pixels.shape[2] == 4 else cv2.COLOR_BGR2RGB)
    return colour_and_alpha(cast("PixelArray", pixels))


def _check_tiff_whole(data: bytes, image: TiffImagePlugin.TiffImageFile) -> None:
    """Every strip or tile of pixels lies within the file."""
    tags = image.tag_v2
    if TiffImagePlugin.TILEOFFSETS in tags:
        offsets, counts = tags[TiffImagePlugin.TILEOFFSETS], tags[TiffImagePlugin.TILEBYTECOUNTS]
    else:
        offsets, counts = tags[TiffImagePlugin.STRIPOFFSETS], tags[TiffImagePlugin.STRIPBYTECOUNTS]
    if any(offset + count > len(data) for offset, count in zip(offsets, counts, strict=True)):
        raise refusal("truncated")

"""What a decoder hands on, and how grey and alpha become plain RGB."""

from dataclasses import dataclass
from typing import cast

import numpy as np

from grader.arrays import PixelArray
from grader.photo.exif import CameraFacts


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Raster:
    """A decoded picture, in sRGB, not yet turned upright where `facts.orientation` is not 1.

    Attributes
    ----------
    pixels
        (h, w, 3) uint8 or uint16.
    source_profile
        Name of the colour space that the file was in.
    """

    pixels: PixelArray
    source_profile: str
    facts: CameraFacts


def over_white(pixels: PixelArray, alpha: PixelArray | None) -> PixelArray:
    """The picture laid over white paper, blended in encoded values as viewers do.

    Parameters
    ----------
    pixels
        (h, w, 3).
    alpha
        (h, w), 0 is transparent; None, or fully opaque, changes nothing.
    """
    if alpha is None:
        return pixels
    opaque = np.iinfo(alpha.dtype).max
    if alpha.min() == opaque:
        return pixels
    share = (alpha / np.float32(opaque))[..., None]
    white = np.float32(np.iinfo(pixels.dtype).max)
    blended = np.rint(white - share * (white - pixels))
    return blended.astype(np.uint8) if pixels.dtype == np.uint8 else blended.astype(np.uint16)


def colour_and_alpha(pixels: PixelArray) -> tuple[PixelArray, PixelArray | None]:
    """(h, w, 3) and the alpha channel, from grey, RGB or RGBA."""
    if pixels.ndim == 2:
        return cast("PixelArray", np.repeat(pixels[..., None], 3, axis=2)), None
    if pixels.shape[2] == 4:
        return cast("PixelArray", np.ascontiguousarray(pixels[..., :3])), pixels[..., 3]
    return pixels, None

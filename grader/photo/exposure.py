"""How a part of a photo is exposed, in linear light."""

from dataclasses import dataclass

import numpy as np

from grader.arrays import PixelArray
from grader.photo.srgb import linear_light

CLIPPED_FROM = 254 / 255
"""Encoded value from which a channel counts as full: JPEG brings some of the clipped pixels down by one level."""

DARK_TO = 2 / 255
"""Encoded value up to which a pixel counts as empty."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Exposure:
    """How a set of pixels is exposed.

    Attributes
    ----------
    median, bright
        Median and 99th percentile of each pixel's brightest channel, linear light, 0 to 1.
    clipped_share
        Share of pixels with at least one channel full: their colour is lost.
    white_share
        Share of pixels with all channels full.
    empty_share
        Share of pixels with no channel above the camera's black.
    """

    median: float
    bright: float
    clipped_share: float
    white_share: float
    empty_share: float


def exposure(pixels: PixelArray) -> Exposure:
    """The exposure of a set of pixels.

    Parameters
    ----------
    pixels
        (..., 3) sRGB-encoded; at least one pixel. Choose them with a mask: `photo.pixels[mask]`.

    Raises
    ------
    ValueError
        If there is no pixel.
    """
    flat = pixels.reshape(-1, 3)  # numpy reduces three values of many pixels slowly, three columns fast
    if flat.shape[0] == 0:
        raise ValueError("exposure needs at least one pixel, got none")
    white = int(np.iinfo(flat.dtype).max)
    red, green, blue = flat.T
    brightest, dullest = np.maximum(np.maximum(red, green), blue), np.minimum(np.minimum(red, green), blue)
    median, bright = np.percentile(linear_light(brightest), [50, 99])
    return Exposure(
        median=float(median),
        bright=float(bright),
        clipped_share=float(np.mean(brightest >= CLIPPED_FROM * white)),
        white_share=float(np.mean(dullest >= CLIPPED_FROM * white)),
        empty_share=float(np.mean(brightest <= DARK_TO * white)),
    )

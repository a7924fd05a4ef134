"""Reading small squares of a sheet out of a photo: pixel by pixel, in linear light."""

import numpy as np

from grader.arrays import Float32Array, FloatArray, MaskArray, PixelArray
from grader.card.model import FoundSheet
from grader.card.plane import sheet_to_pixels
from grader.photo.srgb import linear_light

_CLIP_8_BIT = 1
"""Values this near to either end of the range count as clipped: compression moves a clipped value by about one."""


def sample_squares(
    pixels: PixelArray, sheet: FoundSheet, centres_mm: FloatArray, side_mm: float, per_side: int
) -> tuple[Float32Array, MaskArray, MaskArray]:
    """The pixels nearest to an even grid of points over squares of the sheet.

    Parameters
    ----------
    centres_mm
        (n, 2) middles of the squares.
    side_mm
        Of each square.
    per_side
        Points along each side, k.

    Returns
    -------
    light
        (n, k, k, 3) linear light, rows down the sheet.
    clipped
        (n, k, k) a channel is at an end of its range.
    inside
        (n,) the whole square lies in the picture.
    """
    steps = ((np.arange(per_side) + 0.5) / per_side - 0.5) * side_mm
    grid = np.stack(np.meshgrid(steps, steps), axis=-1)
    return sample_points(pixels, sheet_to_pixels(sheet, centres_mm[:, None, None, :] + grid))


def sample_points(pixels: PixelArray, points_px: FloatArray) -> tuple[Float32Array, MaskArray, MaskArray]:
    """The pixels nearest to squares of points (n, k, k, 2) of a photo, px; returns as `sample_squares` does."""
    where = np.rint(points_px).astype(int)
    limit = np.array([pixels.shape[1], pixels.shape[0]]) - 1
    inside = np.asarray(((where >= 0) & (where <= limit)).all(axis=(1, 2, 3)))
    x, y = np.moveaxis(np.clip(where, 0, limit), -1, 0)
    values = pixels[y, x]
    margin = _CLIP_8_BIT * (np.iinfo(pixels.dtype).max // 255)
    clipped = ((values <= margin) | (values >= np.iinfo(pixels.dtype).max - margin)).any(axis=-1)
    return linear_light(values), np.asarray(clipped), inside

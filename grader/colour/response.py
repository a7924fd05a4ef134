"""From what the picture says to what the sensor saw: a camera's tone curve undone; the terms that a matrix acts on."""

import numpy as np

from grader.arrays import FloatArray
from grader.photo.srgb import linear_to_srgb, srgb_to_linear


def unbend(rgb: FloatArray, tone: FloatArray) -> FloatArray:
    """Scene-linear rgb (..., 3) of picture-linear rgb (..., 3), 0 to 1: a camera's tone curve undone.

    In the sRGB encoding v, where cameras bend it: v + v (1 - v) (tone[0] + tone[1] (1 - 2 v)). Black and white stay;
    tone[0] lifts the middle, tone[1] undoes an S (contrast). (0, 0) leaves everything as it is.
    """
    v = linear_to_srgb(np.clip(rgb, 0.0, 1.0))
    return srgb_to_linear(v + v * (1 - v) * (tone[0] + tone[1] * (1 - 2 * v)))


def expand(rgb: FloatArray, terms: int) -> FloatArray:
    """(..., terms) root-polynomial expansion of rgb (..., 3): R, G, B (3 terms), then sqrt RG, GB, RB (6, degree 2).

    Every term scales with exposure as rgb does, so a fit made in one light level holds in another.
    Source: Finlayson, Mackiewicz & Hurlbert, IEEE Trans. Image Process. 24 (2015) 1460-1470.
    """
    if terms == 3:
        return rgb
    if terms != 6:
        raise ValueError(f"terms must be 3 or 6, got {terms}")
    planes = np.moveaxis(rgb, -1, 0)
    red, green, blue = np.maximum(planes, 0.0)
    return np.stack([*planes, np.sqrt(red * green), np.sqrt(green * blue), np.sqrt(red * blue)], axis=-1)

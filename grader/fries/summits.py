"""Summits of a picture that stand out from their surroundings."""

import cv2
import numpy as np

from grader.arrays import Float32Array, MaskArray

_ROUNDING = np.float32(2e-6)
"""Of a height: what lies so little below a summit belongs to it."""
_AT_A_TIME = 8


def summits(heights: Float32Array, least: float) -> MaskArray:
    """(h, w) True on every summit from which one comes down by at least so much on any way to a higher one.

    The picture's h-maxima (Vincent, "Morphological grayscale reconstruction in image analysis", 1993): lowered by
    `least` it is spread from pixel to pixel as far as its heights let it; what it doesn't come near to stands out.
    """
    lowered = heights - np.float32(least) - _ROUNDING * np.abs(heights)
    flooded, before = np.maximum(lowered, heights.min()), lowered
    while not np.array_equal(flooded, before):
        before = flooded
        for _ in range(_AT_A_TIME):
            flooded = np.asarray(cv2.min(cv2.dilate(flooded, np.ones((3, 3), np.uint8)), heights), np.float32)
    return np.asarray(heights - flooded >= np.float32(least))

"""How much of a fry's outline can hardly be told from what it lies on, and what that leaves open of its sizes.

A fry on a board of its own brown differs from it by little but its shading: there its outline is a guess, however
sharply it is drawn.
"""

import math
from dataclasses import replace

import numpy as np

from grader.arrays import FloatArray, PixelArray
from grader.fries.geometry import StripGeometry
from grader.fries.outline import Outline
from grader.photo.srgb import log_light

_BESIDE_MM = (0.7, 1.0, 1.3)
"""How far to either side of the edge is looked: beyond its blur, near enough to be beside it."""
_FAINT = 0.15
"""Distance between logarithms of red, green and blue, their mean left out. White, grey, black and blue plates, steel
and mats lie 0.4 to 2.5 from fries, a board of kraft paper 0.1 to 0.3 (rendered plates)."""
_DARKEST = 0.01
_LENGTH_U_MM, _WIDTH_U_MM = 6.0, 2.0
"""Of a fry of which no edge can be told, by how far fries on kraft paper came out wrong (rendered plates)."""


def faint_share(pixels: PixelArray, outline: Outline, strip: StripGeometry) -> float:
    """Share of the outline that differs too little in hue from what lies beyond, other fries left out; 0 to 1."""
    free = outline.other == 0
    if not free.any():
        return 0.0
    ends_px = math.dist(strip.centreline_px[0], strip.centreline_px[-1])
    steps_px = np.outer((-1, 1), _BESIDE_MM)[..., None] * (ends_px / max(strip.straight_mm, 1.0))
    ways = zip(outline.points_px.T.compress(free, axis=1), outline.outward.T.compress(free, axis=1), strict=True)
    inside, outside = _log_light_at(pixels, *(place + steps_px * way for place, way in ways)).mean(axis=1)
    differ = inside - outside
    differ = differ - differ.mean(axis=1, keepdims=True)  # shade takes as much of all three
    return float(np.mean((differ**2).sum(axis=1) < _FAINT**2))


def _log_light_at(pixels: PixelArray, x_px: FloatArray, y_px: FloatArray) -> FloatArray:
    """(..., 3) at points (...) each."""
    x = np.rint(x_px).astype(np.intp).clip(0, pixels.shape[1] - 1)
    y = np.rint(y_px).astype(np.intp).clip(0, pixels.shape[0] - 1)
    return log_light(pixels.reshape(-1, 3).take(y * pixels.shape[1] + x, axis=0), darkest=_DARKEST)


def perhaps_misread(strip: StripGeometry, share: float) -> StripGeometry:
    """The same strip, its sizes as unsure as they are where this share of its outline is faint."""
    return replace(
        strip,
        length_u_mm=math.hypot(strip.length_u_mm, _LENGTH_U_MM * share),
        straight_u_mm=math.hypot(strip.straight_u_mm, _LENGTH_U_MM * share),
        width_u_mm=math.hypot(strip.width_u_mm, _WIDTH_U_MM * share),
    )

"""How much of a fry's outline can hardly be told from what it lies on, and what that leaves open of its sizes.

A fry on a board of its own brown differs from it by little but its shading: there its outline is a guess, however
sharply it is drawn.
"""

from dataclasses import replace

import numpy as np

from grader.arrays import FloatArray, PixelArray
from grader.fries.geometry import StripGeometry
from grader.fries.outline import Outline
from grader.photo.srgb import linear_light

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
    ends_px = float(np.linalg.norm(strip.centreline_px[-1] - strip.centreline_px[0]))
    step_px = outline.outward[free] * ends_px / max(strip.straight_mm, 1.0)
    steps = np.outer((-1, 1), _BESIDE_MM)[..., None, None] * step_px
    inside, outside = _hue(pixels, outline.points_px[free] + steps).mean(axis=1)
    return float(np.mean(np.linalg.norm(inside - outside, axis=1) < _FAINT))


def _hue(pixels: PixelArray, points_px: FloatArray) -> FloatArray:
    """(..., 3) what of the light at points (..., 2) shade leaves as it is."""
    x, y = np.moveaxis(np.rint(points_px).astype(int), -1, 0)
    x, y = np.clip(x, 0, pixels.shape[1] - 1), np.clip(y, 0, pixels.shape[0] - 1)
    light = np.log(linear_light(pixels[y, x]).astype(float) + _DARKEST)
    return np.asarray(light - light.mean(axis=-1, keepdims=True))


def perhaps_misread(strip: StripGeometry, share: float) -> StripGeometry:
    """The same strip, its sizes as unsure as they are where this share of its outline is faint."""
    return replace(
        strip,
        length_u_mm=float(np.hypot(strip.length_u_mm, _LENGTH_U_MM * share)),
        straight_u_mm=float(np.hypot(strip.straight_u_mm, _LENGTH_U_MM * share)),
        width_u_mm=float(np.hypot(strip.width_u_mm, _WIDTH_U_MM * share)),
    )

"""Lens distortion with one term, and the straightened picture in which straight lines are straight.

A photo's point at the radius r from the middle (in half diagonals) belongs at r (1 + radial r^2) in the straightened
picture: the first radial term of Brown, "Close-range camera calibration", 1971. Exact this way, by Newton's method
the other.
"""

import numpy as np
from numpy.typing import ArrayLike

from grader.arrays import FloatArray

_NEWTON_STEPS = 12
_SETTLED = 1e-6
"""Half diagonals. Each of Newton's steps is smaller than the square of the one before: the next would be a billionth of
a pixel."""


def centre_px(size_px: tuple[int, int]) -> FloatArray:
    """(2,) the middle of a photo of this width and height; pixel centres are whole numbers."""
    return (np.array(size_px, float) - 1) / 2


def straighten(points_px: ArrayLike, radial: float, size_px: tuple[int, int]) -> FloatArray:
    """(..., 2) where points of the photo lie in the straightened picture."""
    x, y, half_diagonal = _from_centre(points_px, size_px)
    stretch = 1 + radial * (x * x + y * y)
    return _from_corner(half_diagonal * x * stretch, half_diagonal * y * stretch, size_px)


def bend(points_px: ArrayLike, radial: float, size_px: tuple[int, int]) -> FloatArray:
    """(..., 2) where points of the straightened picture lie in the photo: `straighten` backwards."""
    x, y, half_diagonal = _from_centre(points_px, size_px)
    wanted = np.sqrt(x * x + y * y)
    outward = radial * (wanted * wanted)
    radius = wanted * (1 - outward * (1 - 3 * outward))  # the solution's series begins so
    for _ in range(_NEWTON_STEPS):
        bent = radial * (radius * radius)
        step = (radius * (1 + bent) - wanted) / (1 + 3 * bent)
        radius = radius - step
        if np.abs(step).max(initial=0.0) < _SETTLED:
            break
    stretch = 1 + radial * (radius * radius)
    return _from_corner(half_diagonal * x / stretch, half_diagonal * y / stretch, size_px)


def _from_centre(points_px: ArrayLike, size_px: tuple[int, int]) -> tuple[FloatArray, FloatArray, float]:
    """(...) each, x and y of points (..., 2) from the picture's middle, in half diagonals; and that in px.

    Each coordinate by itself: arrays whose last axis is two long are several times as slow.
    """
    (width, height), points = size_px, np.asarray(points_px, float)
    half_diagonal = float(np.hypot(width, height)) / 2
    x, y = points[..., 0] - (width - 1) / 2, points[..., 1] - (height - 1) / 2
    return x / half_diagonal, y / half_diagonal, half_diagonal


def _from_corner(x: FloatArray, y: FloatArray, size_px: tuple[int, int]) -> FloatArray:
    """(..., 2) px from the picture's corner of points (...) and (...) px from its middle."""
    width, height = size_px
    return np.stack([(width - 1) / 2 + x, (height - 1) / 2 + y], axis=-1)

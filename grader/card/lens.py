"""Lens distortion with one term, and the straightened picture in which straight lines are straight.

A photo's point at the radius r from the middle (in half diagonals) belongs at r (1 + radial r^2) in the straightened
picture: the first radial term of Brown, "Close-range camera calibration", 1971. Exact this way, by Newton's method
the other.
"""

import numpy as np
from numpy.typing import ArrayLike

from grader.arrays import FloatArray

_NEWTON_STEPS = 12
_SETTLED = 1e-12


def centre_px(size_px: tuple[int, int]) -> FloatArray:
    """(2,) the middle of a photo of this width and height; pixel centres are whole numbers."""
    return (np.array(size_px, float) - 1) / 2


def straighten(points_px: ArrayLike, radial: float, size_px: tuple[int, int]) -> FloatArray:
    """(..., 2) where points of the photo lie in the straightened picture."""
    centre, half_diagonal = centre_px(size_px), np.hypot(*size_px) / 2
    bent = (np.asarray(points_px, float) - centre) / half_diagonal
    return np.asarray(centre + half_diagonal * bent * (1 + radial * np.sum(bent**2, axis=-1, keepdims=True)))


def bend(points_px: ArrayLike, radial: float, size_px: tuple[int, int]) -> FloatArray:
    """(..., 2) where points of the straightened picture lie in the photo: `straighten` backwards."""
    centre, half_diagonal = centre_px(size_px), np.hypot(*size_px) / 2
    straight = (np.asarray(points_px, float) - centre) / half_diagonal
    wanted = np.hypot(straight[..., :1], straight[..., 1:])
    radius = wanted
    for _ in range(_NEWTON_STEPS):
        bent = radial * (radius * radius)
        step = (radius * (1 + bent) - wanted) / (1 + 3 * bent)
        radius = radius - step
        if np.abs(step).max(initial=0.0) < _SETTLED:
            break
    return np.asarray(centre + half_diagonal * straight / (1 + radial * (radius * radius)))

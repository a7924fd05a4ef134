"""Amounts of colorants that give wanted colours: least squares of CIELAB, many colours at once."""

from collections.abc import Callable

import numpy as np

from grader.arrays import FloatArray
from tests.spectral.observer import reflectance_lab

_STEP = 1e-5
_ROUNDS = 60


def match_lab(
    reflectance: Callable[[FloatArray], FloatArray],
    lab: FloatArray,
    *,
    start: FloatArray,
    lowest: float,
    highest: float,
) -> FloatArray:
    """(n, 81) reflectances nearest to the CIELAB (n, 3) that a mixture can give.

    Parameters
    ----------
    reflectance
        From three amounts (n, 3) to spectra (n, 81).
    start, lowest, highest
        (3,) amounts to begin with, and the range that every amount keeps to.
    """
    amounts = np.tile(start, (len(lab), 1))
    damping = np.full(len(lab), 1e-2)
    off = reflectance_lab(reflectance(amounts)) - lab
    for _ in range(_ROUNDS):
        slope = np.stack(
            [(reflectance_lab(reflectance(amounts + _STEP * axis)) - lab - off) / _STEP for axis in np.eye(3)], -1
        )
        normal = np.einsum("nij,nik->njk", slope, slope)
        normal = normal + (damping[:, None] * np.trace(normal, axis1=1, axis2=2)[:, None])[..., None] * np.eye(3) / 3
        step = np.linalg.solve(normal, np.einsum("nij,ni->nj", slope, off)[..., None])[..., 0]
        tried = np.clip(amounts - step, lowest, highest)
        left = reflectance_lab(reflectance(tried)) - lab
        better = (left**2).sum(1) < (off**2).sum(1)
        amounts[better], off[better] = tried[better], left[better]
        damping = np.where(better, np.maximum(damping / 5, 1e-9), np.minimum(damping * 4, 1e3))
    return reflectance(amounts)

"""Least squares in which what stands out of the rest loses its say."""

import numpy as np

from grader.arrays import FloatArray

_ROUNDS = 8
# Beyond so many robust standard deviations a value begins to lose weight (Cauchy's function).
_STANDS_OUT = 2.5


def robust_fit(design: FloatArray, values: FloatArray, *, normal: FloatArray, floor: float) -> FloatArray:
    """Coefficients (p,) of values (n,) = design (n, p) @ coefficients.

    Parameters
    ----------
    normal
        (p, p) precision of the coefficients' prior, mean 0, where one value weighs 1 (0 where nothing is known).
    floor
        The spread about the fit is never taken to be less.
    """
    weight = np.ones(len(values))
    for _ in range(_ROUNDS):
        weighted = design * weight[:, None]
        coefficients = np.linalg.solve(weighted.T @ design + normal, weighted.T @ values)
        off = np.abs(values - design @ coefficients)
        spread = max(1.4826 * float(np.median(off)), floor)
        weight = 1 / (1 + (off / (_STANDS_OUT * spread)) ** 2)
    return np.asarray(coefficients, float)

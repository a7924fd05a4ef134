"""The plainest correction: one matrix, for telling surfaces apart quickly and not for measuring."""

import numpy as np

from grader.arrays import FloatArray
from grader.colour.cie import D65, lab_to_xyz

_DARKEST = 0.03
_DARK_WEIGHT = 0.67


def plain_matrix(rgb: FloatArray, reference_lab: FloatArray) -> FloatArray:
    """(3, 3) matrix from linear rgb to XYZ over that of the white, weighted least squares over the patches.

    rgb @ matrix is 1, 1, 1 for a perfect white. Dark patches weigh more (by Y ** -0.67, about as CIELAB would have it).

    Parameters
    ----------
    rgb, reference_lab
        (n, 3) linear light of the patches and their CIELAB, D65.
    """
    relative = lab_to_xyz(reference_lab) / D65
    weight = np.maximum(relative[:, 1:2], _DARKEST) ** -_DARK_WEIGHT
    return np.asarray(np.linalg.lstsq(rgb * weight, relative * weight, rcond=None)[0])

"""The colour of the light at a place, told by what a surface of known or unchanging colour looks like there.

A tint is (ln X/Y, ln Y/Z) of what is seen, as corrected, over what is known: (0, 0) under the light that the correction
was made for, whatever its level.
"""

import numpy as np

from grader.arrays import FloatArray
from grader.colour.cie import lab_to_xyz, xyz_to_lab
from grader.colour.difference import ciede2000

_DARKEST = 1e-4


def tint_of(xyz: FloatArray, known_xyz: FloatArray) -> FloatArray:
    """(..., 2) tint of corrected XYZ (..., 3) of a surface whose XYZ is known, (..., 3)."""
    ratio = np.log(np.maximum(xyz, _DARKEST) / known_xyz)
    return np.stack([ratio[..., 0] - ratio[..., 1], ratio[..., 1] - ratio[..., 2]], axis=-1)


def tint_error(lab: FloatArray, tint: FloatArray) -> FloatArray:
    """(...) by how much (CIE 2000) a colour, CIELAB (..., 3), is misjudged in light of a tint (..., 2).

    Each of X and Z scales with the light, as adaptation by the channels of XYZ has it: rough for the light of two
    lamps, and enough to tell a small error from a large one.
    """
    xyz = lab_to_xyz(lab)
    scale = np.exp(np.stack([tint[..., 0], np.zeros(tint.shape[:-1]), -tint[..., 1]], axis=-1))
    return ciede2000(xyz_to_lab(xyz * scale), lab)

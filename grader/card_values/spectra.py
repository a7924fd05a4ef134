"""From spectral reflectance to CIELAB, D65: no adaptation from another white is needed then."""

from functools import cache

import numpy as np
from scipy.interpolate import CubicSpline

from grader.arrays import FloatArray, frozen
from grader.colour import D65, xyz_to_lab
from grader.places import calibration_folder

WIDEST_STEP_NM = 20.0
BEGINS_AT_MOST_NM, ENDS_AT_LEAST_NM = 400.0, 700.0


@cache
def _weights() -> tuple[FloatArray, FloatArray]:
    """(n,) wavelengths and (n, 3) what a reflectance there adds to X, Y, Z; all together give D65's own white."""
    table = np.loadtxt(calibration_folder() / "observer-1931-d65.csv", delimiter=",", comments="#")
    weighted = table[:, 1:4] * table[:, 4:5]
    # A table of steps misses the white by a few units of its fifth digit; white must come out neutral.
    return frozen(table[:, 0]), frozen(weighted / weighted.sum(axis=0) * D65)


def reflectance_to_lab(wavelength_nm: FloatArray, reflectance: FloatArray) -> FloatArray:
    """CIELAB (n, 3), CIE 1931 2 degree observer, D65, of reflectances (n, k), 1 for a perfect white.

    Reflectance is interpolated to 5 nm by a cubic spline and held constant beyond its ends. Source: CIE 15, 7.1 and
    7.2 (summation; extrapolation by the nearest value).

    Parameters
    ----------
    wavelength_nm
        (k,) rising, in steps of `WIDEST_STEP_NM` at most, from 400 nm or less to 700 nm or more.

    Raises
    ------
    ValueError
        The wavelengths are others.
    """
    steps = np.diff(wavelength_nm)
    if not len(steps) or steps.min() <= 0 or steps.max() > WIDEST_STEP_NM:
        raise ValueError(f"wavelengths must rise in steps of at most {WIDEST_STEP_NM:g} nm")
    if wavelength_nm[0] > BEGINS_AT_MOST_NM or wavelength_nm[-1] < ENDS_AT_LEAST_NM:
        raise ValueError(f"wavelengths must span {BEGINS_AT_MOST_NM:g} to {ENDS_AT_LEAST_NM:g} nm")
    at_nm, weights = _weights()
    within = np.clip(at_nm, wavelength_nm[0], wavelength_nm[-1])
    return xyz_to_lab(CubicSpline(wavelength_nm, reflectance, axis=1)(within) @ weights)

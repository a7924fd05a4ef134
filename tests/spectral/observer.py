"""The spectral grid, the CIE 1931 observer and D65 on it, and colours of reflectances. Data: colour-science."""

from functools import cache

import numpy as np
from scipy.ndimage import gaussian_filter1d

from grader.arrays import FloatArray
from grader.colour import D65, xyz_to_lab
from tests.card_values.reference import colour

WAVELENGTHS_NM: FloatArray = np.arange(380.0, 781.0, 5.0)
"""(81,) every array of spectra ends in this axis."""

# Random values at knots, smoothed; what sd they have then.
_KNOTS, _BEND_SD_NM, _SMOOTHED_SD = 11, 20.0, 0.67

SHAPE = colour.SpectralShape(380, 780, 5)


@cache
def observer() -> FloatArray:
    """(81, 3) CIE 1931 2 degree colour-matching functions."""
    functions = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy().align(SHAPE)
    return np.asarray(functions.values, float)


@cache
def daylight_to_xyz() -> FloatArray:
    """(81, 3) what a reflectance (..., 81) is multiplied by to give XYZ under D65, a perfect white having grader's."""
    weighted = colour.SDS_ILLUMINANTS["D65"].copy().align(SHAPE).values[:, None] * observer()
    # The grid's own white is that of CIE 15 but for its fourth digit; white must come out neutral exactly.
    return np.asarray(weighted / weighted.sum(0) * D65, float)


def reflectance_lab(reflectance: FloatArray) -> FloatArray:
    """CIELAB (..., 3), D65, of reflectances (..., 81)."""
    return xyz_to_lab(reflectance @ daylight_to_xyz())


def bell(middle_nm: float, sd_nm: float) -> FloatArray:
    """(81,) a Gaussian band of height 1."""
    return np.asarray(np.exp(-0.5 * ((WAVELENGTHS_NM - middle_nm) / sd_nm) ** 2), float)


def bent(spectrum: FloatArray, share: float, rng: np.random.Generator) -> FloatArray:
    """Spectra (..., 81) each times a smooth random factor, sd `share`: a shape known by its kind, not measured."""
    knots = np.linspace(WAVELENGTHS_NM[0], WAVELENGTHS_NM[-1], _KNOTS)
    factor = np.zeros(spectrum.shape)
    for place in np.ndindex(spectrum.shape[:-1]):
        factor[place] = np.interp(WAVELENGTHS_NM, knots, rng.standard_normal(_KNOTS))
    smooth = gaussian_filter1d(factor, _BEND_SD_NM / 5, axis=-1, mode="nearest") / _SMOOTHED_SD
    return np.asarray(spectrum * np.exp(share * smooth), float)

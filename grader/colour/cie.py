"""CIE colour spaces: white points, CIELAB, linear sRGB, chromatic adaptation. All float64, arrays (..., 3) in and out.

XYZ is relative: Y = 1 for a perfect white. CIELAB is of the CIE 1931 2 degree observer; D65 where a name says no other.
"""

from types import MappingProxyType

import numpy as np
from numpy.typing import ArrayLike

from grader.arrays import ByteArray, FloatArray, frozen
from grader.photo.rgb_space import BRADFORD, D65_XY, SRGB_PRIMARIES, primaries_to_xyz
from grader.photo.srgb import linear_to_srgb

# (6/29)^3 and the slope of the straight part: CIE 15, 8.2.1, exact fractions.
_EPSILON = 216 / 24389
_SLOPE = 841 / 108
_INTERCEPT = 4 / 29


def xy_to_xyz(x: float, y: float) -> FloatArray:
    """XYZ (3,) with Y = 1 of a chromaticity. Source: CIE 15, 7.3."""
    return np.array([x / y, 1.0, (1 - x - y) / y])


WHITE_POINTS: MappingProxyType[str, FloatArray] = MappingProxyType(
    {
        name: frozen(xy_to_xyz(x, y))
        for name, (x, y) in {
            "A": (0.44758, 0.40745),
            "C": (0.31006, 0.31616),
            "D50": (0.34570, 0.35850),
            "D55": (0.33243, 0.34744),
            "D65": D65_XY,
            "D75": (0.29903, 0.31488),
            "FL11": (0.38050, 0.37690),
            "LED-B3": (0.37560, 0.37230),
        }.items()
    }
)
"""XYZ (3,) of the named illuminants, 2 degree observer, from the chromaticities of CIE 15 (D65's are also those of
IEC 61966-2-1)."""

D50 = WHITE_POINTS["D50"]
D65 = WHITE_POINTS["D65"]


def xyz_to_lab(xyz: ArrayLike, white: FloatArray = D65) -> FloatArray:
    """CIELAB (..., 3) of XYZ (..., 3), Y of the white = 1. Source: CIE 15, 8.2.1."""
    t = np.asarray(xyz, float) / white
    # The guarded cube root: beyond the straight part nothing else is read from it, so its own domain is kept valid.
    f = np.where(t > _EPSILON, np.cbrt(np.maximum(t, _EPSILON)), _SLOPE * t + _INTERCEPT)
    fx, fy, fz = f[..., 0], f[..., 1], f[..., 2]
    return np.stack([116 * fy - 16, 500 * (fx - fy), 200 * (fy - fz)], -1)


def lab_to_xyz(lab: ArrayLike, white: FloatArray = D65) -> FloatArray:
    """XYZ (..., 3) of CIELAB (..., 3): `xyz_to_lab` backwards. Source: CIE 15, 8.2.1 and annex D."""
    lab = np.asarray(lab, float)
    fy = (lab[..., 0] + 16) / 116
    f = np.stack([fy + lab[..., 1] / 500, fy, fy - lab[..., 2] / 200], -1)
    return np.where(f > np.cbrt(_EPSILON), f**3, (f - _INTERCEPT) / _SLOPE) * white


def xyz_to_lab_jacobian(xyz: ArrayLike, white: FloatArray = D65) -> FloatArray:
    """(..., 3, 3) derivative of CIELAB (rows) by XYZ (columns). Source: `xyz_to_lab`, differentiated."""
    t = np.asarray(xyz, float) / white
    slope = np.where(t > _EPSILON, np.maximum(t, _EPSILON) ** (-2 / 3) / 3, _SLOPE) / white
    mix = np.array([[0.0, 116.0, 0.0], [500.0, -500.0, 0.0], [0.0, 200.0, -200.0]])
    return mix * slope[..., None, :]


SRGB_TO_XYZ: FloatArray = frozen(np.asarray(primaries_to_xyz(SRGB_PRIMARIES, D65_XY), float))
"""(3, 3) linear sRGB to XYZ, from the primaries and the white of IEC 61966-2-1 rather than its four-digit matrix, so
that equal channels come out exactly neutral."""
XYZ_TO_SRGB: FloatArray = frozen(np.asarray(np.linalg.inv(SRGB_TO_XYZ), float))


def linear_srgb_to_xyz(rgb: ArrayLike) -> FloatArray:
    """XYZ (..., 3), D65, of linear sRGB (..., 3), 0 to 1. Source: IEC 61966-2-1."""
    return np.asarray(rgb, float) @ SRGB_TO_XYZ.T


def xyz_to_linear_srgb(xyz: ArrayLike) -> FloatArray:
    """Linear sRGB (..., 3) of XYZ (..., 3), D65; not clipped. Source: IEC 61966-2-1."""
    return np.asarray(xyz, float) @ XYZ_TO_SRGB.T


def linear_srgb_to_lab(rgb: ArrayLike) -> FloatArray:
    """CIELAB (..., 3), D65, of linear sRGB (..., 3)."""
    return xyz_to_lab(linear_srgb_to_xyz(rgb))


def lab_to_srgb8(lab: ArrayLike) -> ByteArray:
    """8-bit sRGB (..., 3) of CIELAB (..., 3), D65, for swatches: what a screen can't show is clipped to what it can."""
    linear = np.clip(xyz_to_linear_srgb(lab_to_xyz(lab)), 0, 1)
    return np.round(linear_to_srgb(linear) * 255).astype(np.uint8)


def adaptation_matrix(source: FloatArray, destination: FloatArray) -> FloatArray:
    """(3, 3) linear Bradford adaptation of XYZ from one white (3,) to another. Source: ICC.1:2022, annex E."""
    cone_source, cone_destination = BRADFORD @ source, BRADFORD @ destination
    return np.linalg.solve(BRADFORD, (cone_destination / cone_source)[:, None] * BRADFORD)


def adapt(xyz: ArrayLike, source: FloatArray, destination: FloatArray) -> FloatArray:
    """XYZ (..., 3) seen under `source` white, as it would look under `destination` white (Bradford)."""
    return np.asarray(xyz, float) @ adaptation_matrix(source, destination).T


def lab_d50_to_d65(lab: ArrayLike) -> FloatArray:
    """CIELAB (..., 3) of the D50 white (as charts and print are measured), as CIELAB of the D65 white (Bradford)."""
    return xyz_to_lab(adapt(lab_to_xyz(lab, D50), D50, D65))

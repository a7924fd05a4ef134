"""The correction from a camera's rgb to CIE XYZ, and its application. `fitting` makes one.

xyz = matrix @ expand(unbend(rgb, tone) - haze * white_rgb), D65
"""

from dataclasses import dataclass
from typing import Any

import numpy as np

from grader.arrays import FloatArray, PixelArray
from grader.colour.cie import xyz_to_lab, xyz_to_lab_jacobian
from grader.colour.response import expand, unbend
from grader.photo.srgb import linear_light

_STEP = 1e-5
_AROUND = np.array([[0, 0, 0], [1, 0, 0], [-1, 0, 0], [0, 1, 0], [0, -1, 0], [0, 0, 1], [0, 0, -1]])


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Correction:
    """A fitted correction.

    Attributes
    ----------
    parameters
        (2 + 1 + 3 * terms,): tone (2), haze (1), matrix row by row.
    covariance
        Of the parameters.
    white_rgb
        (3,) scene-linear rgb of a perfect white in the sheet's mean light, as first estimated: the colour of the haze.
    left_out_lab_error
        (n, 3) CIELAB of each patch as the others predict it, less its reference; nan where a patch was not used.
    left_out_de
        (n,) the same as CIE 2000 differences: what to expect of a colour that was not fitted.
    weight
        (n,) 0 to 1: how far each patch was trusted in the end.
    """

    parameters: FloatArray
    covariance: FloatArray
    white_rgb: FloatArray
    left_out_lab_error: FloatArray
    left_out_de: FloatArray
    weight: FloatArray

    @property
    def tone(self) -> FloatArray:
        """(2,) see `unbend`."""
        return self.parameters[:2]

    @property
    def haze(self) -> float:
        """Stray light, a share of white."""
        return float(self.parameters[2])

    @property
    def matrix(self) -> FloatArray:
        """(3, terms)."""
        return self.parameters[3:].reshape(3, -1)


def apply_correction(correction: Correction, rgb: FloatArray) -> FloatArray:
    """XYZ (..., 3), D65, Y = 1 for white in the sheet's mean light, of picture-linear rgb (..., 3), 0 to 1.

    Where the light is brighter or dimmer than over the sheet, divide the result by its factor (`light_at`).
    """
    return predict(correction.parameters, correction.white_rgb, np.asarray(rgb, float))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PixelCorrection:
    """A correction for a photo's own pixels, whose values are few: `unbent` (256 or 65536,) is `unbend` of each."""

    correction: Correction
    unbent: FloatArray

    def xyz(self, pixels: PixelArray) -> FloatArray:
        """As `apply_correction`, of pixels (k, 3); X, Y and Z lie in memory one after another, for sums over pixels."""
        correction = self.correction
        scene = self.unbent.take(pixels.T).T - correction.haze * correction.white_rgb
        return np.asarray((correction.matrix @ expand(scene, correction.matrix.shape[1]).T).T, float)


def for_pixels(correction: Correction, kind: np.dtype[Any]) -> PixelCorrection:
    """The correction for pixels of this type, uint8 or uint16."""
    levels = linear_light(np.arange(np.iinfo(kind).max + 1, dtype=kind)).astype(float)
    return PixelCorrection(correction=correction, unbent=unbend(levels, correction.tone))


def predict_lab_covariance(correction: Correction, rgb: FloatArray) -> FloatArray:
    """(..., 3, 3) covariance of the CIELAB of rgb (..., 3) that comes with the fit, by the Jacobian.

    All colours of a photo share it. Noise of the rgb, the light's slope and shine are not in it.
    """
    rgb = np.asarray(rgb, float)
    jacobian = lab_jacobian(correction.parameters, correction.white_rgb, rgb.reshape(-1, 3))
    return np.reshape(jacobian @ correction.covariance @ np.swapaxes(jacobian, -1, -2), (*rgb.shape, 3))


def noise_lab_u(
    correction: Correction, rgb: FloatArray, rgb_u: FloatArray, *, light: FloatArray | float = 1.0
) -> FloatArray:
    """(n, 3) what the uncertainty of rgb (n, 3) does to its CIELAB: each channel moved by its own, in turn.

    `light` (n,) as the factor at each.
    """
    factor, variance = np.reshape(light, (-1, 1)), np.zeros_like(rgb)
    for channel in np.eye(3):
        step = rgb_u * channel
        ahead, behind = (xyz_to_lab(apply_correction(correction, rgb + sign * step) / factor) for sign in (1, -1))
        variance += ((ahead - behind) / 2) ** 2
    return np.asarray(np.sqrt(variance))


def predict(parameters: FloatArray, white_rgb: FloatArray, rgb: FloatArray) -> FloatArray:
    """XYZ (..., 3) of rgb (..., 3) by bare parameters (see `Correction`)."""
    matrix = parameters[3:].reshape(3, -1)
    return np.asarray(expand(_scene(parameters, white_rgb, rgb), matrix.shape[1]) @ matrix.T, float)


def lab_jacobian(
    parameters: FloatArray, white_rgb: FloatArray, rgb: FloatArray, light: FloatArray | float = 1.0
) -> FloatArray:
    """(n, 3, p) derivative of the CIELAB of rgb (n, 3) by the parameters; `light` (n,) as the factor at each.

    The matrix's part is exact (it enters linearly), tone and haze by central differences.
    """
    matrix = parameters[3:].reshape(3, -1)
    terms = matrix.shape[1]
    scenes = _scenes_around(parameters, white_rgb, rgb)
    basis = expand(scenes, terms)
    xyz = basis @ matrix.T
    by_parameter = np.zeros((len(rgb), 3, len(parameters)))
    by_parameter[:, :, :3] = np.moveaxis((xyz[1::2] - xyz[2::2]) / (2 * _STEP), 0, -1)
    for row in range(3):
        by_parameter[:, row, 3 + row * terms : 3 + (row + 1) * terms] = basis[0]
    factor = np.reshape(light, (-1, 1))
    to_lab = xyz_to_lab_jacobian(xyz[0] / factor)
    return np.asarray(np.einsum("nij,njp->nip", to_lab, by_parameter / factor[..., None]), float)


def _scene(parameters: FloatArray, white_rgb: FloatArray, rgb: FloatArray) -> FloatArray:
    return np.asarray(unbend(rgb, parameters[:2]) - parameters[2] * white_rgb, float)


def _scenes_around(parameters: FloatArray, white_rgb: FloatArray, rgb: FloatArray) -> FloatArray:
    """(7, n, 3) as `_scene`, then with each of both tones and haze a step more and a step less."""
    tone, haze = np.split((parameters[:3] + _STEP * _AROUND).T[..., None, None], [2])
    return np.asarray(unbend(rgb, tone) - haze[0] * white_rgb, float)

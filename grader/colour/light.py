"""How the light falls off over the sheet and beside it: a smooth surface in log level, fitted to spots of known colour.

Where spots lie all around (a mat), a quadratic surface; where they lie on one side (a card beside the plate), their slope,
which is trusted less and less with distance: the light is some lamp's that we don't see, and only its slope here is known.
"""

from dataclasses import dataclass

import numpy as np

from grader.arrays import FloatArray, frozen

# Prior sd of the log level's slope (1 per mm) and curvature (1 per mm^2) over a table: a lamp 1 to 2 m overhead that stands up to
# 0.6 m aside falls off by cos^4 / d^2, at most 0.1 to 0.2 % a mm; its second derivative is of the order of 4 / height^2.
SLOPE_SD_PER_MM = 0.0006
CURVATURE_SD_PER_MM2 = 2e-6
_ROUNDS = 10
_BAD_SPOT = 2.5


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LightField:
    """A fitted field: log level = basis @ coefficients, 0 on average over the spots it was fitted to.

    Attributes
    ----------
    centre_mm
        (2,) where the basis (1, x, y, x^2, x y, y^2) has its origin.
    coefficients, covariance
        (6,) and (6, 6).
    offset
        What was taken off so that the mean over the sheet's spots is 0.
    """

    centre_mm: FloatArray
    coefficients: FloatArray
    covariance: FloatArray
    offset: float


def fit_light(xy_mm: FloatArray, level: FloatArray, *, level_u: float = 0.01) -> LightField:
    """Fit a field to spots of the sheet.

    Parameters
    ----------
    xy_mm
        (m, 2) where each spot lies.
    level
        (m,) luminance as corrected over luminance as known; only ratios count.
    level_u
        Relative standard uncertainty of one level (print, noise, correction).

    Raises
    ------
    ValueError
        If there are fewer than 3 spots, shapes don't match or a level is not positive.
    """
    xy_mm, level = np.asarray(xy_mm, float), np.asarray(level, float)
    if xy_mm.shape != (len(level), 2) or len(level) < 3:
        raise ValueError(
            f"the light needs at least 3 spots (m, 2) with a level (m,) each, got {xy_mm.shape}, {level.shape}"
        )
    if not (level > 0).all():
        raise ValueError("every level must be above 0: leave black spots out")
    centre = xy_mm.mean(0)
    basis, log_level = _basis(xy_mm - centre), np.log(level)
    log_level = log_level - np.median(log_level)
    precision = np.diag([0.0, *[SLOPE_SD_PER_MM**-2] * 2, *[CURVATURE_SD_PER_MM2**-2] * 3])
    trust = np.ones(len(level))
    for _ in range(_ROUNDS):
        normal = (basis * trust[:, None]).T @ basis / level_u**2 + precision
        coefficients = np.linalg.solve(normal, (basis * trust[:, None]).T @ log_level / level_u**2)
        residual = np.abs(log_level - basis @ coefficients)
        spread = max(1.4826 * float(np.median(residual)), level_u / 4)
        trust = 1 / (1 + (residual / (_BAD_SPOT * spread)) ** 2)
    excess = max(1.0, (spread / level_u) ** 2)
    return LightField(
        centre_mm=frozen(centre),
        coefficients=frozen(coefficients),
        covariance=frozen(np.linalg.inv(normal) * excess),
        offset=float((basis @ coefficients).mean()),
    )


def light_at(field: LightField, xy_mm: FloatArray) -> tuple[FloatArray, FloatArray]:
    """The light's factor relative to the sheet's mean, and its relative standard uncertainty, (...) each, at (..., 2) mm."""
    basis = _basis(np.asarray(xy_mm, float) - field.centre_mm)
    factor = np.exp(basis @ field.coefficients - field.offset)
    return factor, np.sqrt(np.einsum("...i,ij,...j->...", basis, field.covariance, basis))


def _basis(xy: FloatArray) -> FloatArray:
    x, y = xy[..., 0], xy[..., 1]
    return np.stack([np.ones_like(x), x, y, x * x, x * y, y * y], -1)

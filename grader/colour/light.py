"""How the light falls off over the sheet and beside it: a smooth surface in log level, fitted to spots of known colour.

Where spots lie all around (a mat) the surface is seen; where they lie on one side (a card beside the plate) only their
slope is, and it is followed with a doubt that grows with distance.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from grader.arrays import FloatArray, frozen

# What a lamp 1.3 to 2.2 m over the table, up to 0.6 m aside, does to the log level where half the light is its own
# and half comes from all around. E ~ cos / d^2 (cos^4 / height^2) has a slope of at most 4 aside / (height^2 +
# aside^2) a mm and a curvature of about -4 / height^2; the coefficient of x^2 is half the curvature, and half of
# that is the lamp's share.
SLOPE_SD_PER_MM = 6e-4
CURVATURE_PER_MM2 = -3e-7
CURVATURE_SD_PER_MM2 = 2e-7
MIN_SPOTS = 3
_ROUNDS = 10
# A spot begins to lose weight beyond so many robust standard deviations (a shadow, a stain, a reflection).
_BAD_SPOT = 2.5


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LightField:
    """A fitted field: log factor = (x, y, x^2, x y, y^2) @ coefficients - mean, with x, y from the centre in mm.

    Attributes
    ----------
    centre_mm
        (2,) mean of the spots.
    coefficients, covariance
        (5,) and (5, 5).
    mean_basis
        (5,) mean of the basis over the spots: there the factor is 1.
    """

    centre_mm: FloatArray
    coefficients: FloatArray
    covariance: FloatArray
    mean_basis: FloatArray


def fit_light(
    xy_mm: FloatArray, level: FloatArray, *, surface: ArrayLike | None = None, level_u: float = 0.01
) -> LightField:
    """Fit a field to spots of the sheet.

    Parameters
    ----------
    xy_mm
        (m, 2) where each spot lies.
    level
        (m,) luminance as corrected over luminance as known; only ratios count.
    surface
        (m,) which surface each spot is of (any labels). Levels are compared within a surface only: a small error of one
        surface's known colour then makes no false slope. One surface where not given.
    level_u
        Relative standard uncertainty of one level (print, noise, correction).

    Raises
    ------
    ValueError
        If there are fewer than 3 spots, shapes don't match or a level is not positive.
    """
    xy_mm, level = np.asarray(xy_mm, float), np.asarray(level, float)
    if xy_mm.shape != (len(level), 2) or len(level) < MIN_SPOTS:
        raise ValueError(
            f"needs at least {MIN_SPOTS} spots (m, 2), each with a level (m,): got {xy_mm.shape} and {level.shape}"
        )
    if not (level > 0).all():
        raise ValueError("every level must be above 0: leave black spots out")
    labels = np.zeros(len(level)) if surface is None else np.asarray(surface)
    surfaces = (labels[:, None] == np.unique(labels)).astype(float)
    centre = xy_mm.mean(0)
    shape = np.ascontiguousarray(_basis(xy_mm - centre).T)
    coefficients, covariance = _robust_fit(np.hstack([surfaces, shape]), np.log(level), level_u)
    free = surfaces.shape[1]
    return LightField(
        centre_mm=frozen(centre),
        coefficients=frozen(coefficients[free:]),
        covariance=frozen(covariance[free:, free:]),
        mean_basis=frozen(shape.mean(0)),
    )


def light_at(field: LightField, xy_mm: FloatArray) -> tuple[FloatArray, FloatArray]:
    """The light's factor relative to the sheet's mean at (..., 2) mm, and its relative standard uncertainty."""
    basis = (_basis(np.asarray(xy_mm, float) - field.centre_mm).T - field.mean_basis).T
    variance = (basis * np.tensordot(field.covariance, basis, 1)).sum(axis=0)
    return np.exp(np.tensordot(field.coefficients, basis, 1)), np.sqrt(variance)


def _basis(xy: FloatArray) -> FloatArray:
    """(5, ...) the terms at (..., 2)."""
    x, y = xy[..., 0], xy[..., 1]
    return np.stack([x, y, x * x, x * y, y * y])


def _robust_fit(design: FloatArray, log_level: FloatArray, level_u: float) -> tuple[FloatArray, FloatArray]:
    """Coefficients and covariance: least squares with the priors of a lamp, spots off the surface losing weight."""
    free = design.shape[1] - 5
    mean = np.array([*[0.0] * free, 0.0, 0.0, CURVATURE_PER_MM2, 0.0, CURVATURE_PER_MM2])
    precision = np.array([*[0.0] * free, *[SLOPE_SD_PER_MM**-2] * 2, *[CURVATURE_SD_PER_MM2**-2] * 3])
    trust, spread = np.ones(len(log_level)), level_u
    for _ in range(_ROUNDS):
        weighted = design * trust[:, None] / level_u**2
        normal = weighted.T @ design + np.diag(precision)
        coefficients = np.linalg.solve(normal, weighted.T @ log_level + precision * mean)
        residual = np.abs(log_level - design @ coefficients)
        spread = max(1.4826 * float(np.median(residual)), level_u / 4)
        trust = 1 / (1 + (residual / (_BAD_SPOT * spread)) ** 2)
    return coefficients, np.asarray(np.linalg.inv(normal) * max(1.0, (spread / level_u) ** 2), float)

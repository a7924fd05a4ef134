"""The map from one plane to another: fitted to pairs of points, applied to points."""

import numpy as np
from numpy.typing import ArrayLike

from grader.arrays import FloatArray


def fit_homography(source: ArrayLike, target: ArrayLike) -> FloatArray:
    """(3, 3) least-squares homography from (n, 2) to (n, 2), n >= 4, scaled so that its last entry is 1.

    The direct linear transform on normalised points. Source: Hartley and Zisserman, Multiple View Geometry, 2nd ed.,
    algorithm 4.2.
    """
    source, target = np.asarray(source, float), np.asarray(target, float)
    to_unit_source, to_unit_target = _normaliser(source), _normaliser(target)
    x, y = apply_homography(to_unit_source, source).T
    u, v = apply_homography(to_unit_target, target).T
    one, nought = np.ones_like(x), np.zeros_like(x)
    rows = np.concatenate(
        [
            np.stack([x, y, one, nought, nought, nought, -u * x, -u * y, -u], axis=-1),
            np.stack([nought, nought, nought, x, y, one, -v * x, -v * y, -v], axis=-1),
        ]
    )
    unit = np.linalg.svd(rows)[2][-1].reshape(3, 3)
    homography = np.linalg.solve(to_unit_target, unit @ to_unit_source)
    return np.asarray(homography / homography[2, 2])


def apply_homography(homography: FloatArray, points: ArrayLike) -> FloatArray:
    """(..., 2) points mapped."""
    points = np.asarray(points, float)
    mapped = points @ homography[:, :2].T + homography[:, 2]
    return np.asarray(mapped[..., :2] / mapped[..., 2:])


def _normaliser(points: FloatArray) -> FloatArray:
    """(3, 3) moves the centroid to the origin and the mean distance from it to sqrt 2."""
    centroid = points.mean(axis=0)
    scale = np.sqrt(2) / np.mean(np.linalg.norm(points - centroid, axis=1))
    return np.array([[scale, 0, -scale * centroid[0]], [0, scale, -scale * centroid[1]], [0, 0, 1]])

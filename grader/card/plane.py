"""Points between the sheet's own plane and the photo, by the homography: exact on the sheet, blind to heights."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.optimize import least_squares

from grader.arrays import FloatArray
from grader.card.homography import apply_homography, fit_homography
from grader.card.lens import bend, straighten
from grader.card.model import FoundSheet
from grader.card.tags import tag_corners_mm

_RADIAL_SPREAD = 0.015
"""Standard deviation of the radial term over phones' main cameras; their files are mostly straightened already. Common
practice, no source."""
_GROWTH_SPREAD_MM = 0.1
"""Standard deviation of how far a tag's sides lie outside their place: ink spreads, overexposed white eats into it."""
_CORNER_NOISE_PX, _LEAST_CORNER_NOISE_PX = 0.3, 0.08
"""Standard deviation of a corner's coordinate about its place, to begin with and at least: measuring it, and a sheet
that doesn't lie quite flat. A curled sheet shows by its misfit, and then tells little of the lens."""
_FITTED_NUMBERS = 10
"""Eight of the homography, the radial term and the growth."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PlaneFit:
    """`homography` (3, 3): mm to straightened px; `points_mm` (n, 2): the corners, as grown; `rms_px`: the misfit.

    `radial_u` is the radial term's standard uncertainty: of where the corners were seen, and of what lenses are like.
    """

    homography: FloatArray
    radial: float
    radial_u: float
    points_mm: FloatArray
    rms_px: float


def sheet_to_pixels(sheet: FoundSheet, points_mm: ArrayLike) -> FloatArray:
    """(..., 2) photo px of points in the sheet's plane, mm."""
    return bend(apply_homography(sheet.homography, points_mm), sheet.camera.radial, sheet.camera.size_px)


def pixels_to_sheet(sheet: FoundSheet, points_px: ArrayLike) -> FloatArray:
    """(..., 2) sheet mm of photo px that lie in the sheet's plane: `sheet_to_pixels` backwards."""
    straight = straighten(points_px, sheet.camera.radial, sheet.camera.size_px)
    return apply_homography(np.asarray(np.linalg.inv(sheet.homography), float), straight)


def tag_squares_px(sheet: FoundSheet) -> FloatArray:
    """(n, 4, 2) corners in the photo of the black squares of the tags in sight: in print, edges as sharp as can be."""
    seen = [tag for tag in sheet.layout.tags if tag.number not in sheet.hidden_tags]
    return sheet_to_pixels(sheet, np.stack([tag_corners_mm(sheet.layout, tag) for tag in seen]))


def px_per_mm(sheet: FoundSheet) -> float:
    """Pixels per mm at the middle of the sheet (geometric mean over directions)."""
    middle = np.array([sheet.layout.width_mm / 2, sheet.layout.height_mm / 2])
    centre, right, down = sheet_to_pixels(sheet, middle + np.array([[0.0, 0.0], [1.0, 0.0], [0.0, 1.0]]))
    return float(np.sqrt(abs(np.linalg.det(np.stack([right - centre, down - centre])))))


def fit_plane(tags_mm: FloatArray, tags_px: FloatArray, size_px: tuple[int, int]) -> PlaneFit:
    """Where the sheet's plane lies, the lens's radial term, and how much the tags have grown, from corners (n, 4, 2).

    Both terms are those that make the plane fit best, weighed against what they usually are: corners all over the
    picture determine the radial term well, a small card in one place less so, and then it stays near none.
    """
    outward = np.asarray(np.sign(tags_mm - tags_mm.mean(axis=1, keepdims=True)), float)

    def fitted(terms: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
        radial, growth_mm = terms * [_RADIAL_SPREAD, _GROWTH_SPREAD_MM]
        points_mm = (tags_mm + growth_mm * outward).reshape(-1, 2)
        straight = straighten(tags_px.reshape(-1, 2), float(radial), size_px)
        homography = fit_homography(points_mm, straight)
        return homography, points_mm, apply_homography(homography, points_mm) - straight

    def unlikeliness(terms: FloatArray, noise_px: float) -> FloatArray:
        return np.concatenate([fitted(terms)[2].ravel() / noise_px, terms])

    terms, noise_px = np.zeros(2), _CORNER_NOISE_PX
    for _ in range(2):
        best = least_squares(unlikeliness, terms, args=(noise_px,), method="lm")
        terms, slope = np.asarray(best.x), np.asarray(best.jac, float)
        homography, points_mm, misfit = fitted(terms)
        freedom = misfit.size - _FITTED_NUMBERS
        noise_px = max(float(np.sqrt(np.sum(misfit**2) / freedom)), _LEAST_CORNER_NOISE_PX)
    return PlaneFit(
        homography=homography,
        radial=float(terms[0] * _RADIAL_SPREAD),
        radial_u=float(np.sqrt(np.linalg.inv(slope.T @ slope)[0, 0]) * _RADIAL_SPREAD),
        points_mm=points_mm,
        rms_px=float(np.sqrt(np.mean(np.sum(misfit**2, axis=1)))),
    )

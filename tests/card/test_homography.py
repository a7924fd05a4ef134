import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from grader.card.homography import apply_homography, fit_homography

TRUTH = np.array([[6.1, -0.4, 300.0], [0.3, 5.8, 200.0], [1e-4, -2e-4, 1.0]])


@pytest.fixture
def points() -> NDArray[np.float64]:
    return np.random.default_rng(3).uniform(0, 200, (16, 2))


def test_an_exact_map_is_recovered(points: NDArray[np.float64]) -> None:
    np.testing.assert_allclose(fit_homography(points, apply_homography(TRUTH, points)), TRUTH, rtol=1e-9, atol=1e-12)


def test_four_points_are_enough() -> None:
    square = np.array([[0, 0], [100, 0], [100, 100], [0, 100]])
    np.testing.assert_allclose(fit_homography(square, apply_homography(TRUTH, square)), TRUTH, rtol=1e-9, atol=1e-12)


def test_with_noise_it_maps_as_opencv_s_own_fit_does(points: NDArray[np.float64]) -> None:
    noisy = apply_homography(TRUTH, points) + np.random.default_rng(4).normal(0, 0.2, points.shape)
    theirs = np.asarray(cv2.findHomography(points, noisy, 0)[0], float)
    apart = apply_homography(fit_homography(points, noisy), points) - apply_homography(theirs, points)
    assert np.abs(apart).max() < 0.02


def test_points_of_any_shape_are_mapped(points: NDArray[np.float64]) -> None:
    grid = points.reshape(4, 4, 2)
    np.testing.assert_allclose(apply_homography(TRUTH, grid).reshape(-1, 2), apply_homography(TRUTH, points))

"""Blur measured on drawn steps whose blur is known, and on a drawn scene without a card."""

import cv2
import numpy as np
import pytest

from grader.arrays import ByteArray, Float32Array, FloatArray
from grader.photo import edge_blur_px, linear_to_srgb, overall_blur
from grader.photo.quality import MOST_OVERALL_BLUR

FINE = 8
RELATIVE = 0.05


def _encoded(linear: FloatArray) -> ByteArray:
    grey = np.rint(linear_to_srgb(linear.clip(0, 1)) * 255).astype(np.uint8)
    return np.repeat(grey[..., None], 3, axis=2)


def _square(
    *, sigma: float = 0.0, motion_px: int = 0, angle_deg: float = 0.0, dark: float = 0.03, bright: float = 0.8
) -> tuple[ByteArray, FloatArray]:
    """A black frame of 96 px and modules of 12 on white, drawn 8 times as fine; and its corners."""
    size = 160 * FINE
    angle = np.radians(angle_deg)
    turn = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
    unit = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) @ turn.T
    picture = _drawn(unit, size, dark, bright)
    if sigma:
        picture = np.asarray(cv2.GaussianBlur(picture, (0, 0), sigma * FINE), np.float32)
    if motion_px:
        picture = np.asarray(cv2.blur(picture, (motion_px * FINE, 1)), np.float32)
    linear = cv2.resize(picture, (160, 160), interpolation=cv2.INTER_AREA).astype(np.float64)
    return _encoded(linear), (79.5 + unit * 48)[None]


def _drawn(unit: FloatArray, size: int, dark: float, bright: float) -> Float32Array:
    picture = np.full((size, size), bright, np.float32)
    middle = (size - 1) / 2
    for half, level in ((48, dark), (36, bright)):
        points = np.rint((middle + unit * half * FINE) * 16).astype(np.int32)
        cv2.fillConvexPoly(picture, points, level, lineType=cv2.LINE_8, shift=4)
    return picture


# Averaging over a pixel blurs by itself: the standard deviation of a box one pixel wide.
PIXEL = 1 / np.sqrt(12)


@pytest.mark.parametrize("sigma", [0.8, 1.5, 2.2])
@pytest.mark.parametrize("angle", [0, 17, 45])
def test_known_blur_is_measured(sigma: float, angle: float) -> None:
    pixels, squares = _square(sigma=sigma, angle_deg=angle)
    # Reading between pixels adds a little where the blur is hardly wider than one.
    assert edge_blur_px(pixels, squares) == pytest.approx(np.hypot(sigma, PIXEL), rel=RELATIVE, abs=0.13)


def test_blur_does_not_depend_on_contrast() -> None:
    strong = edge_blur_px(*_square(sigma=1.5))
    weak = edge_blur_px(*_square(sigma=1.5, dark=0.01, bright=0.03))
    assert weak == pytest.approx(strong, rel=RELATIVE)


def test_motion_in_one_direction_counts_in_full() -> None:
    # A box w wide rises from 10 to 90 % over 0.8 w; the edges along the motion stay sharp.
    assert edge_blur_px(*_square(sigma=0.5, motion_px=10)) == pytest.approx(0.8 * 10 / 2.563, rel=0.1)


def test_blur_wider_than_a_module_stays_large() -> None:
    assert edge_blur_px(*_square(sigma=9)) > 0.3 * 12


def test_a_covered_side_does_not_spoil_the_others() -> None:
    pixels, squares = _square(sigma=1)
    covered = pixels.copy()
    covered[:, :60] = 120
    both = np.concatenate([squares, squares, squares])
    assert edge_blur_px(covered, both) == pytest.approx(edge_blur_px(pixels, both), rel=0.1)


def test_no_contrast_gives_no_figure() -> None:
    pixels, squares = _square(dark=0.5, bright=0.5)
    assert np.isnan(edge_blur_px(pixels, squares))


def test_squares_beyond_the_picture_or_tiny_give_no_figure() -> None:
    pixels, squares = _square()
    assert np.isnan(edge_blur_px(pixels, squares + 400))
    assert np.isnan(edge_blur_px(pixels, squares * 0.02 + 40))
    assert np.isnan(edge_blur_px(pixels, np.empty((0, 4, 2))))


@pytest.fixture(scope="module")
def strips() -> ByteArray:
    """Pale strips lying about on a dark ground, 900 x 1200, soft at their edges as a camera draws them."""
    rng = np.random.default_rng(11)
    picture = np.full((900, 1200), 0.05, np.float32)
    for _ in range(60):
        box = cv2.boxPoints((tuple(rng.uniform((50, 50), (1150, 850))), (120, 14), float(rng.uniform(0, 180))))
        cv2.fillConvexPoly(picture, np.rint(box).astype(np.int32), float(rng.uniform(0.3, 0.7)))
    return _encoded(cv2.GaussianBlur(picture, (0, 0), 0.7).astype(np.float64))


def test_a_sharp_photo_without_a_card(strips: ByteArray) -> None:
    assert overall_blur(strips) < 1.1


def test_a_moved_photo_without_a_card(strips: ByteArray) -> None:
    for kernel in (np.ones((1, 15)) / 15, np.ones((15, 1)) / 15, np.eye(13) / 13):
        assert overall_blur(cv2.filter2D(strips, -1, kernel.astype(np.float32)).astype(np.uint8)) > MOST_OVERALL_BLUR


def test_out_of_focus_photo_without_a_card(strips: ByteArray) -> None:
    assert overall_blur(cv2.GaussianBlur(strips, (0, 0), 3).astype(np.uint8)) > MOST_OVERALL_BLUR


def test_a_picture_without_edges_gives_no_figure() -> None:
    assert np.isnan(overall_blur(np.full((700, 700, 3), 90, np.uint8)))


def test_depths_agree(strips: ByteArray) -> None:
    deep = strips.astype(np.uint16) * np.uint16(257)
    assert overall_blur(deep) == pytest.approx(overall_blur(strips), rel=0.02)

"""Top face or flank, on a box of known height under a pinhole camera."""

import numpy as np

from grader.colour import top_face

HEIGHT_MM, THICKNESS = 350.0, 10.0
"""Camera over (0, 0); one pixel a mm on the table, (0, 0) at pixel (200, 200)."""


def seen(xy_mm: np.ndarray, z_mm: float) -> np.ndarray:
    """Pixel (x, y) of a point at a height, the camera looking straight down."""
    return xy_mm * HEIGHT_MM / (HEIGHT_MM - z_mm) + 200.0


def box(x0: float, x1: float, y0: float, y1: float) -> tuple[np.ndarray, np.ndarray]:
    """Labels of a box's silhouette, and True where its top shows."""
    y, x = np.mgrid[:400, :400].astype(float)
    silhouette, top = np.zeros((400, 400), bool), np.zeros((400, 400), bool)
    for z in np.linspace(0, THICKNESS, 21):
        (left, low), (right, high) = seen(np.array([[x0, y0], [x1, y1]]), z)
        inside = (x >= left) & (x <= right) & (y >= low) & (y <= high)
        silhouette |= inside
        top = inside
    return silhouette.astype(np.uint16), top


def below(pixels: np.ndarray) -> np.ndarray:
    """Each pixel taken to be on the top: the point below it, on the table."""
    return (pixels - 200.0) * (HEIGHT_MM - THICKNESS) / HEIGHT_MM + 200.0


def test_top_and_flank_of_a_box_aside_of_the_camera() -> None:
    labels, top = box(100, 170, -5, 5)
    y, x = np.nonzero(labels)
    pixels = np.column_stack([x, y])
    told = top_face(labels, pixels, below(pixels))
    assert (told == top[y, x]).mean() > 0.97
    assert 0.02 < (~told).mean() < 0.2


def test_right_below_the_camera_only_the_top_shows() -> None:
    labels, _ = box(-20, 20, -5, 5)
    y, x = np.nonzero(labels)
    pixels = np.column_stack([x, y])
    assert top_face(labels, pixels, below(pixels)).all()


def test_a_neighbour_is_not_the_fry_itself() -> None:
    labels, _ = box(100, 170, -5, 5)
    nearer, _ = box(60, 99, -5, 5)
    both = np.where(labels > 0, 1, np.where(nearer > 0, 2, 0)).astype(np.uint16)
    y, x = np.nonzero(both == 1)
    pixels = np.column_stack([x, y])
    assert not top_face(both, pixels, below(pixels)).all()


def test_a_step_out_of_the_picture_is_no_top() -> None:
    labels = np.ones((4, 4), np.uint16)
    assert not top_face(labels, np.array([[0, 0], [3, 3]]), np.array([[-3.0, 0.0], [3.0, 9.0]])).any()

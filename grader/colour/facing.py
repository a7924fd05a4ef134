"""Which pixels of a fry show its top, and which one of its sides.

A camera above the plate sees, of a fry off to one side, a strip of the flank that is turned to it. Flanks get about half the light.
"""

import numpy as np
from numpy.typing import NDArray

from grader.arrays import FloatArray, LabelArray, MaskArray


def top_face(
    labels: LabelArray,
    pixels_xy: NDArray[np.intp],
    *,
    homography: FloatArray,
    camera_mm: FloatArray,
    thickness_mm: float,
) -> MaskArray:
    """(k,) True where a pixel shows its fry's top face.

    The top is the fry's footprint seen displaced away from the camera's foot. So a pixel is on the top if the pixel as far
    towards that foot as the thickness displaces belongs to the same fry; on the flank that step leaves the fry.

    Parameters
    ----------
    labels
        (h, w), one number a fry.
    pixels_xy
        (k, 2) pixels (x, y) of one or several fries.
    homography
        (3, 3) sheet mm to photo px.
    camera_mm
        (3,) the camera in sheet coordinates; of the third only the size counts (height over the plane that fries lie on).
    thickness_mm
        Height of the top over that plane.
    """
    sheet = _through(np.linalg.inv(homography), pixels_xy.astype(float))
    towards_foot = (camera_mm[:2] - sheet) * (thickness_mm / abs(camera_mm[2]))
    # Taken as a difference of two projections, so that lens distortion, which moves both alike, drops out.
    step = _through(homography, sheet + towards_foot) - _through(homography, sheet)
    x, y = np.rint(pixels_xy + step).astype(np.intp).T
    height, width = labels.shape
    inside = (x >= 0) & (y >= 0) & (x < width) & (y < height)
    there = labels[np.clip(y, 0, height - 1), np.clip(x, 0, width - 1)]
    return inside & (there == labels[pixels_xy[:, 1], pixels_xy[:, 0]])


def _through(homography: FloatArray, xy: FloatArray) -> FloatArray:
    homogeneous = np.column_stack([xy, np.ones(len(xy))]) @ homography.T
    return homogeneous[:, :2] / homogeneous[:, 2:]

"""Which pixels of a fry show its top, and which one of its sides.

Of a fry off to one side, a camera above the plate sees a strip of the flank that is turned to it; flanks get about half
the light.
"""

import numpy as np
from numpy.typing import NDArray

from grader.arrays import FloatArray, LabelArray, MaskArray


def top_face(labels: LabelArray, pixels_xy: NDArray[np.intp], below_xy: FloatArray) -> MaskArray:
    """(k,) True where a pixel shows its fry's top face.

    Were a pixel on the top, the point straight below it would lie on the fry's footprint, and the photo has that point
    within the same fry (which hides it). Taken for a pixel of the flank, the same step leaves the fry.

    Parameters
    ----------
    labels
        (h, w) the number of the fry that each pixel belongs to.
    pixels_xy
        (k, 2) pixels (x, y) of one or several fries.
    below_xy
        (k, 2) where the photo shows the point of the plate straight below each, taking it to be on the top: the
        camera's pose, mapped to the top's height and down again.
    """
    x, y = np.rint(below_xy).astype(np.intp).T
    height, width = labels.shape
    inside = (x >= 0) & (y >= 0) & (x < width) & (y < height)
    cells = labels.reshape(-1)
    there = cells.take(y.clip(0, height - 1) * width + x.clip(0, width - 1))
    return np.asarray(inside & (there == cells.take(pixels_xy[:, 1] * width + pixels_xy[:, 0])), bool)

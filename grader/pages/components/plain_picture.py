"""A photo as it was taken, with nothing drawn into it, small enough for a phone; browsers can't show every kind."""

import cv2
import numpy as np

from grader.arrays import PixelArray
from grader.drawing import picture_jpeg

_SIDE_PX = 1200


def plain_picture(pixels: PixelArray) -> bytes:
    """JPEG of a photo's pixels (h, w, 3), its longer side 1200 px at most."""
    eight = np.asarray(pixels // 257 if pixels.dtype == np.uint16 else pixels, np.uint8)
    scale = min(_SIDE_PX / max(eight.shape[:2]), 1.0)
    small = cv2.resize(eight, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
    return picture_jpeg(np.asarray(small, np.uint8))

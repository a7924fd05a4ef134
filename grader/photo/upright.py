"""Turning a picture upright."""

from typing import cast

import cv2
import numpy as np

from grader.arrays import PixelArray


def upright(pixels: PixelArray, orientation: int) -> PixelArray:
    """The picture as it was seen.

    Parameters
    ----------
    pixels
        (h, w, c) as stored.
    orientation
        1 to 8: which side of the scene the stored picture's first row and first column are.

    Returns
    -------
    PixelArray
        (h, w, c), or (w, h, c) for 5 to 8.

    References
    ----------
    CIPA DC-008 (Exif 3.0), tag Orientation; TIFF 6.0, section 8.
    """
    match orientation:
        case 2:
            turned = cv2.flip(pixels, 1)
        case 3:
            turned = cv2.rotate(pixels, cv2.ROTATE_180)
        case 4:
            turned = cv2.flip(pixels, 0)
        case 5:
            turned = cv2.transpose(pixels)
        case 6:
            turned = cv2.rotate(pixels, cv2.ROTATE_90_CLOCKWISE)
        case 7:
            turned = cv2.flip(cv2.transpose(pixels), -1)
        case 8:
            turned = cv2.rotate(pixels, cv2.ROTATE_90_COUNTERCLOCKWISE)
        case _:
            turned = pixels
    return cast("PixelArray", np.ascontiguousarray(turned))

"""A picture shrunk by a whole number, which takes OpenCV a tenth of the time that any other takes."""

from typing import cast

import cv2

from grader.arrays import AnyArray


def shrunk(picture: AnyArray, by: int) -> AnyArray:
    """(h // by, w // by[, c]) the means of `by` x `by` pixels; what is left over at the right and below falls away."""
    if by == 1:
        return picture
    height, width = (side // by for side in picture.shape[:2])
    whole = picture[: height * by, : width * by]
    return cast("AnyArray", cv2.resize(whole, (width, height), interpolation=cv2.INTER_AREA))

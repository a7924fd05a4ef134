"""Growing, shrinking and sorting out masks of the reduced picture, by millimetres."""

from typing import cast

import cv2
import numpy as np

from grader.arrays import Box, ByteArray, Float32Array, IntArray, LabelArray, MaskArray
from grader.fries.view import MM_PER_PX

_MOST_IN_16_BITS = int(np.iinfo(np.uint16).max)


def disc(radius_mm: float) -> ByteArray:
    """A round structuring element of this radius."""
    radius = max(1, round(radius_mm / MM_PER_PX))
    return np.asarray(cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (2 * radius + 1, 2 * radius + 1)), np.uint8)


def grown(mask: MaskArray, radius_mm: float) -> MaskArray:
    """The mask and all within this distance of it."""
    reached = mask.copy()
    if mask.any():
        box = box_around(mask, max(radius_mm, MM_PER_PX))
        reached[box] = np.asarray(cv2.dilate(mask[box].view(np.uint8), disc(radius_mm))).view(bool)
    return reached


def shrunk(mask: MaskArray, radius_mm: float) -> MaskArray:
    """The mask without all within this distance of its edge."""
    return np.asarray(cv2.erode(mask.view(np.uint8), disc(radius_mm))).view(bool)


def opened(mask: MaskArray, radius_mm: float) -> MaskArray:
    """What of the mask a disc of this radius can sweep."""
    return np.asarray(cv2.morphologyEx(mask.view(np.uint8), cv2.MORPH_OPEN, disc(radius_mm))).view(bool)


def closed(mask: MaskArray, radius_mm: float) -> MaskArray:
    """The mask with gaps filled that a disc of this radius can't enter."""
    return np.asarray(cv2.morphologyEx(mask.view(np.uint8), cv2.MORPH_CLOSE, disc(radius_mm))).view(bool)


def box_around(mask: MaskArray, margin_mm: float) -> Box:
    """Rows and columns that hold a mask, not empty, and this much around it, as far as the picture goes.

    They start at even ones: halving the box halves it as it halves the picture.
    """
    margin = round(margin_mm / MM_PER_PX)
    rows, columns = (np.flatnonzero(mask.any(axis=axis)) for axis in (1, 0))
    top, left = (max(int(held[0]) - margin, 0) // 2 * 2 for held in (rows, columns))
    return slice(top, int(rows[-1]) + 1 + margin), slice(left, int(columns[-1]) + 1 + margin)


def parts_of(mask: MaskArray, *, by_corners: bool = False) -> tuple[int, LabelArray | IntArray]:
    """How many connected parts a mask has, what is off it counted as one; (h, w) the number of each, 0 off it.

    Parts that touch at corners alone are two, or one `by_corners`. Numbers have 16 bits where these will do: for those
    of 32 OpenCV starts threads, which takes longer than the work.
    """
    begun = np.count_nonzero(mask[:, 0]) + np.count_nonzero(mask[:, 1:] > mask[:, :-1])
    bits = cv2.CV_16U if begun < _MOST_IN_16_BITS else cv2.CV_32S  # there are no more parts than runs along a row
    count, parts = cv2.connectedComponents(mask.view(np.uint8), connectivity=8 if by_corners else 4, ltype=bits)
    return count, cast("LabelArray | IntArray", parts)


def parts_from(mask: MaskArray, mm2: float) -> MaskArray:
    """The connected parts of at least this area."""
    count, parts = parts_of(mask)
    keep = np.bincount(parts.ravel(), minlength=count) * MM_PER_PX**2 >= mm2
    keep[0] = False
    return keep.take(parts)


def picture_edge(shape: tuple[int, ...]) -> MaskArray:
    """(h, w) True on the outermost pixels."""
    edge = np.zeros(shape, bool)
    edge[[0, -1]] = edge[:, [0, -1]] = True
    return edge


def parts_touching(mask: MaskArray, place: MaskArray) -> MaskArray:
    """The connected parts that reach `place`."""
    count, parts = parts_of(mask, by_corners=True)
    keep = np.zeros(count, bool)
    keep[parts[place]] = True
    keep[0] = False
    return keep.take(parts)


def smooth_within(values: Float32Array, mask: MaskArray, reach_mm: float) -> tuple[Float32Array, Float32Array]:
    """The mean of values (h, w[, c]) over the mask around each pixel, by a Gaussian, and the mask's share there."""
    step = 4

    def smooth(full: Float32Array) -> Float32Array:
        few = cv2.resize(full, None, fx=1 / step, fy=1 / step, interpolation=cv2.INTER_AREA)
        few = cv2.GaussianBlur(few, (0, 0), reach_mm / MM_PER_PX / step)
        return np.asarray(cv2.resize(few, mask.shape[::-1], interpolation=cv2.INTER_LINEAR), np.float32)

    weight = mask.astype(np.float32)
    share = smooth(weight)
    spread = np.expand_dims(weight, -1) if values.ndim == 3 else weight
    floor = np.maximum(np.expand_dims(share, -1) if values.ndim == 3 else share, 1e-6)
    return np.asarray(smooth(np.asarray(values * spread, np.float32)) / floor, np.float32), share

"""The outline of each fry in the photo, and where it meets its neighbours."""

from dataclasses import dataclass

import cv2
import numpy as np

from grader.arrays import Box, FloatArray, LabelArray, MaskArray
from grader.fries.numbered import boxes_of

_TANGENT_STEP = 4
_MOST_POINTS = 800


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Outline:
    """The outline of one fry's largest part.

    Attributes
    ----------
    points_px
        (k, 2) x, y along the edge itself: half a pixel outside the centres of its outermost pixels.
    outward
        (k, 2) unit normals in the photo.
    other
        (k,) number of the fry that lies just outside; 0 where none does.
    at_photo_edge
        (k,) True where the picture ends there.
    """

    points_px: FloatArray
    outward: FloatArray
    other: np.ndarray[tuple[int], np.dtype[np.int64]]
    at_photo_edge: MaskArray


def trace_outlines(labels: LabelArray, *, reach_px: float) -> dict[int, Outline]:
    """By number, the outline of every fry; `reach_px` outside it a neighbour counts as touching."""
    return {
        number: outline_of(labels[box] == number, labels, number, box, reach_px=reach_px)
        for number, box in boxes_of(labels).items()
    }


def outline_of(mask: MaskArray, labels: LabelArray, number: int, box: Box, *, reach_px: float) -> Outline:
    """The outline of a mask in a box of the labels (h, w): of the fry with this number, or a part of it."""
    contours, _ = cv2.findContours(mask.view(np.uint8), cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    corner = np.array([box[1].start, box[0].start], float)
    contour = max(contours, key=cv2.contourArea).reshape(-1, 2) + corner
    # OpenCV runs along an outer contour with the shape on its left, as seen with y down.
    tangent = np.roll(contour, -_TANGENT_STEP, axis=0) - np.roll(contour, _TANGENT_STEP, axis=0)
    outward = np.column_stack([-tangent[:, 1], tangent[:, 0]])
    outward /= np.maximum(np.linalg.norm(outward, axis=1, keepdims=True), 1e-9)
    step = max(1, len(contour) // _MOST_POINTS)
    points, outward = (contour + 0.5 * outward)[::step], outward[::step]
    size = np.array(labels.shape[::-1]) - 1
    beyond = np.clip(np.round(points + reach_px * outward), 0, size).astype(int)
    other = labels[beyond[:, 1], beyond[:, 0]].astype(np.int64)
    other[other == number] = 0
    at_edge = np.asarray(((points < 1) | (points > size - 1)).any(axis=1))
    return Outline(points_px=points, outward=outward, other=other, at_photo_edge=at_edge)

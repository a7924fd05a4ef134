"""Labels with the boxes that hold them, so that what is done for each number needn't go through the whole picture."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import cast

import cv2
import numpy as np
from scipy import ndimage

from grader.arrays import Box, IntArray, LabelArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Numbered:
    """Labels (h, w), 0 where there is nothing; for each other number rows and columns that hold it, perhaps more."""

    labels: LabelArray
    boxes: Mapping[int, Box]


def numbered(labels: LabelArray) -> Numbered:
    """These labels and the boxes that just hold each number."""
    return Numbered(labels=labels, boxes=boxes_of(labels))


def boxes_of(labels: LabelArray | IntArray, *, margin: int = 0) -> dict[int, Box]:
    """By number, ascending, the rows and columns of labels (h, w) that hold it, and so many pixels around it."""
    return {
        number: (_wider(box[0], margin), _wider(box[1], margin))
        for number, box in enumerate(cast("list[Box | None]", ndimage.find_objects(labels)), start=1)
        if box is not None
    }


def _wider(part: slice, margin: int) -> slice:
    return np.s_[max(part.start - margin, 0) : part.stop + margin]


def spread(labels: LabelArray) -> LabelArray:
    """(h, w) everywhere the nearest number, of labels (h, w) that are 0 where there is none."""
    anything = labels > 0
    _, nearest = cv2.distanceTransformWithLabels(
        (~anything).view(np.uint8), cv2.DIST_L2, cv2.DIST_MASK_5, labelType=cv2.DIST_LABEL_PIXEL
    )
    number_at = np.zeros(int(nearest.max()) + 1, labels.dtype)
    number_at[nearest[anything]] = labels[anything]
    return number_at.take(np.asarray(nearest))


def where_two_meet(here: IntArray, there: IntArray) -> tuple[IntArray, IntArray]:
    """Rows and columns (k,) at which labels (h, w) and those beside them (h, w) have two numbers, neither of them 0."""
    rows, columns = np.divmod(np.flatnonzero(here != there), here.shape[1])
    both = (here[rows, columns] > 0) & (there[rows, columns] > 0)
    return rows[both], columns[both]

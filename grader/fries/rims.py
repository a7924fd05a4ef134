"""Rims of pieces: the dark edge of a fry is flooded from where it is lowest, be that in the fry beside it."""

import cv2
import numpy as np
from skimage.measure import label

from grader.arrays import LabelArray
from grader.fries.numbered import spread

_BROAD = np.ones((3, 3), np.uint8)
"""Of the view, 0.9 mm wide: what holds none is a rim."""
_MAIN = 0.1
"""Of a piece's largest broad part: smaller ones only hang on it by a rim, and are thick places of that."""


def without_rims(labels: LabelArray) -> LabelArray:
    """Pieces (h, w), 0 outside them, whose rims went to what they lie along; a piece that is narrow all over stays."""
    inner = (cv2.erode(labels, _BROAD) == cv2.dilate(labels, _BROAD)) & (labels > 0)
    broad = cv2.dilate(inner.view(np.uint8), _BROAD).view(bool)
    parts = label(np.where(broad, labels, 0), connectivity=1)
    sizes = np.bincount(parts.ravel())
    sizes[0] = 0  # what is not broad
    piece = np.zeros(len(sizes), labels.dtype)
    piece[parts.ravel()] = labels.ravel()
    largest = np.zeros(int(labels.max()) + 1, sizes.dtype)
    np.maximum.at(largest, piece, sizes)
    main = sizes > _MAIN * largest[piece]
    rim = (largest[labels] > 0) & ~main[parts]
    return np.where(rim, spread(np.where(rim, 0, labels)), labels) if rim.any() else labels

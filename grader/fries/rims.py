"""Rims of pieces: the dark edge of a fry is flooded from where it is lowest, be that in the fry beside it."""

import cv2
import numpy as np

from grader.arrays import LabelArray
from grader.fries.numbered import spread

_BROAD = np.ones((3, 3), np.uint8)
"""Of the view, 0.9 mm wide: what holds none is a rim."""


def without_rims(labels: LabelArray) -> LabelArray:
    """Pieces (h, w), 0 outside them, whose rims went to what they lie along; a piece that is narrow all over stays."""
    inner = (cv2.erode(labels, _BROAD) == cv2.dilate(labels, _BROAD)) & (labels > 0)
    broad = cv2.dilate(inner.view(np.uint8), _BROAD).view(bool)
    has_broad = np.bincount(labels[broad], minlength=int(labels.max()) + 1) > 0
    rim = ~broad & has_broad[labels]
    return np.where(rim, spread(np.where(rim, 0, labels)), labels) if rim.any() else labels

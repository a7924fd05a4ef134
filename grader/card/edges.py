"""Edges of a sheet that are sharp in print, for judging how sharp the photo is."""

import numpy as np

from grader.arrays import FloatArray
from grader.card.model import FoundSheet
from grader.card.plane import sheet_to_pixels
from grader.card.tags import tag_corners_mm

_KEPT = (0.12, 0.88)
"""Of each side, away from the corners, which blur rounds."""


def tag_edges_px(sheet: FoundSheet) -> FloatArray:
    """(n, 2, 2) where the sides of the tags in sight run in the photo: start and end, (x, y).

    Seen from start to end, white lies to the left and black to the right; both reach 2 mm and more from the edge.
    """
    seen = [tag for tag in sheet.layout.tags if tag.number not in sheet.hidden_tags]
    corners = np.stack([tag_corners_mm(sheet.layout, tag) for tag in seen])
    sides = np.roll(corners, -1, axis=1) - corners
    ends = np.stack([corners + share * sides for share in _KEPT], axis=2)
    return sheet_to_pixels(sheet, ends.reshape(-1, 2, 2))

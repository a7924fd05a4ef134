"""Which pixels are as yellow as fries are: by colour alone, whatever shade or shadow lies on them.

Fries are yellow to brown and most plates are not, so the ratio Z / Y tells. Tables, boards and papers may be as yellow:
what of it can be fries is told by how wide it is.
"""

import cv2
import numpy as np

from grader.arrays import MaskArray
from grader.fries.morphology import grown, opened, parts_from, parts_touching, picture_edge, smooth_within
from grader.fries.view import MM_PER_PX, View

_SURELY_YELLOW = -0.3
"""Natural log of Z / Y. White china, steel and parchment read above -0.26, fries below -0.33 (rendered
plates, six lights)."""
_SPLIT_SHARE = 0.35
"""The threshold lies so far from the plate's own yellowness towards the fries'."""
_SPLIT_RANGE = (-0.32, 0.1)
_AROUND_MM = 12.0
_SEEN_SHARE = 1e-5
"""Of a smoothed mask: below, there is nothing of it within reach."""
_REDNESS_RANGE = (-0.15, 0.32)
"""Natural log of X / Y: outside lie herbs and green boards on one side, tomato sauce on the other."""
_WIDEST_RADIUS_MM = 12.0
"""No fry, nor two side by side, holds a disc of this radius."""
_CRUMB_BELOW_MM2, _HOLE_BELOW_MM2 = 40.0, 12.0


def yellow_fries(view: View) -> MaskArray:
    """(h, w) True on what by its colour and size may be fries."""
    return fry_sized(find_yellow(view), view.barred)


def find_yellow(view: View) -> MaskArray:
    """(h, w) True where it is as yellow as fries: the threshold follows the plate's own tint from place to place."""
    yellowness, candidate = view.yellowness_log, neither_herb_nor_sauce(view) & ~view.barred
    sure = candidate & (yellowness < _SURELY_YELLOW)
    plate = ~grown(sure, 1.5) & ~view.barred
    if not (sure.any() and plate.any()):
        return sure
    fry = float(np.median(yellowness[sure]))
    around, share = smooth_within(yellowness, plate, _AROUND_MM)
    threshold = np.clip(around + _SPLIT_SHARE * (fry - around), *_SPLIT_RANGE)
    return np.asarray(candidate & (yellowness < np.where(share > _SEEN_SHARE, threshold, _SURELY_YELLOW)))


def yellow_surfaces(view: View, *, yellower_than: float) -> MaskArray:
    """(h, w) True where it is as yellow as fries are, tables and all; `yellower_than` is an upper limit of ln Z / Y."""
    return tidied(find_yellow(view) & (view.yellowness_log < yellower_than))


def neither_herb_nor_sauce(view: View) -> MaskArray:
    """(h, w) True where it is neither greener nor redder than any fry."""
    redness = view.redness_log
    return np.asarray((redness > _REDNESS_RANGE[0]) & (redness < _REDNESS_RANGE[1]))


def fry_sized(yellow: MaskArray, barred: MaskArray) -> MaskArray:
    """The parts of it that may be fries, alone or several: more than a crumb, no table, not cut off."""
    parts = parts_from(yellow, _CRUMB_BELOW_MM2)
    radius_mm = cv2.distanceTransform(parts.astype(np.uint8), cv2.DIST_L2, 5) * MM_PER_PX
    no_fries = (radius_mm > _WIDEST_RADIUS_MM) | picture_edge(parts.shape) | grown(barred, 2.0)
    return parts & ~parts_touching(parts, no_fries)


def tidied(fries: MaskArray) -> MaskArray:
    """Without threads, crumbs and small holes."""
    fries = parts_from(opened(fries, MM_PER_PX), _CRUMB_BELOW_MM2)
    return ~parts_from(~fries, _HOLE_BELOW_MM2)

"""Which labelled regions of a picture surely are bars, where nothing but their shapes and what they border on can say.

A region is left out where no bar fits it, where it is far wider or narrower than the others, where it runs out of the
picture, and where much of its rim borders on what does: of a table, or a basket's rim, some part reaches the picture's
edge, and the bars that its grain shows lie beside that part.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from scipy import ndimage

from grader.arrays import IntArray, MaskArray
from grader.fries.morphology import opened, picture_edge
from grader.fries.shapes import Shapes
from grader.fries.view import MM_PER_PX

_MISFIT = 0.3
"""Of its area: a bar fits it that well."""
_LEAST_ASPECT = 1.2
_WIDTHS = 0.45, 1.7
"""Of the usual bar's width."""
_BORDERING = 0.35
"""Of its rim: what borders so much on what runs out of the picture is more of the same."""
_SWEEP = 0.35
"""Of its width: a fry holds a disc of this radius all along; what doesn't is something else that touches it."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SureBars:
    """Labels (h, w) of the bars, each with its old number and the rest 0; their usual width, px, None without any."""

    labels: IntArray
    usual_width_px: float | None


def sure_bars(labels: IntArray) -> SureBars:
    """Of regions labelled 1 ... n (h, w), 0 where there is none."""
    if not labels.any():
        return SureBars(labels=labels, usual_width_px=None)
    width = _widths(labels, np.setdiff1d(np.unique(labels), [0]))
    inside = np.setdiff1d(list(width), labels[picture_edge(labels.shape)])
    if not len(inside):
        return SureBars(labels=np.zeros_like(labels), usual_width_px=None)
    usual = float(np.median([width[number] for number in inside]))
    low, high = (share * usual for share in _WIDTHS)
    fitting = [number for number in inside.tolist() if low < width[number] < high]
    kept = np.setdiff1d(fitting, _ground(labels))
    bars = np.zeros_like(labels)
    for number in kept.tolist():
        bars[_swept(labels == number, width[number])] = number
    return SureBars(labels=bars, usual_width_px=usual)


def _widths(labels: IntArray, numbers: IntArray) -> dict[int, float]:
    """By number, the width of each region that a bar fits, px."""
    shapes, widths = Shapes(labels), {}
    for number in numbers.tolist():
        group = frozenset([number])
        fit = shapes.fit(group)
        if fit.misfit_px < _MISFIT * shapes.area(group) and fit.length_px > _LEAST_ASPECT * fit.width_px:
            widths[number] = fit.width_px
    return widths


def _ground(labels: IntArray) -> IntArray:
    """The numbers of regions that run out of the picture, and of those that border much on such ones."""
    ground = set(np.unique(labels[picture_edge(labels.shape)]).tolist()) - {0}
    rims = {number: _beyond(labels, number) for number in set(np.unique(labels).tolist()) - ground - {0}}
    while True:
        more = {number for number, rim in rims.items() if np.isin(rim, list(ground)).mean() > _BORDERING} - ground
        if not more:
            return np.array(sorted(ground), np.int64)
        ground |= more


def _beyond(labels: IntArray, number: int) -> IntArray:
    """(k,) what lies just outside a region."""
    (rows, columns) = np.nonzero(labels == number)
    box = np.s_[max(rows.min() - 2, 0) : rows.max() + 3, max(columns.min() - 2, 0) : columns.max() + 3]
    near = labels[box]
    own = near == number
    around = cv2.dilate(own.astype(np.uint8), np.ones((5, 5), np.uint8)) > 0
    return np.asarray(near[around & ~own])


def _swept(mask: MaskArray, width_px: float) -> MaskArray:
    """The largest part of what a disc nearly as wide as the bar can sweep."""
    parts, count = ndimage.label(opened(mask, _SWEEP * width_px * MM_PER_PX))
    if count == 0:
        return np.zeros_like(mask)
    sizes = np.bincount(parts.ravel())
    sizes[0] = 0
    return np.asarray(parts == sizes.argmax())

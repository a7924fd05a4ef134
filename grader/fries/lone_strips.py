"""Parts of a picture that touch nothing and are one strip all along: one fry each, whatever shows on them.

Waves, spots and shadows look like seams to a network that never met their like, and to a filter. But what is one even
strip, no wider than a fry and not much longer than the others of its plate, is one fry.
"""

import cv2
import numpy as np

from grader.arrays import IntArray, MaskArray
from grader.fries.hooks import turns_as_one
from grader.fries.morphology import parts_of
from grader.fries.numbered import boxes_of
from grader.fries.shapes import Shapes
from grader.fries.view import MM_PER_PX

_MISFIT = 0.12
"""Of its area."""
_WIDEST_CUTS = 1.4
_LONGEST_WIDTHS = 16.0
_LEAST_MM2 = 45.0
_LEAST_BARS = 5
"""Fewer don't tell what is usual."""


def lone_strips(mask: MaskArray, *, cut_width_mm: float, most_lengths: float = np.inf) -> IntArray:
    """(h, w) 1 ... n on those connected parts of a mask (h, w), 0 elsewhere.

    Bars `most_lengths` times as long as the usual one of them, or longer, are left out: two that lie end to end are one
    bar as well.
    """
    count, parts = parts_of(mask)
    if count == 1:
        return np.zeros(mask.shape, np.int64)
    widest_px = _WIDEST_CUTS * cut_width_mm / MM_PER_PX
    areas = np.bincount(parts.ravel(), minlength=count)
    shapes, boxes = Shapes(parts), boxes_of(parts)
    large = [part for part in np.flatnonzero(areas * MM_PER_PX**2 >= _LEAST_MM2).tolist() if part]
    bars = {part: length for part in large if (length := _bar_length(shapes, part, widest_px)) > 0}
    longest = most_lengths * float(np.median(list(bars.values()))) if len(bars) >= _LEAST_BARS else np.inf
    strips = [
        part
        for part in large
        if (bars[part] < longest if part in bars else _is_hook(parts[boxes[part]] == part, widest_px))
    ]
    number = np.zeros(count, np.int64)
    number[strips] = np.arange(1, len(strips) + 1)
    return number.take(parts)


def _bar_length(shapes: Shapes, part: int, widest_px: float) -> float:
    """Of the bar that fits a part, px; 0 where none does."""
    group = frozenset([part])
    fit = shapes.fit(group)
    fits = fit.misfit_px < _MISFIT * shapes.area(group) and fit.width_px < widest_px
    return fit.length_px if fits and fit.length_px < _LONGEST_WIDTHS * fit.width_px else 0.0


def _is_hook(part: MaskArray, widest_px: float) -> bool:
    part = np.pad(part, 1)
    radius = float(cv2.distanceTransform(part.view(np.uint8), cv2.DIST_L2, 5).max())
    return 2 * radius < widest_px and turns_as_one(part, widest_mm=2 * radius * MM_PER_PX)

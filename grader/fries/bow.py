"""How far a fry's middle leaves the straight line between its ends: slice by slice, not by a curve fitted to it."""

import numpy as np

from grader.arrays import FloatArray
from grader.card.model import Camera
from grader.card.pose import to_plane
from grader.fries.geometry import StripGeometry
from grader.fries.medians import medians_of
from grader.fries.model import Measured
from grader.fries.outline import Outline

_SLICES = 24
_ENDS = 0.06
"""Share of the length at either end where the outline runs across the fry and its sides don't show."""
_BENDS = 8
"""So many slices tell how an end bends."""


def measure_bow(outline: Outline, strip: StripGeometry, camera: Camera) -> Measured:
    """Mm. It rests on the same two sides as the width, and is as sure.

    All points are taken at the height of the fry's middle: seen from aside either side is shifted, by as much outward
    as the other is inward, and the middle between them stays.
    """
    along, across = strip.frame.along_across(to_plane(camera, outline.points_px, strip.middle_height_mm))
    edges = np.linspace(_ENDS, 1 - _ENDS, _SLICES + 1) * strip.length_mm
    inside = (along >= edges[0]) & (along < edges[-1])
    place = np.clip(np.digitize(along, edges) - 1, 0, _SLICES - 1)

    def side(which: int) -> FloatArray:
        there = inside & (across * which > 0)
        return medians_of(across[there], place[there], _SLICES)

    middle = (side(1) + side(-1)) / 2
    seen = np.isfinite(middle)
    if seen.sum() < _BENDS:
        return Measured(value=strip.bow_mm, u=strip.width_u_mm)
    line = strip.frame.place(((edges[:-1] + edges[1:]) / 2)[seen], middle[seen])
    return Measured(value=_farthest(_to_the_tips(line, strip.length_mm)), u=strip.width_u_mm)


def _to_the_tips(line: FloatArray, length_mm: float) -> FloatArray:
    """The line (k, 2) carried on at both ends as it bends there, by what of the length it lacks."""
    steps = np.linalg.norm(np.diff(line, axis=0), axis=1)
    at = np.concatenate([[0.0], np.cumsum(steps)])
    lacks = (length_mm - at[-1]) / 2

    def carried(part: slice, to: float) -> FloatArray:
        return np.array([np.polyval(np.polyfit(at[part], xy, 2), to) for xy in line[part].T])

    first, last = carried(slice(None, _BENDS), -lacks), carried(slice(-_BENDS, None), at[-1] + lacks)
    return np.concatenate([first[None], line, last[None]])


def _farthest(line: FloatArray) -> float:
    """Of any of its points (k, 2) from the straight line between the first and the last."""
    chord, off = line[-1] - line[0], line - line[0]
    return float(np.max(np.abs(chord[0] * off[:, 1] - chord[1] * off[:, 0])) / max(float(np.hypot(*chord)), 1.0))

"""How far a fry's middle leaves the straight line between its ends."""

import numpy as np

from grader.arrays import FloatArray
from grader.card.model import Camera
from grader.card.pose import to_plane
from grader.fries.geometry import StripGeometry
from grader.fries.medians import medians_of
from grader.fries.model import Measured
from grader.fries.outline import Outline
from grader.fries.outline_ways import runs_across, smoothed

_SLICES = 24
_BENDS = 8
"""Where fewer slices show both sides, nothing tells how a fry bends."""
_LONG_ENOUGH = 3.0
"""Widths. Of straight shorter pieces 1 in 25 reads a bow of a tenth of its length, of longer ones none (rendered)."""


def measure_bow(outline: Outline, strip: StripGeometry, camera: Camera) -> Measured:
    """Mm. It rests on the same two sides as the width, and is as sure where both show all along.

    The frame's own bend is put right by what the middle between both sides still strays from it, slice by slice. Ends
    may be slanted: where only one side shows, a slice has no middle, and the line is carried on as it bends. All points
    are taken at the height of the fry's middle: seen from aside either side is shifted, by as much outward as the other
    is inward, and the middle between them stays.
    """
    in_frame = strip.frame.along_across(to_plane(camera, outline.points_px, strip.middle_height_mm))
    points = smoothed(np.column_stack(in_frame))
    edges = np.linspace(0, strip.length_mm, _SLICES + 1)
    at_sides = ~runs_across(points) & (points[:, 0] > 0) & (points[:, 0] < strip.length_mm)
    place = np.clip(np.digitize(points[:, 0], edges) - 1, 0, _SLICES - 1)

    def side(which: int) -> FloatArray:
        there = at_sides & (points[:, 1] * which > 0)
        return medians_of(points[there, 1], place[there], _SLICES)

    middle = (side(1) + side(-1)) / 2
    seen = np.isfinite(middle)
    if seen.sum() < _BENDS:
        return Measured(value=strip.bow_mm, u=max(strip.bow_mm, strip.width_u_mm))
    at = ((edges[:-1] + edges[1:]) / 2)[seen]
    whole = np.linspace(0, strip.length_mm, _SLICES)
    strays = np.asarray(np.polyval(np.polyfit(at, middle[seen], 2), whole), float)
    line = strip.frame.place(whole, strays)
    return Measured(value=_farthest(line), u=strip.width_u_mm * strip.length_mm / float(np.ptp(at)))


def bow_share(bow: Measured, strip: StripGeometry) -> Measured | None:
    """The bow over the straight length; None for a piece so short that slanted ends would pass for a bow."""
    if strip.length_mm < _LONG_ENOUGH * strip.width_mm:
        return None
    return Measured(value=bow.value / strip.straight_mm, u=bow.u / strip.straight_mm)


def _farthest(line: FloatArray) -> float:
    """Of any of its points (k, 2) from the straight line between the first and the last."""
    chord, off = line[-1] - line[0], line - line[0]
    return float(np.max(np.abs(chord[0] * off[:, 1] - chord[1] * off[:, 0])) / max(float(np.hypot(*chord)), 1.0))

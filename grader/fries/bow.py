"""How far a fry's middle leaves the straight line between its ends."""

import numpy as np

from grader.arrays import FloatArray
from grader.fries.geometry import StripGeometry
from grader.fries.medians import medians_of
from grader.fries.model import Measured
from grader.fries.outline_ways import OutlineWays
from grader.fries.parabolas import parabolas_through

_SLICES = 24
_BENDS = 8
"""Where fewer slices show both sides, nothing tells how a fry bends."""
_LONG_ENOUGH = 3.0
"""Widths. Of straight shorter pieces 1 in 25 reads a bow of a tenth of its length, of longer ones none (rendered)."""


def measure_bow(ways: OutlineWays, strip: StripGeometry) -> Measured:
    """Mm. It rests on the same two sides as the width, and is as sure where both show all along.

    The frame's own bend is put right by what the middle between both sides still strays from it, slice by slice. Ends
    may be slanted: where only one side shows, a slice has no middle, and the line is carried on as it bends. All points
    are taken at the height of the fry's middle: seen from aside either side is shifted, by as much outward as the other
    is inward, and the middle between them stays.
    """
    along, across, length = ways.along_mm, ways.across_mm, strip.length_mm
    at_sides = ~ways.runs_across & (along > 0) & (along < length) & (across != 0)
    place = (along[at_sides] * (_SLICES / max(length, 1e-9))).astype(np.intp).clip(0, _SLICES - 1)
    sides = medians_of(across[at_sides], np.where(across[at_sides] > 0, place, place + _SLICES), 2 * _SLICES)
    middle = (sides[:_SLICES] + sides[_SLICES:]) / 2
    seen = np.flatnonzero(np.isfinite(middle))
    if len(seen) < _BENDS:
        return Measured(value=strip.bow_mm, u=max(strip.bow_mm, strip.width_u_mm))
    step = length / _SLICES
    at = np.asarray((np.arange(_SLICES) + 0.5) * step, float)
    (bend,), _ = parabolas_through(at[None], middle[None])
    whole = np.linspace(0, length, _SLICES)
    line = strip.frame.place(whole, np.polyval(bend, whole))
    return Measured(value=_farthest(line), u=strip.width_u_mm * length / float((seen[-1] - seen[0]) * step))


def bow_share(bow: Measured, strip: StripGeometry) -> Measured | None:
    """The bow over the straight length; None for a piece so short that slanted ends would pass for a bow."""
    if strip.length_mm < _LONG_ENOUGH * strip.width_mm:
        return None
    return Measured(value=bow.value / strip.straight_mm, u=bow.u / strip.straight_mm)


def _farthest(line: FloatArray) -> float:
    """Of any of its points (k, 2) from the straight line between the first and the last."""
    chord, off = line[-1] - line[0], line - line[0]
    return float(np.max(np.abs(chord[0] * off[:, 1] - chord[1] * off[:, 0])) / max(float(np.hypot(*chord)), 1.0))

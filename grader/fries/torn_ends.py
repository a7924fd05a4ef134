"""How deep a gap a straight edge laid against each end of a fry leaves: none at a cut end, some at a torn one.

Ends differ by nature: square or slanted as the blade or the potato's side left them, tapered, rounded in the oil. All
of these are convex, so a ruler laid against them touches all along. An end that was torn or snapped has notches and
tongues, and the ruler bridges them. What a photo can't tell is a fry snapped so clean that its end is convex.
"""

import cv2
import numpy as np

from grader.arrays import FloatArray, IntArray, MaskArray
from grader.fries.geometry import StripGeometry
from grader.fries.model import Gaps, Measured
from grader.fries.outline import Outline
from grader.fries.outline_ways import OutlineWays

_ZONE = 1.5
"""An end is what lies within so many widths of the tip: as deep as tongues go."""
_FACING = 0.3
"""A straight edge is laid against the end, not along the fry: its normal leans at least so far along it (sine)."""
_LEAST_POINTS = 8
_GAP_U_MM, _GAP_U, _FAINT_GAP_U_MM = 0.35, 0.12, 6.0
"""Standard uncertainty of a gap, mm, of its depth, and as for a length where edges are faint. From 94 ends torn along
known lines in photographs of rendered plates, 1 to 4 mm deep: read 0.15 mm too shallow in the middle, 95 % of them
within twice this (`calibration/REFERENCES.md`)."""


def end_gaps(outline: Outline, ways: OutlineWays, strip: StripGeometry, *, faint_share: float) -> Gaps:
    """The gaps at both ends; `faint_share` of the outline (0 to 1) can hardly be told from what lies beside it."""
    hidden = ((outline.other > 0) | outline.at_photo_edge) & ways.runs_across
    first, last = (_end_gap(way * ways.along_mm, ways.across_mm, hidden, strip.width_mm) for way in (-1, 1))
    return _measured(first, faint_share), _measured(last, faint_share)


def deepest_gap(gaps: Gaps | None) -> Measured | None:
    """The deeper one of a fry's two gaps; None where either end can't be seen: it may be the torn one."""
    if gaps is None or gaps[0] is None or gaps[1] is None:
        return None
    return max(gaps[0], gaps[1], key=lambda gap: gap.value)


def _measured(gap_mm: float | None, faint_share: float) -> Measured | None:
    if gap_mm is None:
        return None
    u = np.linalg.norm([_GAP_U_MM, _GAP_U * gap_mm, _FAINT_GAP_U_MM * faint_share])
    return Measured(value=gap_mm, u=float(u))


def _end_gap(outward: FloatArray, across: FloatArray, hidden: MaskArray, width: float) -> float | None:
    """Mm, from points (k,) along the closed outline: how far outward each lies along the fry, and how far across it.

    `hidden` (k,) where the outline runs across the fry and isn't its own.
    """
    zone = outward > outward.max() - _ZONE * width
    if (hidden & zone).any() or zone.sum() < _LEAST_POINTS:
        return None
    far_end = int(np.argmin(outward))  # from there on, the zone is one run
    run = (np.flatnonzero(np.roll(zone, -far_end)) + far_end) % len(zone)
    end = np.stack([outward[run], across[run]], axis=-1)
    return _deepest_gap(end, np.sort(cv2.convexHull(end.astype(np.float32), returnPoints=False).ravel()))


def _deepest_gap(end: FloatArray, corners: IntArray) -> float:
    """How far the outline of an end (k, 2), mm, lies behind the straight edges laid on its hull's corners, one by one.

    `corners` are the places of the hull's corners along it.
    """
    start, edge = end[corners[:-1]], np.diff(end[corners], axis=0)
    outward = np.column_stack([edge[:, 1], -edge[:, 0]]) / np.maximum(np.hypot(*edge.T), 1e-9)[:, None]
    off_middle = start - end[corners].mean(axis=0)
    outward *= np.where((outward * off_middle).sum(axis=1) < 0, -1, 1)[:, None]
    run = np.repeat(np.arange(len(start)), np.diff(corners))  # of each point from the first corner on, its edge
    behind = ((start[run] - end[corners[0] : corners[-1]]) * outward[run]).sum(axis=1)
    return float(behind.max(initial=0.0, where=outward[run, 0] >= _FACING))

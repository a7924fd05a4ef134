"""The bent bars that outlines follow: a parabola through the middle between both sides of each."""

import numpy as np

from grader.arrays import FloatArray, IntArray, MaskArray
from grader.fries.frame import Frame
from grader.fries.medians import medians_of
from grader.fries.together import Together

SIDE = 0.5
"""A point belongs to a side where its normal leans more across than along (sine of 30 degrees), else to an end."""
_SLICES = 40
_BENT_FROM, _LEANT_FROM = 8, 3
"""So many slices must show both sides for a middle that bends, and for one that runs aslant."""


def fit_parabolas(together: Together, xy: FloatArray, normals: FloatArray) -> tuple[Frame, FloatArray]:
    """The frames of n bent bars, and (n,) how far the middle between both sides strays from it (root mean square), mm.

    Parameters
    ----------
    together
        Which point is which fry's.
    xy, normals
        (k, 2) each, points of the outlines on the sheet, mm, and unit normals there.
    """
    origin, axes = _straight_axes(together, xy)
    along, across = _turned(axes.take(together.of, axis=0), xy - origin.take(together.of, axis=0))
    _, lean = _turned(axes.take(together.of, axis=0), normals)
    low, high = together.lowest(along), together.highest(along)
    slices = ((along - low[together.of]) * (_SLICES / np.maximum(high - low, 1e-9))[together.of]).astype(np.intp)
    place = together.of * _SLICES + np.minimum(slices, _SLICES - 1)
    middle = (_medians(across, place, lean > SIDE, together) + _medians(across, place, lean < -SIDE, together)) / 2
    at = low[:, None] + (high - low)[:, None] * ((np.arange(_SLICES) + 0.5) / _SLICES)
    bends, strays = parabolas_through(at, middle)
    return Frame(origin=origin, axes=axes, bend=bends, start=np.zeros(together.fries)), strays


def _turned(axes: FloatArray, steps: FloatArray) -> tuple[FloatArray, FloatArray]:
    """(k,) each, how far steps (k, 2) go along either of the axes (k, 2, 2)."""
    x, y = steps.T
    return axes[:, 0, 0] * x + axes[:, 0, 1] * y, axes[:, 1, 0] * x + axes[:, 1, 1] * y


def _straight_axes(together: Together, xy: FloatArray) -> tuple[FloatArray, FloatArray]:
    """(n, 2) the middle of each outline, and (n, 2, 2) axes, that on which it spreads farthest first."""
    planes = xy.T
    origin = np.stack([(together.lowest(plane) + together.highest(plane)) / 2 for plane in planes], axis=-1)
    count = np.bincount(together.of)
    off_x, off_y = (plane - (together.sums(plane) / count)[together.of] for plane in planes)
    spread = np.stack([together.sums(off_x**2), together.sums(off_x * off_y), together.sums(off_y**2)], axis=-1)
    way = np.linalg.eigh(spread[:, [[0, 1], [1, 2]]])[1][:, :, 1]
    return origin, np.stack([way, np.stack([-way[:, 1], way[:, 0]], axis=-1)], axis=1)


def _medians(across: FloatArray, place: IntArray, side: MaskArray, together: Together) -> FloatArray:
    """(n, slices) of one side, slice by slice; nan where none of it shows."""
    return medians_of(across[side], place[side], together.fries * _SLICES).reshape(-1, _SLICES)


def parabolas_through(at: FloatArray, values: FloatArray) -> tuple[FloatArray, FloatArray]:
    """(n, 3) coefficients, highest power first, least squares, and (n,) how far (n, k) values stray from the parabolas.

    Values are nan where nothing is known. Where few are known a parabola is a line, or runs level; where none is, 0.
    """
    known = np.isfinite(values)
    count = known.sum(axis=1)
    powers = np.array([2, 1, 0])
    told = count[:, None] >= [_BENT_FROM, _LEANT_FROM, 1]
    scale = np.maximum(np.abs(at).max(axis=1), 1e-9)[:, None]
    design = (at / scale)[..., None] ** powers * (known[..., None] & told[:, None])
    wanted = np.where(known, values, 0.0)[..., None]
    turned = np.swapaxes(design, 1, 2)
    # Of a power that nothing tells, the equation is that its coefficient is 0.
    fit = np.linalg.solve(turned @ design + np.eye(3) * ~told[:, None], turned @ wanted)
    off = (wanted - design @ fit)[..., 0]
    return fit[..., 0] / scale**powers, np.sqrt((off**2).sum(axis=1) / np.maximum(count, 1))

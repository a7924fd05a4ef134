"""How well a set of pixels looks like one strip, part of it hidden or not: a bar of one width, straight or bent."""

from dataclasses import dataclass

import numpy as np

from grader.arrays import FloatArray, MaskArray
from grader.quantiles import median

_BIN_PX = 2.0
_TO_BEND = 8
"""A bend is fitted where at least so many slices across carry it."""
_FULL_WIDTH = 0.75
"""Slices narrower than this share of the usual width don't carry the bend: something lies over part of them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StripFit:
    """The bar, px, and how it fits.

    Attributes
    ----------
    misfit_px
        Area of the region outside the bar, and of the bar on bare ground.
    hidden_px
        Area of the bar where another region lies in place of this one.
    gap_px
        How long it is hidden all across.
    width_px, length_px
        Of the bar, with what is hidden of it.
    """

    misfit_px: float
    hidden_px: float
    gap_px: float
    width_px: float
    length_px: float


def fit_strip(points: FloatArray, area_px: float, covered: MaskArray) -> StripFit:
    """Fit a bar to the pixels of a region.

    Parameters
    ----------
    points
        (k, 2) x, y of its pixels; every other one will do.
    area_px
        How many pixels it really has.
    covered
        (h, w) the picture: True where this region or another lies, which may lie over it.
    """
    middle = points.mean(axis=0)
    centred = points - middle
    axes = np.linalg.eigh(centred.T @ centred)[1]
    across, along = axes.T @ centred.T
    start = along.min()
    place = ((along - start) / _BIN_PX).astype(int)
    count = np.bincount(place)
    low, high = np.full(len(count), np.inf), np.full(len(count), -np.inf)
    np.minimum.at(low, place, across)
    np.maximum.at(high, place, across)
    filled = count > 0
    reach = len(count) * _BIN_PX / 2
    position = np.asarray((np.arange(len(count)) + 0.5) * _BIN_PX - reach, float)
    bend, half = _bar(position[filled], low[filled], high[filled])
    bent = np.polyval(bend, position)
    over = float(np.count_nonzero(np.abs(across - bent[place]) > half + 0.5)) * area_px / len(points)
    across_cells = max(1, round(2 * half / _BIN_PX))
    rows = ((np.arange(across_cells) + 0.5) / across_cells * 2 - 1) * half
    x, y = (
        np.rint((bent[:, None] + rows) * way[0] + ((position + reach + start) * way[1] + zero)[:, None]).astype(np.intp)
        for way, zero in zip(axes, middle, strict=True)
    )
    height, width = covered.shape
    fry = covered[y.clip(0, height - 1), x.clip(0, width - 1)]
    showing = np.count_nonzero(fry)
    cell = _BIN_PX * 2 * half / across_cells
    bare = float(fry.size - showing) * cell
    hidden = max(0.0, float(showing) * cell - (area_px - over))
    return StripFit(
        misfit_px=over + bare,
        hidden_px=hidden,
        gap_px=float(np.count_nonzero(~filled)) * _BIN_PX,
        width_px=2 * half,
        length_px=len(count) * _BIN_PX,
    )


def _bar(position: FloatArray, low: FloatArray, high: FloatArray) -> tuple[FloatArray, float]:
    """The middle line as a polynomial, and half the width."""
    width = high - low + 1
    middle = (low + high) / 2
    core = width >= _FULL_WIDTH * median(width)
    carrying = np.count_nonzero(core)
    degree = 2 if carrying >= _TO_BEND else 1 if carrying > 1 else 0
    return _polynomial(position[core], middle[core], degree), max(median(width[core]) / 2, 0.5)


def _polynomial(x: FloatArray, y: FloatArray, degree: int) -> FloatArray:
    """Its coefficients by least squares, the highest power first; the middle of x is near 0."""
    scale = np.abs(x).max() ** np.arange(degree, -1, -1)
    powers = x[:, None] ** np.arange(degree, -1, -1) / scale
    return np.asarray(np.linalg.solve(powers.T @ powers, powers.T @ y) / scale)

"""How well a set of pixels looks like one strip: a bar of one width, straight or bent evenly."""

from dataclasses import dataclass

import numpy as np

from grader.arrays import FloatArray

_BIN_PX = 2.0
_TO_BEND = 8
"""A bend is fitted where at least so many slices across carry it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StripFit:
    """`misfit`: area between outline and bar, over the area; 0 is a perfect bar. Width and length in px."""

    misfit: float
    width_px: float
    length_px: float


def fit_strip(points: FloatArray, area_px: float) -> StripFit:
    """Fit a bar to the pixels of a region.

    Parameters
    ----------
    points
        (k, 2) x, y of its pixels; every other one will do.
    area_px
        How many pixels it really has.
    """
    centred = points - points.mean(axis=0)
    axes = np.linalg.eigh(centred.T @ centred)[1]
    along, across = centred @ axes[:, 1], centred @ axes[:, 0]
    place = ((along - along.min()) / _BIN_PX).astype(int)
    count = np.bincount(place)
    low, high = np.full(len(count), np.inf), np.full(len(count), -np.inf)
    np.minimum.at(low, place, across)
    np.maximum.at(high, place, across)
    filled = count > 0
    position = (np.nonzero(filled)[0] + 0.5) * _BIN_PX
    low, high, count = low[filled], high[filled], count[filled]
    length = len(filled) * _BIN_PX
    filled_px = np.asarray(count * (area_px / len(points)))
    return _fit(np.asarray(position), low, high, filled_px, length, area_px)


def _fit(
    position: FloatArray, low: FloatArray, high: FloatArray, filled_px: FloatArray, length: float, area_px: float
) -> StripFit:
    width = high - low + 1
    middle = (low + high) / 2
    core = width >= 0.5 * np.median(width)
    degree = 2 if core.sum() >= _TO_BEND else 1 if core.sum() > 1 else 0
    bent = np.polyval(np.polyfit(position[core], middle[core], degree), position)
    half = float(np.median(width[core])) / 2
    outside = np.abs(high + 0.5 - bent - half) + np.abs(bent - half - low + 0.5)
    hollow = np.maximum(width * _BIN_PX - filled_px, 0)
    misfit = (float(outside.sum()) * _BIN_PX + 0.5 * float(hollow.sum())) / area_px
    return StripFit(misfit=misfit, width_px=2 * half, length_px=length)

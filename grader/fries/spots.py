"""Dark spots: small round islands, darker and browner than the flesh on both sides of them along the fry."""

import cv2
import numpy as np
from scipy import ndimage

from grader.arrays import FloatArray, MaskArray
from grader.fries.browning import browning_steps, without_shade
from grader.fries.field import Field, smooth

_AROUND_MM = 3.5, 7.5
"""Flesh to compare with lies so far along the fry to either side, at the same place across: edges brown alike there."""
_LEAST_AROUND = 3
_SMOOTH_MM = 0.4
_LEAST_STEPS = 1.3
"""At its darkest, in steps of browning: flesh varies by 0.3 (rendered plates), four times that is no chance."""
_LEAST_HUE = 0.045
"""Change of a*, b* over L* + 16, which shade leaves alone: a step of browning is 0.05 to 0.1."""
_GREEN = -0.03
"""a* over L* + 16 under which it is no browned flesh, which is red or neutral, but a herb's leaf."""
_DIAMETER_MM = 1.5, 7.0
_LONGEST = 2.5
"""Length over width: what is longer is a crack, a seam or a shadow."""
_RIM_MM = 0.8
"""So near the edge of its top face the light falls off."""


def find_spots(lab: FloatArray, flesh: MaskArray, field: Field) -> tuple[float, ...]:
    """Diameters, mm, of the spots on a fry's top face, each measured where it is half as dark as at its darkest.

    Parameters
    ----------
    lab, flesh
        (k, 3) CIELAB of a fry's pixels, and which show flesh on its top face.
    field
        Where they lie.
    """
    shown = field.where(flesh)
    sigma = _SMOOTH_MM / field.cell_mm
    weight = np.maximum(smooth(shown.astype(float), sigma), 1e-6)
    lightness = _smooth(field.picture(lab[:, 0]), shown, sigma, weight)
    browning = np.zeros(field.shape)
    browning[shown] = browning_steps(lightness[shown])
    darker = _more_than_both_sides(browning, shown, field.cell_mm)
    inner = _without_rim(shown, max(1, round(_RIM_MM / field.cell_mm)))
    if not (inner & (darker >= _LEAST_STEPS)).any():
        return ()
    hues = [_smooth(field.picture(hue), shown, sigma, weight) for hue in without_shade(lab).T]
    found = []
    for place in _peaks(np.where(inner, darker, 0.0), shown & (darker >= _LEAST_STEPS)):
        parts, _ = ndimage.label(shown & (darker >= darker[place] / 2))
        island = parts == parts[place]
        diameter = _diameter(island, field.cell_mm)
        if diameter is not None and _has_browned(island & inner, hues, shown, field.cell_mm):
            found.append(diameter)
    return tuple(found)


def _smooth(picture: FloatArray, shown: MaskArray, sigma: float, weight: FloatArray) -> FloatArray:
    return np.asarray(smooth(np.where(shown, picture, 0.0), sigma) / weight)


def _without_rim(shown: MaskArray, cells: int) -> MaskArray:
    """What is so many steps at least, up, down or aside, from all that isn't shown."""
    cross = cv2.getStructuringElement(cv2.MORPH_CROSS, (3, 3))
    left = cv2.erode(shown.astype(np.uint8), cross, iterations=cells, borderType=cv2.BORDER_CONSTANT, borderValue=0)
    return np.asarray(left > 0)


def _peaks(darker: FloatArray, dark: MaskArray) -> list[tuple[int, int]]:
    """Where each dark region is darkest, if it is dark enough there."""
    parts, count = ndimage.label(dark)
    places = ndimage.maximum_position(darker, parts, np.arange(1, count + 1)) if count else []
    return [(int(row), int(column)) for row, column in places if darker[row, column] >= _LEAST_STEPS]


def _sides(picture: FloatArray, shown: MaskArray, cell_mm: float) -> tuple[FloatArray, FloatArray]:
    """(rows, columns) each: the mean of what lies before and behind along the fry; nan where too little does."""
    near, far = (round(mm / cell_mm) for mm in _AROUND_MM)
    zero = np.zeros((1, picture.shape[1]))
    total = np.concatenate([zero, np.cumsum(np.where(shown, picture, 0.0), axis=0)])
    count = np.concatenate([zero, np.cumsum(shown, axis=0)])
    rows = np.arange(len(picture))
    sides = []
    for window in ((rows - far, rows - near), (rows + near + 1, rows + far + 1)):
        first, stop = (np.minimum(np.maximum(edge, 0), len(rows)) for edge in window)
        number = count[stop] - count[first]
        mean = (total[stop] - total[first]) / np.maximum(number, 1)
        sides.append(np.where(number >= _LEAST_AROUND, mean, np.nan))
    return sides[0], sides[1]


def _more_than_both_sides(browning: FloatArray, shown: MaskArray, cell_mm: float) -> FloatArray:
    more = browning - np.maximum(*_sides(browning, shown, cell_mm))
    return np.where(shown & np.isfinite(more), more, 0.0)


def _diameter(island: MaskArray, cell_mm: float) -> float | None:
    """Of a disc as large as the island; None where it is too small, too large or too long."""
    diameter = 2 * float(np.sqrt(island.sum() / np.pi)) * cell_mm
    rows, columns = np.nonzero(island)
    sizes = sorted((np.ptp(rows) + 1.0, np.ptp(columns) + 1.0))
    fits = _DIAMETER_MM[0] <= diameter <= _DIAMETER_MM[1] and sizes[1] <= _LONGEST * sizes[0]
    return round(diameter, 2) if fits else None


def _has_browned(island: MaskArray, hues: list[FloatArray], shown: MaskArray, cell_mm: float) -> bool:
    if float(np.median(hues[0][island])) < _GREEN:
        return False
    changes = []
    for hue in hues:
        around = np.mean(np.stack(_sides(hue, shown, cell_mm)), axis=0)
        changes.append(float(np.nanmedian((hue - around)[island])) if np.isfinite(around[island]).any() else 0.0)
    return float(np.hypot(changes[0], changes[1])) >= _LEAST_HUE

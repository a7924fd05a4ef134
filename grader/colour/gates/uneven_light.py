"""Light that falls off or is cut by a shadow in ways that the fitted light field can't follow."""

import numpy as np

from grader.arrays import FloatArray
from grader.colour.cie import lab_to_xyz
from grader.colour.correction import apply_correction
from grader.colour.light import light_at
from grader.colour.sheet import SheetColour, SheetSamples
from grader.errors import Finding

_CELL_MM = 20.0
_LEAST_IN_CELL = 4
_LEAST_CELLS = 6
_DARKEST = 1e-3

TOLD_SHADOW, REFUSED_SHADOW = 0.04, 0.06
"""Standard deviation of the log level over cells of 20 mm, the field's own course taken off. Good photographs give up
to 0.016 on cards and 0.029 on mats; a soft shadow of 15 % 0.03 (fries 0.9 off, CIE 2000), of 30 % 0.07 (2.0), of 50 %
0.12 (4.0)."""
TOLD_BEYOND, REFUSED_BEYOND = 0.35, 0.8
"""Natural log of how far the fries' light lies beyond any that the sheet shows: followed by extrapolation alone. Good
photographs give up to 0.16; at 0.4 the worst tenth of the fries is 0.6 to 3.6 off (CIE 2000), at 0.8 up to 14."""


def shadow_on_sheet(samples: SheetSamples, colour: SheetColour) -> float:
    """Standard deviation of bare paper's log level about the light field, averaged over cells of the sheet.

    Averaging takes away noise and the paper's grain, and leaves what a shadow's edge or a patch of light does. 0 where
    too little paper shows.
    """
    factor, _ = light_at(colour.light, samples.ground_xy_mm)
    seen = np.maximum(apply_correction(colour.correction, samples.ground_rgb)[:, 1], _DARKEST)
    level = np.log(seen / lab_to_xyz(samples.ground_lab)[:, 1] / factor)
    kinds = np.unique(samples.ground_lab, axis=0)
    surfaces = ((samples.ground_lab == kind).all(axis=1) for kind in kinds)
    off = np.concatenate([_cell_levels(samples.ground_xy_mm[own], level[own]) for own in surfaces])
    return float(off.std()) if len(off) >= _LEAST_CELLS else 0.0


def _cell_levels(xy_mm: FloatArray, level: FloatArray) -> FloatArray:
    """Mean level of each cell with enough spots in it, about their median."""
    _, cell, count = np.unique(np.floor(xy_mm / _CELL_MM), axis=0, return_inverse=True, return_counts=True)
    mean = (np.bincount(cell.ravel(), level) / count)[count >= _LEAST_IN_CELL]
    return mean - np.median(mean) if len(mean) else mean


def light_beyond_sheet(samples: SheetSamples, colour: SheetColour, at_mm: FloatArray) -> float:
    """How far the light at places (k, 2) lies beyond the range that it has over the sheet, natural log, the worst."""
    if not len(at_mm):
        return 0.0
    over_sheet = np.log(light_at(colour.light, samples.ground_xy_mm)[0])
    there = np.log(light_at(colour.light, at_mm)[0])
    return float(max(0.0, over_sheet.min() - there.min(), there.max() - over_sheet.max()))


def find_shadow(spread: float, *, hopeless: bool = False) -> Finding | None:
    """What to say of a sheet with such a `shadow_on_sheet`; `hopeless`: no fit of its patches can be used."""
    if spread < TOLD_SHADOW:
        return None
    refuses = hopeless or spread >= REFUSED_SHADOW
    what = "no colour can be judged by it" if refuses else "colours are less sure than stated"
    return Finding(
        code="light_uneven",
        message=f"A shadow or a patch of light lies on the card: {what}.",
        hint="Step aside so that your shadow and the phone's fall elsewhere, out of patches of sunlight and lamps'"
        " beams, and take it again.",
        refuses=refuses,
    )


def find_fall_off(beyond: float) -> Finding | None:
    """What to say of fries whose light is so far (`light_beyond_sheet`) from any that falls on the sheet."""
    if beyond < TOLD_BEYOND:
        return None
    refuses = beyond >= REFUSED_BEYOND
    what = "can't be told" if refuses else "is less sure than stated"
    return Finding(
        code="light_uneven",
        message=f"The light falls off steeply from the card to the fries: how light or dark they are {what}.",
        hint="Lay the card close to the plate, keep away from a lamp or a window so near that one side is much"
        " brighter, and take it again.",
        refuses=refuses,
    )

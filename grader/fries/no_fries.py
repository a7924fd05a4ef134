"""Things among the fries that are no fries: skewers and other sticks, pronged picks, food of another colour.

They are told by what no fry of their plate is: far narrower and longer, forked, or of a hue of its own. What is green
or grey isn't found in the first place (`foreground`). A plate of nothing but orange strips is one of fries: only what
lies among others is held against them.
"""

from collections.abc import Sequence

import numpy as np
from scipy.spatial import KDTree

from grader.arrays import FloatArray, LabelArray, MaskArray
from grader.fries.model import Fry, NoFry, Plate, Thing

_LEAST_FRIES = 5
"""Fewer don't tell what is usual on a plate."""
_STICK_WIDTH, _STICK_LENGTH = 0.45, 22.0
"""Of the plate's usual width, and of its own. Of 1101 rendered fries the narrowest 0.5 % are below 0.43, none is longer
than 22 widths; skewers and flat sticks have 0.2 to 0.36 and 28 to 73."""
_BROKEN_STICK_LENGTH, _BARE_WOOD_L = 10.0, 12.0
"""A part of one: shorter, but so much lighter (L*) than the fries. Of 1101 fries 0.3 % are, none of them so narrow."""
_REDDER = 12.0
"""a*: no rendered fry is more than 5.5 redder than its plate's middle, a carrot 25."""
_PRONGS_MM, _PALE_PRONGS_MM, _PALER = 14.0, 8.0, 10.0
_STEP_MM, _FILLED = 1.0, 0.75
"""Where less than this share is filled between its two sides, it is two prongs and a gap. Of 1029 rendered fries none
is so for more than 10 mm, of two wedges taken for one 12 mm, of wooden picks 12 to 18 mm; these are lighter (L*)."""
_FINE_MM, _LEAST_ROWS = 0.45, 3
"""So coarsely its pixels are looked at, so many rows of them to a step: fewer would fill one step more than another."""


def without_things(plate: Plate) -> Plate:
    """The plate with what is no fry set apart; in a heap, where nothing has a length, all is taken for fries."""
    things = {} if plate.heaped else things_among(plate.fries, plate.labels)
    if not things:
        return plate
    labels = plate.labels.copy()
    apart = []
    for fry in plate.fries:
        if fry.number in things:
            pixels = np.flatnonzero(labels == fry.number)
            np.put(labels, pixels, 0)
            apart.append(NoFry(fry=fry, thing=things[fry.number], pixels=pixels))
    fries = tuple(fry for fry in plate.fries if fry.number not in things)
    return Plate(fries=fries, labels=labels, heaped=plate.heaped, no_fries=tuple(apart))


def things_among(fries: Sequence[Fry], labels: LabelArray) -> dict[int, Thing]:
    """By number, what lies on a plate among its fries and is none; (h, w) `labels` say where each lies."""
    widths = [fry.width_mm.value for fry in fries if fry.width_mm is not None]
    colours = [fry.colour.lab for fry in fries if fry.colour is not None]
    if min(len(widths), len(colours)) < _LEAST_FRIES:
        return {}
    usual_mm, usual_lab = float(np.median(widths)), np.median(colours, axis=0)
    told = {fry.number: _thing(fry, usual_mm, usual_lab, labels) for fry in fries}
    return {number: thing for number, thing in told.items() if thing is not None}


def _thing(fry: Fry, usual_mm: float, usual_lab: FloatArray, labels: LabelArray) -> Thing | None:
    off = np.zeros(3) if fry.colour is None else fry.colour.lab - usual_lab
    if off[1] > _REDDER:
        return Thing.OTHER_FOOD
    if fry.width_mm is not None and fry.width_mm.value < _STICK_WIDTH * usual_mm:
        widths_long = fry.area_mm2 / max(fry.width_mm.value, 0.1) ** 2
        if widths_long > _STICK_LENGTH or (widths_long > _BROKEN_STICK_LENGTH and off[0] > _BARE_WOOD_L):
            return Thing.STICK
    if fry.length_mm is None:
        return None
    corner = np.maximum(np.floor(fry.outline_px.min(axis=0)), 0).astype(int)
    end = np.ceil(fry.outline_px.max(axis=0)).astype(int) + 1
    box = np.s_[corner[1] : end[1], corner[0] : end[0]]
    line = fry.centreline_px - corner
    px = float(np.linalg.norm(np.diff(line, axis=0), axis=1).sum())
    prongs_mm = _PALE_PRONGS_MM if off[0] > _PALER else _PRONGS_MM
    return Thing.PRONGS if hollow_mm(labels[box] == fry.number, line, fry.length_mm.value / px) > prongs_mm else None


def hollow_mm(mask: MaskArray, line_px: FloatArray, mm_per_px: float) -> float:
    """Over how much of its length less than `_FILLED` of what lies between a fry's two sides is filled.

    Parameters
    ----------
    mask
        (h, w) where it lies.
    line_px
        (k, 2) its centreline, px.
    mm_per_px
        Of the photo, there.
    """
    steps = np.linalg.norm(np.diff(line_px, axis=0), axis=1)
    passed = np.concatenate([[0.0], np.cumsum(steps)])
    every = max(1, int(_FINE_MM / mm_per_px))
    step_px = max(_STEP_MM / mm_per_px, _LEAST_ROWS * every)
    slices = max(2, round(passed[-1] / step_px))
    at = np.linspace(0, passed[-1], slices)
    fine = np.column_stack([np.interp(at, passed, part) for part in line_px.T])
    rows, columns = np.nonzero(mask[::every, ::every])
    points = every * np.column_stack([columns, rows]).astype(float)
    nearest = KDTree(fine).query(points)[1]
    ways = np.gradient(fine, axis=0)
    ways /= np.maximum(np.linalg.norm(ways, axis=1, keepdims=True), 1e-9)
    off = points - fine[nearest]
    across = ways[nearest, 0] * off[:, 1] - ways[nearest, 1] * off[:, 0]
    low, high = np.full(slices, np.inf), np.full(slices, -np.inf)
    np.minimum.at(low, nearest, across)
    np.maximum.at(high, nearest, across)
    filled = np.bincount(nearest, minlength=slices) * every**2 / step_px
    between = np.where(filled > 0, high - low + every, np.nan)
    inner = slice(1, -1)  # beyond its ends a line holds whatever lies there
    return float((filled[inner] < _FILLED * between[inner]).sum()) * step_px * mm_per_px

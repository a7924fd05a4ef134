"""Two lights at once: a heat lamp over the plate and tubes or a window over the card.

One matrix serves one light. Where the share of a second one changes from place to place, bare paper changes its colour
over the sheet; where the change comes only beside the sheet, table and plate change theirs. Both are followed from the
card's patches to the fries, and told as what the fries' colour is misjudged by.

What can't be seen: a lamp that ends sharply at the plate's own rim, with no surface that reaches across.
"""

from dataclasses import dataclass

import numpy as np

from grader.arrays import FloatArray, LabelArray
from grader.colour.cie import lab_to_xyz
from grader.colour.correction import apply_correction
from grader.colour.fitting import USUAL_FRY_LAB
from grader.colour.gates.robust import robust_fit
from grader.colour.gates.tint import tint_error, tint_of
from grader.colour.sheet import SheetColour, SheetSamples
from grader.errors import Finding

TOLD_DE = 1.5
"""CIE 2000. Good photographs give up to 0.9; a rendered plate with a second light on purpose 1.0. A warm lamp over the
plate by which fries are 2 off shows as 1.2 to 3.6, 5 off as 3 to 8."""
REFUSED_DE = 5.0
"""Nearly one step of a house scale, of about 6."""
TOLD_SHEET_DE, REFUSED_SHEET_DE = 0.5, 1.5
"""The same at the sheet's own patches. Good photographs give up to 0.1; where a second light bends the fit until fries
are 1 to 3 off it is 0.7 to 1.2, at 2 to 6 off 1.4 to 2.8."""

_TINT_FLOOR = 0.002
_MIN_SPOTS = 12
_WHITE = lab_to_xyz([100.0, 0.0, 0.0])
# Darker than this share of white, what haze is taken off decides the tint.
_DARKEST = 0.02
_RIM_MM = 15.0
_KNOT_MM = 30.0
# Prior of how much the tint changes from one knot to the next, where one spot weighs 1 (stiffness of a beam).
_STIFFNESS = 25.0
# Prior of the stray light that the correction takes off wrongly, mean 0, in the same unit. A sheet sends some 4 % of
# its light from its surface, which the fit takes for stray light: on dark yellow wood, where hardly any blue is left,
# that looks like another lamp wherever a shadow lies. Ten times as much serves as well.
_STRAY_PRECISION = 1e4
# A pool of light may lie over a few fries only; the rest is left to chance.
_HIGH_QUANTILE = 0.9


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BareSpots:
    """What shows beside the fries, on a grid: table, plate, a mat's field.

    Attributes
    ----------
    xy_mm, rgb
        (n, 2) in the sheet's plane, (n, 3) picture-linear.
    surface
        (n,) 0, 1, ...: spots of one number are of one surface, as far as no edge lies between them.
    """

    xy_mm: FloatArray
    rgb: FloatArray
    surface: LabelArray


def tint_error_by_sheet(
    samples: SheetSamples, colour: SheetColour, at_mm: FloatArray, lab: FloatArray | None = None
) -> float:
    """CIE 2000 error that the paper's change of colour over the sheet brings at places.

    Parameters
    ----------
    at_mm
        (k, 2) where: fries, or the sheet's own patches.
    lab
        (k, 3) what colour is misjudged there; a fry's usual one where not given.

    Returns
    -------
    float
        Nine in ten of the places have less. 0 where too little paper shows.
    """
    paper = (samples.ground_lab == samples.ground_lab[np.argmax(samples.ground_lab[:, 0])]).all(axis=1)
    if paper.sum() < _MIN_SPOTS or not len(at_mm):
        return 0.0
    xy_mm = samples.ground_xy_mm[paper]
    tint = tint_of(
        apply_correction(colour.correction, samples.ground_rgb[paper]), lab_to_xyz(samples.ground_lab[paper])
    )
    middle = samples.patch_xy_mm[samples.patch_usable].mean(axis=0)
    design = np.column_stack([np.ones(len(xy_mm)), xy_mm - middle])
    slopes = np.column_stack(
        [robust_fit(design, tint[:, k], normal=np.zeros((3, 3)), floor=_TINT_FLOOR)[1:] for k in range(2)]
    )
    return _high_error((at_mm - middle) @ slopes, lab)


def tint_error_by_field(spots: BareSpots, colour: SheetColour, *, at_mm: FloatArray, lab: FloatArray) -> float:
    """CIE 2000 error that the change of a mat's field from its rim, beside the patches, to the fries brings.

    The field's known colour is not asked: its ink and the patches' may part under some lights by 3 CIE 2000 units.

    Parameters
    ----------
    at_mm, lab
        (k, 2) and (k, 3): where the fries lie, and their colours.
    """
    tint = tint_of(apply_correction(colour.correction, spots.rgb), _WHITE)
    if len(tint) < _MIN_SPOTS:
        return 0.0
    low, high = spots.xy_mm.min(axis=0), spots.xy_mm.max(axis=0)
    rim = np.minimum(spots.xy_mm - low, high - spots.xy_mm).min(axis=1) < _RIM_MM
    distance = np.linalg.norm(at_mm[:, None] - spots.xy_mm, axis=2)
    near = np.argsort(distance, axis=1)[:, :_MIN_SPOTS]
    return _high_error(np.median(tint[near], axis=1) - np.median(tint[rim], axis=0), lab)


def tint_error_by_surroundings(
    spots: BareSpots, colour: SheetColour, *, card_mm: FloatArray, at_mm: FloatArray, lab: FloatArray
) -> float:
    """CIE 2000 error that table and plate show between the card and the fries.

    Their own colours aren't known, but a surface keeps its colour: along the way from card to fries all of them change
    alike where the light does. One curve for all, a level for each surface, spots off it (print, crumbs, sauce) losing
    their say. Stray light taken off wrongly tints dark spots more than bright ones, wherever they lie: told apart by
    that.

    Parameters
    ----------
    card_mm
        (2,) the card's middle.
    at_mm, lab
        (k, 2) and (k, 3): where the fries lie, and their colours.
    """
    xyz = apply_correction(colour.correction, spots.rgb)
    clear = (xyz > _DARKEST * _WHITE).all(axis=1)
    if clear.sum() < _MIN_SPOTS:
        return 0.0
    way = at_mm.mean(axis=0) - card_mm
    way = way / np.linalg.norm(way)
    along = (spots.xy_mm[clear] - card_mm) @ way
    knots = np.arange(along.min(), along.max() + _KNOT_MM, _KNOT_MM)
    levels = (spots.surface[clear, None] == np.unique(spots.surface[clear])).astype(float)
    others = 1 + levels.shape[1]
    normal = _stiff(len(knots), others)
    normal[0, 0] = _STRAY_PRECISION
    tint, by_stray = tint_of(xyz[clear], _WHITE), _tint_by_stray(xyz[clear])
    curves = []
    for k in range(2):
        design = np.hstack([by_stray[:, [k]], levels, _hats(along, knots)])
        curves.append(robust_fit(design, tint[:, k], normal=normal, floor=_TINT_FLOOR)[others:])
    step = _hats((at_mm - card_mm) @ way, knots) - _hats(np.zeros(1), knots)
    return _high_error(step @ np.column_stack(curves), lab)


def find_mixed_over_sheet(error_de: float, *, hopeless: bool = False) -> Finding | None:
    """What to say of two lights by which the sheet's own patches part so much (`tint_error_by_sheet` at them).

    `hopeless`: no fit of the patches can be used, whatever the reason.
    """
    return _mixed(refuses=hopeless or error_de >= REFUSED_SHEET_DE) if error_de >= TOLD_SHEET_DE else None


def find_mixed_at_fries(error_de: float) -> Finding | None:
    """What to say of two lights by which the fries are misjudged so much (CIE 2000)."""
    return _mixed(refuses=error_de >= REFUSED_DE) if error_de >= TOLD_DE else None


def _mixed(*, refuses: bool) -> Finding:
    what = "no colour can be judged" if refuses else "the fries' colours are less sure than stated"
    return Finding(
        code="light_mixed",
        message="Two lights of different colour fall on card and plate, such as a heat lamp and the room's lamps:"
        f" {what}.",
        hint="Carry plate and card out of the heat lamp to one light: to a window with the lamps off, or under the"
        " room's lamps away from the window. Then take it again.",
        refuses=refuses,
    )


def _high_error(tint: FloatArray, lab: FloatArray | None) -> float:
    colours = np.tile(USUAL_FRY_LAB, (len(tint), 1)) if lab is None else lab
    return float(np.quantile(tint_error(colours, tint), _HIGH_QUANTILE))


def _hats(along_mm: FloatArray, knots: FloatArray) -> FloatArray:
    """(n, k) weights of linear interpolation between knots; beyond the last ones their own value."""
    inside = np.clip(along_mm, knots[0], knots[-1])
    return np.asarray(np.maximum(0, 1 - np.abs(inside[:, None] - knots) / _KNOT_MM), float)


def _tint_by_stray(xyz: FloatArray) -> FloatArray:
    """(n, 2) what a share of white, added to corrected XYZ (n, 3), does to its tint (`tint_of`), to first order."""
    by_share = _WHITE / xyz
    return np.asarray(by_share[:, :2] - by_share[:, 1:], float)


def _stiff(knots: int, others: int) -> FloatArray:
    """(others + knots, same) precision that holds neighbouring knots together, and all of it near 0 a little."""
    differences = np.zeros((knots - 1, others + knots))
    rows = np.arange(knots - 1)
    differences[rows, others + rows], differences[rows, others + rows + 1] = -1, 1
    return np.asarray(_STIFFNESS * differences.T @ differences + 1e-6 * np.eye(others + knots), float)

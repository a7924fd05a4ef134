"""Whether the fries of a plate lie flat beside each other or over each other: what an end that meets a fry may mean.

An end that meets another fry all across looks the same whether it stops there or goes on below. Fries laid flat seldom
meet so; where they lie over each other many do. So all ends of a plate together tell which it is.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from grader.arrays import Float32Array, FloatArray, MaskArray
from grader.card.model import Camera
from grader.card.pose import camera_height_mm
from grader.fries.geometry import StripGeometry
from grader.fries.outline import Outline
from grader.fries.view import MM_PER_PX
from grader.quantiles import median

_MEETS_FROM = 0.75
"""An end meets a neighbour where so much of its width does: fries that lie side by side touch at a corner, one that
goes on below another meets it all across."""
_OVER_FROM = 0.12
"""Share of a plate's ends that meet a neighbour so. Laid flat 3 % do, where fries lie over each other 28 % (rendered
plates): from 12 % on the second is the likelier, by the binomial distribution, however many fries there are."""
_LEAP = 8.0
"""Times the usual distance from one point of an outline to the next."""
_RISE_U_MM = 4.0
"""How high a fry lies that touches others where they lie over each other: on the plate, or on another one."""
_SEAM_LENGTH_U_MM, _SEAM_WIDTH_U_MM = 2.0, 0.7
"""What its outline is off by, where it runs along others over and under it (rendered plates)."""
_MOST_RAISED_MM = 30.0
_ASIDE_MM, _HIGHER_MM = 2.0, 2.0
"""So far to either side of an end is looked at; a fry that lies on another there is so much higher at least."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Relief:
    """How high the fries lie: mm, of a view (h, w); view px per photo px."""

    height_mm: Float32Array
    reduction: float

    def at(self, points_px: FloatArray) -> FloatArray:
        """(k,) at points (k, 2) of the photo."""
        columns, rows = np.rint((points_px + 0.5) * self.reduction - 0.5).astype(int).T
        height, width = self.height_mm.shape
        return np.asarray(self.height_mm[rows.clip(0, height - 1), columns.clip(0, width - 1)], float)


def goes_below(outline: Outline, end: MaskArray, relief: Relief | None) -> bool:
    """Whether an end meets a neighbour, and goes on below it as far as heights, where they are known, don't deny it."""
    if not meets(outline, end):
        return False
    if relief is None:
        return True
    met = end & (outline.other > 0)
    aside = outline.outward[met] * (_ASIDE_MM / MM_PER_PX / relief.reduction)
    points = outline.points_px[met]
    return float(np.median(relief.at(points + aside) - relief.at(points - aside))) > _HIGHER_MM


def raised_mm(strip: StripGeometry, relief: Relief, *, ground_mm: float) -> float:
    """How much higher its middle line lies than it would on the plate: what it lies on, on average."""
    top_mm = float(np.median(relief.at(strip.centreline_px)))
    return float(np.clip(top_mm - 2 * (strip.middle_height_mm - ground_mm), 0, _MOST_RAISED_MM))


def meets(outline: Outline, end: MaskArray) -> bool:
    """One neighbour lies along (almost) all of this end."""
    neighbours = outline.other[end]
    meeting = neighbours[neighbours > 0]
    return len(meeting) > 0 and float(np.bincount(meeting).max()) >= _MEETS_FROM * len(neighbours)


def lie_over_each_other(fries: Sequence[tuple[Outline, StripGeometry]]) -> bool:
    """Fries of this plate lie over each other, so that ends which meet a neighbour are taken to go on below it.

    A fry that shows on both sides of another counts as two such ends.
    """
    ends = [meets(outline, end) for outline, strip in fries for end in strip.ends]
    crossed = sum(_goes_on_below(outline) for outline, _ in fries)
    return bool(ends) and sum(ends) + 2 * crossed >= _OVER_FROM * len(ends)


def _goes_on_below(outline: Outline) -> bool:
    """Its outline leaps: the fry shows in parts, another lies across it (`whole_outline`)."""
    steps = np.hypot(*np.diff(outline.points_px, axis=0).T)
    return len(steps) > 0 and bool(steps.max() > _LEAP * median(steps))


def perhaps_raised(strip: StripGeometry, camera: Camera) -> StripGeometry:
    """The same strip, its sizes as unsure as they are where it may lie on another fry, or one on it."""
    share = _RISE_U_MM / camera_height_mm(camera)

    def less_sure(u: float, size: float, seam_u: float) -> float:
        return float(np.linalg.norm([u, share * size, seam_u]))

    return replace(
        strip,
        length_u_mm=less_sure(strip.length_u_mm, strip.length_mm, _SEAM_LENGTH_U_MM),
        straight_u_mm=less_sure(strip.straight_u_mm, strip.straight_mm, _SEAM_LENGTH_U_MM),
        width_u_mm=less_sure(strip.width_u_mm, strip.width_mm, _SEAM_WIDTH_U_MM),
    )

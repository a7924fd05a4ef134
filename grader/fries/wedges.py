"""Wedges told by their outline: they narrow towards both ends, where a cut bar keeps its width.

A wedge lies on a cut face or on its skin. It is widest near its foot, and its tips lie there, too: at a bar's heights
it would read too short. Fries of one plate are mostly cut alike, so where most of them narrow so, a few that do so less
surely are wedges as well: the tip of one that touches another may be outlined too blunt.
"""

from collections.abc import Sequence

import numpy as np

from grader.arrays import FloatArray
from grader.fries.forms import StripForm
from grader.fries.medians import medians_of

_SLICES = 16
_SURELY, _AMONG_WEDGES = 0.76, 0.92
"""At an eighth of its length from either end a wedge has less of its middle's width than this. Wedges cut of an
ellipsoid have 0.64 there; of 1007 rendered bars one was below 0.76, with ends that taper by a third over 14 mm 0.9."""
_MOSTLY = 0.5
_FOOT = 0.17
"""How high a wedge is widest, over its width: so one on its skin, a circle's sector of 75 degrees; one on a cut face
is at 0 to 0.3, depending on where the camera stands."""


def wedge_edges(strips: Sequence[StripForm]) -> list[FloatArray | None]:
    """Of each fry of a plate that is a wedge, (k,) how high over its ground each point of its outline lies, mm."""
    widths = [_widths(strip) for strip in strips]
    ends = np.array([_wider_end(one) for one in widths])
    wedges = float(np.mean(ends < _SURELY)) > _MOSTLY if len(ends) else False
    limit = _AMONG_WEDGES if wedges else _SURELY
    return [_edges(strip, one) if end < limit else None for strip, one, end in zip(strips, widths, ends, strict=True)]


def _widths(strip: StripForm) -> FloatArray:
    """(slices,) how wide it is, end to end; nan where a side doesn't show."""
    along = np.clip(strip.along_mm / max(strip.length_mm, 1e-9), 0, 1)
    place = np.minimum((along * _SLICES).astype(int), _SLICES - 1)
    side = strip.across_mm != 0
    across = strip.across_mm[side]
    left, right = medians_of(across, place[side] + _SLICES * (across < 0), 2 * _SLICES).reshape(2, _SLICES)
    return left - right


def _wider_end(widths: FloatArray) -> float:
    """How wide it is at an eighth of its length from the end that narrows less, over its middle's width."""
    if not np.isfinite(widths).all():
        return 1.0
    eighth = _SLICES // 8
    middle = float(np.median(widths[_SLICES // 4 : -_SLICES // 4]))
    at = widths[eighth - 1 : eighth + 1].mean(), widths[-eighth - 1 : -eighth + 1].mean()
    return float(max(at)) / max(middle, 1e-9)


def _edges(strip: StripForm, widths: FloatArray) -> FloatArray:
    along = strip.along_mm / max(strip.length_mm, 1e-9)
    return np.asarray(_FOOT * np.interp(along, (np.arange(_SLICES) + 0.5) / _SLICES, widths))

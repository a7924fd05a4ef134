"""Fries that go on below others: two parts in one line, with fry all the way between, are one fry seen twice."""

from collections.abc import Sequence

import numpy as np

from grader.arrays import FloatArray, MaskArray
from grader.fries.shapes import Bars, Group, Shapes
from grader.fries.strip import StripFit
from grader.fries.view import MM_PER_PX

_LONGEST_GAP_MM = 45.0
"""Hidden at a stretch: below one fry at a sharp angle, or below three side by side."""
_OVERLAP_MM = 2.0
"""The upper fry cuts the parts off at a slant, so that they may reach past each other."""
_WIDER, _WIDER_PX = 1.35, 3.0
"""Parts in one line are together no wider than the wider of them, but for a bend."""
_MOST_PAIRS = 1200
_NO_STRIP = 0.3
_LEAST_HIDDEN = 0.25
"""Of a square as wide as the fry: parts that meet end to end are two fries, nothing lies over them."""


def bridged(
    parts: Sequence[Group], ends: Sequence[Group], shapes: Shapes, *, widest_px: float
) -> dict[Group, StripFit]:
    """Unions of a group of `parts` and one of `ends` that may be one fry with a hidden middle, each with its strip."""
    if not (parts and ends):
        return {}
    unions = {parts[i] | ends[j]: None for i, j in _in_line(parts, ends, shapes, widest_px)}
    fits = {union: shapes.fit(union) for union in unions}
    return {
        union: fit
        for union, fit in fits.items()
        if fit.misfit_px <= _NO_STRIP * shapes.area(union)
        and fit.width_px <= widest_px
        and fit.hidden_px > _LEAST_HIDDEN * fit.width_px**2
    }


def _in_line(parts: Sequence[Group], ends: Sequence[Group], shapes: Shapes, widest_px: float) -> list[tuple[int, int]]:
    """Pairs that share no piece and lie one behind the other, the straightest first."""
    first, second = (np.array([shapes.moments(group) for group in groups]) for groups in (parts, ends))
    i, j = np.nonzero(_disjoint(parts, ends))
    one, other, both = Bars(first[i]), Bars(second[j]), Bars(first[i] + second[j])
    step = other.centre - one.centre
    apart = np.linalg.norm(step, axis=1)
    way = step / np.maximum(apart, 1e-9)[:, None]
    gap_mm = (apart - (one.extent(way) + other.extent(way)) / 2) * MM_PER_PX
    wider = np.maximum(one.width, other.width)
    may = (gap_mm > -_OVERLAP_MM) & (gap_mm < _LONGEST_GAP_MM)
    may &= both.width < np.minimum(_WIDER * wider + _WIDER_PX, widest_px)
    rank = np.argsort(np.where(may, both.width / wider, np.inf), kind="stable")
    return [(int(i[k]), int(j[k])) for k in rank[: min(int(may.sum()), _MOST_PAIRS)]]


def _disjoint(parts: Sequence[Group], ends: Sequence[Group]) -> MaskArray:
    """(n, m) which groups share no piece."""
    pieces = 1 + max(piece for group in (*parts, *ends) for piece in group)

    def members(groups: Sequence[Group]) -> FloatArray:
        table = np.zeros((len(groups), pieces))
        for row, group in enumerate(groups):
            table[row, list(group)] = 1
        return table

    return np.asarray(members(parts) @ members(ends).T == 0)

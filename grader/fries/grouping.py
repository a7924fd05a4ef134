"""Decides which pieces make up one fry: of all ways to share the pieces out, the one that costs least.

A group of pieces costs a fixed sum (fewer fries explain more), a sum for every seam that it ignores (and earns where
there is none), for not looking like a strip, and for being wider than the cut. The best way to share out is an exact
cover problem, solved exactly (HiGHS through scipy).
"""

from collections import defaultdict
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csc_matrix

from grader.arrays import FloatArray, IntArray
from grader.fries.pieces import Pieces
from grader.fries.strip import StripFit, fit_strip
from grader.fries.view import MM_PER_PX

_A_FRY = 6.0
_A_SEAM = 0.045  # per px of cut and unit of log odds
_A_MISFIT = 0.0045  # per px of area between outline and bar
_A_WIDTH = 40.0  # per unit of log(width / allowed width)
_MISFIT_FREE = 0.08
_WIDER_THAN_CUT = 1.25

_MOST_PIECES = 14
_MOST_GROUPS = 300
"""At most so many groups of one size are grown on, the straightest first: bounds the time in a heap."""
_SURE_SEAM = 3.9
_NO_STRIP = 0.45
_FAR_TOO_WIDE = 2.0
_LEAST_FILL = 0.6
"""Area over that of the bar with the same second moments: 1 for a bar, less the more it is bent, branched or hollow."""
_SECONDS = 5.0

Group = frozenset[int]


@dataclass(frozen=True, slots=True)
class _Cut:
    logit: float
    length: float


def group_pieces(pieces: Pieces, *, cut_width_mm: float) -> IntArray:
    """(h, w) labels of whole fries, 0 outside; each is a union of pieces."""
    if pieces.labels.max() == 0:
        return pieces.labels
    meetings = _meetings(pieces)
    fits = _possible_groups(pieces.labels, meetings, cut_width_mm)
    groups = list(fits)
    cost = np.array([_cost(group, fits[group], meetings, cut_width_mm) for group in groups])
    chosen = _cheapest_cover(groups, cost, int(pieces.labels.max()))
    fry_of_piece = np.zeros(pieces.labels.max() + 1, np.int64)
    for number, group in enumerate(chosen, start=1):
        fry_of_piece[list(group)] = number
    return np.asarray(fry_of_piece[pieces.labels])


def _meetings(pieces: Pieces) -> dict[int, dict[int, _Cut]]:
    meetings: dict[int, dict[int, _Cut]] = defaultdict(dict)
    for (a, b), logit, length in zip(pieces.cuts.tolist(), pieces.seam_logit, pieces.cut_length_px, strict=True):
        meetings[a][b] = meetings[b][a] = _Cut(float(logit), float(length))
    return meetings


class _Shapes:
    """The pixels of each piece, and the strip that fits a group of them."""

    def __init__(self, labels: IntArray) -> None:
        rows, columns = np.nonzero(labels)
        number = labels[rows, columns]
        order = np.argsort(number, kind="stable")
        ends = np.searchsorted(number[order], np.arange(1, number.max() + 2))
        xy = np.column_stack([columns, rows])[order].astype(float)
        self._points = [np.zeros((0, 2))] + [xy[a:b][::2] for a, b in pairwise(ends)]
        self._areas = np.concatenate([[0], np.diff(ends)]).astype(float)
        x, y = xy.T
        powers = np.column_stack([np.ones(len(x)), x, y, x * x, x * y, y * y])
        self._moments = np.concatenate([np.zeros((1, 6)), np.add.reduceat(powers, ends[:-1])])

    def may_be_strip(self, group: Group, *, widest_px: float) -> bool:
        """From second moments alone, which add up over pieces: quick to say that a group is certainly no strip."""
        area, sx, sy, sxx, sxy, syy = self._moments[list(group)].sum(axis=0)
        a, b, c = sxx / area - (sx / area) ** 2, sxy / area - sx * sy / area**2, syy / area - (sy / area) ** 2
        middle, half = (a + c) / 2, float(np.hypot((a - c) / 2, b))
        length, width = np.sqrt(12 * (middle + half) + 1), np.sqrt(12 * max(middle - half, 0.0) + 1)
        return bool(area > _LEAST_FILL * length * width and width < widest_px)

    def fit(self, group: Group) -> tuple[StripFit, float]:
        """The strip and the area, px."""
        members = sorted(group)
        area = float(self._areas[members].sum())
        return fit_strip(np.concatenate([self._points[member] for member in members]), area), area


def _possible_groups(
    labels: IntArray, meetings: dict[int, dict[int, _Cut]], cut_width_mm: float
) -> dict[Group, tuple[StripFit, float]]:
    """Single pieces, and what grows from them through uncertain cuts as long as it may still become a strip."""
    shapes = _Shapes(labels)
    growing = [frozenset([number]) for number in range(1, int(labels.max()) + 1)]
    fits = {group: shapes.fit(group) for group in growing}
    widest_px = _FAR_TOO_WIDE * cut_width_mm / MM_PER_PX
    tried = set(fits)
    for _ in range(_MOST_PIECES - 1):
        grown: list[Group] = []
        for group in growing:
            for union in _grown(group, meetings):
                if union in tried:
                    continue
                tried.add(union)
                if not shapes.may_be_strip(union, widest_px=widest_px):
                    continue
                fit, area = shapes.fit(union)
                if fit.misfit <= _NO_STRIP and fit.width_px <= widest_px:
                    fits[union] = fit, area
                    grown.append(union)
        growing = sorted(grown, key=lambda group: fits[group][0].misfit)[:_MOST_GROUPS]
    return fits


def _grown(group: Group, meetings: dict[int, dict[int, _Cut]]) -> list[Group]:
    """The group with one more piece that meets it, where the cut between isn't surely a seam."""
    across: dict[int, list[_Cut]] = defaultdict(list)
    for member in group:
        for other, cut in meetings[member].items():
            if other not in group:
                across[other].append(cut)
    return [group | {other} for other, cuts in across.items() if _mean_logit(cuts) < _SURE_SEAM]


def _mean_logit(cuts: list[_Cut]) -> float:
    return sum(cut.logit * cut.length for cut in cuts) / sum(cut.length for cut in cuts)


def _cost(
    group: Group, shape: tuple[StripFit, float], meetings: dict[int, dict[int, _Cut]], cut_width_mm: float
) -> float:
    fit, area = shape
    seams = sum(
        cut.logit * cut.length
        for member in group
        for other, cut in meetings[member].items()
        if other in group and other > member
    )
    too_wide = max(0.0, float(np.log(max(fit.width_px, 1.0) * MM_PER_PX / (_WIDER_THAN_CUT * cut_width_mm))))
    misfit = max(fit.misfit - _MISFIT_FREE, 0.0) * area
    return _A_FRY + _A_SEAM * seams + _A_MISFIT * misfit + _A_WIDTH * too_wide


def _cheapest_cover(groups: list[Group], cost: FloatArray, pieces: int) -> list[Group]:
    """Groups that hold every piece exactly once, at the least cost."""
    rows = [member - 1 for group in groups for member in group]
    columns = [column for column, group in enumerate(groups) for _ in group]
    holds = csc_matrix((np.ones(len(rows)), (rows, columns)), shape=(pieces, len(groups)))
    solution = milp(
        cost,
        constraints=LinearConstraint(holds, 1, 1),
        integrality=np.ones(len(groups), np.int64),
        bounds=Bounds(0, 1),
        options={"time_limit": _SECONDS},
    )
    if solution.x is None:  # out of time before a first cover was found: leave the pieces as they are
        return [frozenset([number]) for number in range(1, pieces + 1)]
    return [group for group, taken in zip(groups, solution.x, strict=True) if taken > 0.5]

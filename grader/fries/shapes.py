"""The pixels of each piece, and the strip that fits a group of them."""

from collections.abc import Sequence
from itertools import compress, pairwise

import numpy as np

from grader.arrays import FloatArray, IntArray, LabelArray
from grader.fries.strip import StripFit, fit_strip

Group = frozenset[int]
"""Numbers of the pieces that are taken for one fry."""

_LEAST_FILL = 0.45
"""Area over that of the bar with the same second moments: 1 for a bar, less the more it is bent, branched or hollow."""


class Shapes:
    """Of the pieces of a picture (h, w), what adds up over a group of them."""

    def __init__(self, labels: IntArray | LabelArray) -> None:
        self._covered = labels > 0
        places = np.flatnonzero(self._covered)
        number = labels.ravel()[places]
        number = number.astype(np.min_scalar_type(number.max()))  # few bytes a number are sorted far faster
        y, x = np.array(np.divmod(places[np.argsort(number, kind="stable")], labels.shape[1]), float)
        ends = np.cumsum(np.bincount(number))
        self._points = [np.zeros((0, 2))] + [np.stack([x[a:b:2], y[a:b:2]]).T for a, b in pairwise(ends)]
        sums = [np.add.reduceat(power, ends[:-1]) for power in (np.ones(len(x)), x, y, x * x, x * y, y * y)]
        self._moments = np.concatenate([np.zeros((1, 6)), np.column_stack(sums)])

    def moments(self, group: Group) -> FloatArray:
        """(6,) sums of 1, x, y, xx, xy, yy over its pixels."""
        return np.asarray(self._moments[list(group)].sum(axis=0))

    def area(self, group: Group) -> float:
        """How many pixels it has."""
        return float(self._moments[list(group), 0].sum())

    def may_be_strips(self, groups: Sequence[Group], *, widest_px: float) -> list[Group]:
        """Those that may be, by second moments alone: quick to say that one without a gap is certainly no strip."""
        bars = Bars(np.array([self.moments(group) for group in groups]).reshape(-1, 6))
        may = (bars.area > _LEAST_FILL * bars.length * bars.width) & (bars.width < widest_px)
        return list(compress(groups, may))

    def fit(self, group: Group) -> StripFit:
        """The strip that fits it."""
        points = np.concatenate([self._points[member] for member in sorted(group)])
        return fit_strip(points, self.area(group), self._covered)


class Bars:
    """The bars with the second moments of n groups (n, 6): area (n,), centre (n, 2), length and width (n,), px."""

    def __init__(self, moments: FloatArray) -> None:
        area, sx, sy, sxx, sxy, syy = moments.T
        xx, xy, yy = sxx / area - (sx / area) ** 2, sxy / area - sx * sy / area**2, syy / area - (sy / area) ** 2
        middle, half = (xx + yy) / 2, np.hypot((xx - yy) / 2, xy)
        self.area = area
        self.centre = np.column_stack([sx / area, sy / area])
        self.length, self.width = _side(middle + half), _side(middle - half)
        self._xx, self._xy, self._yy = xx, xy, yy

    def extent(self, way: FloatArray) -> FloatArray:
        """(n,) how far each reaches along a direction of its own (n, 2)."""
        x, y = way.T
        return _side(self._xx * x * x + 2 * self._xy * x * y + self._yy * y * y)


def _side(variance: FloatArray) -> FloatArray:
    """Of a bar of pixels, from the variance along it."""
    return np.asarray(np.sqrt(12 * np.maximum(variance, 0) + 1))

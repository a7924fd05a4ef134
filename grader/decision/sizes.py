"""Lengths and widths of a batch's fries as columns, and how probably each lies beyond a limit.

What all sizes of a photo are off by together (the sheet's scale, the lens, how high the plate stands) doesn't average
out over fries: a share is counted for each size of that error, weighted by how probable it is.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass

import numpy as np
from scipy.special import ndtr

from grader.arrays import FloatArray, MaskArray
from grader.decision.forms import LEAST_U
from grader.fries.model import Measured

_NODES, _WEIGHTS = np.polynomial.hermite_e.hermegauss(5)
"""How far all are off together, in standard uncertainties, and how probably: Gauss-Hermite quadrature, exact for what
depends on it by a polynomial up to degree 9. A share depends on it far more smoothly than that."""

Scenarios = list[tuple[float, FloatArray]]
"""Weights that sum to 1, and the fries' probabilities (n,) in each case."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Sizes:
    """Columns (n,), mm: nan where a fry has none.

    `own_u` is its own standard uncertainty, `shared_u` how far one of the error that all of its photo share moves it.
    The photos of a batch show the same card by the same phone: that error is taken to be one for all of them.
    """

    mm: FloatArray
    own_u: FloatArray
    shared_u: FloatArray

    @property
    def known(self) -> MaskArray:
        """(n,) which fries have it."""
        return ~np.isnan(self.mm)

    def of(self, kept: MaskArray) -> "Sizes":
        """Those of some fries only."""
        return Sizes(mm=self.mm[kept], own_u=self.own_u[kept], shared_u=self.shared_u[kept])

    def below(self, limit_mm: float, error: float = 0.0) -> FloatArray:
        """(n,) probability of each to be below a limit if all are off by so many standard uncertainties."""
        return np.asarray(ndtr((limit_mm - self.mm - error * self.shared_u) / self.own_u), float)

    def scenarios(self, chances: Callable[[float], FloatArray]) -> Scenarios:
        """What `chances` gives for each error that all share, with its weight."""
        if not np.nansum(self.shared_u):
            return [(1.0, chances(0.0))]
        weights = _WEIGHTS / _WEIGHTS.sum()
        return [(float(weight), chances(float(error))) for weight, error in zip(weights, _NODES, strict=True)]


def size_columns(measured: Iterable[Measured | None]) -> Sizes:
    """The columns of a batch's lengths, or widths."""
    nothing = (np.nan, np.nan, np.nan)
    table = np.array([nothing if one is None else (one.value, one.u, one.shared_u) for one in measured], float)
    mm, u, shared_u = table.reshape(-1, 3).T
    return Sizes(mm=mm, own_u=np.sqrt(np.maximum(u**2 - shared_u**2, LEAST_U**2)), shared_u=shared_u)

"""Factors of Shewhart charts for normal readings in subgroups of n, each from its closed form or its integral.

Nothing is read from a printed table, so any n will do and no digit is lost; the tests hold them against tables.
Source of the definitions: ISO 7870-2:2013, table 2 (from memory); of the integrals of the range: L. H. C. Tippett,
Biometrika 17 (1925) 364-387 (from memory).
"""

from dataclasses import dataclass
from functools import cache

import numpy as np
from scipy.special import gammaln, ndtr

from grader.arrays import FloatArray

_REACH = 9.0
"""Standard deviations: beyond it there is nothing left to integrate, whatever n."""
_STEPS = 721
_NODES = 120


@dataclass(frozen=True, slots=True, kw_only=True)
class Shewhart:
    """For subgroups of `n`: what a sample's standard deviation and range come to, and three-sigma factors.

    Attributes
    ----------
    c4, d2
        Mean of the sample's standard deviation, and of its range, in units of the true standard deviation.
    d3
        Standard deviation of the range, in the same unit.
    """

    n: int
    c4: float
    d2: float
    d3: float

    @property
    def a(self) -> float:
        """Limits of means: centre ± A sigma."""
        return 3 / float(np.sqrt(self.n))

    @property
    def a2(self) -> float:
        """Limits of means: centre ± A2 mean range."""
        return self.a / self.d2

    @property
    def a3(self) -> float:
        """Limits of means: centre ± A3 mean standard deviation."""
        return self.a / self.c4

    @property
    def b5_b6(self) -> tuple[float, float]:
        """Limits of standard deviations, in units of sigma."""
        reach = 3 * float(np.sqrt(1 - self.c4**2))
        return max(self.c4 - reach, 0.0), self.c4 + reach

    @property
    def b3_b4(self) -> tuple[float, float]:
        """Limits of standard deviations, in units of their mean."""
        low, high = self.b5_b6
        return low / self.c4, high / self.c4

    @property
    def d1_d2(self) -> tuple[float, float]:
        """Limits of ranges, in units of sigma (D1 and D2 of the tables, not `d2`)."""
        return max(self.d2 - 3 * self.d3, 0.0), self.d2 + 3 * self.d3

    @property
    def d3_d4(self) -> tuple[float, float]:
        """Limits of ranges, in units of their mean (D3 and D4 of the tables, not `d3`)."""
        low, high = self.d1_d2
        return low / self.d2, high / self.d2


@cache
def shewhart(n: int) -> Shewhart:
    """The factors for subgroups of n.

    Raises
    ------
    ValueError
        n is below 2: one reading has neither a standard deviation nor a range.
    """
    if n < 2:
        raise ValueError(f"A subgroup of {n} has no standard deviation.")
    mean, square = _range_moments(n)
    return Shewhart(n=n, c4=c4(n), d2=mean, d3=float(np.sqrt(square - mean**2)))


def c4(n: float) -> float:
    """Mean of the standard deviation of n readings, in units of the true one: sqrt(2 / (n-1)) G(n/2) / G((n-1)/2).

    `n` - 1 may be degrees of freedom that are no whole number.
    """
    return float(np.sqrt(2 / (n - 1)) * np.exp(gammaln(n / 2) - gammaln((n - 1) / 2)))


def _range_moments(n: int) -> tuple[float, float]:
    """Mean and mean square of the range of n standard normal readings: integrals over w of P(range > w) and 2 w P."""
    nodes, weights = np.polynomial.legendre.leggauss(_NODES)
    w, weight = _REACH * (nodes + 1), _REACH * weights
    beyond = 1 - _range_within(w, n)
    return float(weight @ beyond), float(weight @ (2 * w * beyond))


def _range_within(w: FloatArray, n: int) -> FloatArray:
    """P(range <= w), (k,): n times the integral over x of phi(x) (Phi(x + w) - Phi(x))^(n-1), x being the smallest."""
    x = np.linspace(-_REACH, _REACH, _STEPS)
    density = np.exp(-(x**2) / 2) / np.sqrt(2 * np.pi)
    inside = np.asarray(ndtr(x[None, :] + w[:, None]) - ndtr(x)[None, :], float)
    return np.asarray(n * np.trapezoid(density * inside ** (n - 1), x, axis=1), float)

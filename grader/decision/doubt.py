"""The doubt of a figure: a part that is surely known, and a part that was itself estimated from few.

The first is normal, the second a t distribution scaled by its standard uncertainty, and they add: the distribution
that JCGM 101:2008 (GUM Supplement 1) gives such a sum. One t distribution with degrees of freedom after Welch and
Satterthwaite states too little where two plates did the estimating: it was wrong 12 times in 100 where it said 5.
"""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from scipy.optimize import brentq
from scipy.special import ndtr, ndtri, stdtr, stdtrit

_SURELY_KNOWN = 1e6
"""From so many degrees of freedom on a t distribution is the normal one."""
_LEAST = 1e-9
"""A figure without any doubt would divide by zero."""
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(64)
_AT = (_NODES + 1) / 2
_FARTHEST = 8.5
"""Standard uncertainties beyond which a normal distribution has nothing left."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Doubt:
    """Standard uncertainties of the two parts, and the degrees of freedom of the second."""

    known_u: float
    estimated_u: float = 0.0
    freedom: float = float("inf")

    @property
    def u(self) -> float:
        """Standard uncertainty: both parts together."""
        return max(float(np.hypot(self.known_u, self.estimated_u)), _LEAST)

    def below(self, error: float) -> float:
        """Probability that the true figure is less than the measured one plus `error`."""
        if self.freedom >= _SURELY_KNOWN or self.estimated_u <= _LEAST:
            return float(ndtr(error / self.u))
        if self.known_u <= _LEAST:
            return float(stdtr(self.freedom, error / self.estimated_u))
        # Summed over the known part. Where that alone makes the error up the estimated one changes sides, however small
        # it is: there the sum is parted. Its long tails count as well, so it isn't summed over quantiles.
        edges = (-_FARTHEST, float(np.clip(error / self.known_u, -_FARTHEST, _FARTHEST)), _FARTHEST)
        return sum(self._below(error, low, high) for low, high in pairwise(edges))

    def _below(self, error: float, low: float, high: float) -> float:
        """What `below` gets from where the known part is `low` to `high` of its standard uncertainties."""
        at = low + (high - low) * _AT
        given = stdtr(self.freedom, (error - self.known_u * at) / self.estimated_u)
        return float(_WEIGHTS @ (np.exp(-at * at / 2) * given)) * (high - low) / 2 / float(np.sqrt(2 * np.pi))

    def reach(self, probability: float) -> float:
        """The true figure is less than the measured one plus this with that probability."""
        if self.freedom >= _SURELY_KNOWN or self.estimated_u <= _LEAST:
            return float(ndtri(probability)) * self.u
        if self.known_u <= _LEAST:
            return self.estimated_u * float(stdtrit(self.freedom, probability))
        if probability < 0.5:
            return -self.reach(1 - probability)
        high = self.u
        while self.below(high) < probability:
            high *= 2
        return float(brentq(lambda error: self.below(error) - probability, -self.u, high, xtol=1e-9 * self.u))

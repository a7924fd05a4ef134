"""Variances made of mean squares, with confidence limits.

Limits of sums: F. A. Graybill, C. M. Wang, J. Amer. Statist. Assoc. 75 (1980) 869-873; of differences: N. Ting, R. K.
Burdick, F. A. Graybill, S. Jeyaratnam, T.-F. C. Lu, J. Statist. Comput. Simul. 35 (1990) 135-143, without their term
for several mean squares of one sign. For gauge studies R. K. Burdick, C. M. Borror, D. C. Montgomery, J. Qual. Technol.
35 (2003) 342-354, review them. All from memory: the tests count how often the limits hold the truth.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy import stats

CONFIDENCE = 0.95
_TAIL = (1 - CONFIDENCE) / 2


@dataclass(frozen=True, slots=True, kw_only=True)
class MeanSquare:
    """A mean square and its degrees of freedom."""

    value: float
    freedom: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Component:
    """A variance, never below 0, with its 95 % limits."""

    variance: float
    low: float
    high: float

    @property
    def sd(self) -> float:
        """Its root."""
        return float(self.variance**0.5)


def combined(terms: Sequence[tuple[float, MeanSquare]]) -> Component:
    """The variance that a weighted sum of mean squares estimates; weights may lie below 0, those of 0 are left out."""
    used = [(weight, square) for weight, square in terms if weight]
    value = sum(weight * square.value for weight, square in used)
    low = value - float(np.sqrt(max(_below(used), 0.0)))
    high = value + float(np.sqrt(max(_above(used), 0.0)))
    return Component(variance=max(value, 0.0), low=max(low, 0.0), high=max(high, 0.0))


def _shrunk(freedom: int) -> float:
    return 1 - freedom / float(stats.chi2.ppf(1 - _TAIL, freedom))


def _grown(freedom: int) -> float:
    return freedom / float(stats.chi2.ppf(_TAIL, freedom)) - 1


def _below(terms: Sequence[tuple[float, MeanSquare]]) -> float:
    """The square of how far the lower limit lies below."""
    total = sum((_shrunk(s.freedom) if w > 0 else _grown(s.freedom)) ** 2 * (w * s.value) ** 2 for w, s in terms)
    for weight, square in terms:
        for other_weight, other in terms:
            if weight > 0 > other_weight:
                f = float(stats.f.ppf(1 - _TAIL, square.freedom, other.freedom))
                mixed = ((f - 1) ** 2 - (_shrunk(square.freedom) * f) ** 2 - _grown(other.freedom) ** 2) / f
                total += mixed * weight * square.value * -other_weight * other.value
    return total


def _above(terms: Sequence[tuple[float, MeanSquare]]) -> float:
    """The square of how far the upper limit lies above."""
    total = sum((_grown(s.freedom) if w > 0 else _shrunk(s.freedom)) ** 2 * (w * s.value) ** 2 for w, s in terms)
    for weight, square in terms:
        for other_weight, other in terms:
            if weight > 0 > other_weight:
                f = float(stats.f.ppf(_TAIL, square.freedom, other.freedom))
                mixed = ((1 - f) ** 2 - (_grown(square.freedom) * f) ** 2 - _shrunk(other.freedom) ** 2) / f
                total += mixed * weight * square.value * -other_weight * other.value
    return total

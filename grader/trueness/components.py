"""Where differences come from: pieces, photos and the rest, as variances, for any number of readings of each.

Source: the analysis of variance of J. M. Bland, D. G. Altman, "Agreement between methods of measurement with multiple
observations per individual", J. Biopharm. Stat. 17 (2007) 571-582, for unequal numbers of readings. It knows one
factor, the subject; here each factor is adjusted for all others, which is Henderson's third method (C. R. Henderson,
Biometrics 9 (1953) 226-252; from memory) and with one factor gives their figures.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from grader.arrays import FloatArray, IntArray
from grader.errors import GraderError


class TooFewReadingsError(GraderError, ValueError):
    """So few readings say nothing of how they scatter."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """What one factor adds.

    Attributes
    ----------
    variance
        Never below 0: an estimate below it is put there.
    mean_square, freedom
        Of the factor, adjusted for all others; freedom 0 where it can't be told from another factor.
    weight
        The variance is `weight` times (this mean square less that of the rest).
    share_of_mean
        What is left of the variance in the plain mean of all readings: the sum of squared shares of its levels.
    """

    variance: float
    mean_square: float
    freedom: int
    weight: float
    share_of_mean: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Components:
    """The plain mean of all readings, the factors in their order, and the rest that no factor explains."""

    mean: float
    parts: tuple[Part, ...]
    rest: float
    rest_freedom: int
    count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Variance:
    """A variance and how surely it is known, as degrees of freedom (Satterthwaite)."""

    value: float
    freedom: float


def fit_components(readings: FloatArray, factors: Sequence[IntArray]) -> Components:
    """Variance components of readings (n,) by factors, each (n,) whole numbers that name a level.

    Raises
    ------
    TooFewReadingsError
        Nothing is left over to estimate the rest from.
    """
    columns = [_indicators(levels) for levels in factors]
    everything = _fit(readings, columns)
    freedom = len(readings) - everything.rank
    if freedom < 1:
        raise TooFewReadingsError(
            f"{len(readings)} readings are too few to tell pieces, photos and chance apart.",
            hint="Take the photos that are missing: every piece must be met in several.",
        )
    rest = everything.squares / freedom
    parts = tuple(_part(readings, columns, one, everything, rest) for one in range(len(columns)))
    return Components(mean=float(readings.mean()), parts=parts, rest=rest, rest_freedom=freedom, count=len(readings))


def variance_of_one(components: Components) -> Variance:
    """Variance of a single reading: all parts and the rest together."""
    return _together(components, [1.0] * len(components.parts), 1.0)


def variance_of_mean(components: Components) -> Variance:
    """Variance of the mean: what pieces and photos share does not shrink with the number of readings of each."""
    return _together(components, [part.share_of_mean for part in components.parts], 1 / components.count)


def _together(components: Components, shares: Sequence[float], rest_share: float) -> Variance:
    """Shares of the parts and of the rest, added; freedom of a sum of mean squares after Satterthwaite (1946)."""
    counted = [(part, share) for part, share in zip(components.parts, shares, strict=True) if part.variance > 0]
    value = sum(share * part.variance for part, share in counted) + rest_share * components.rest
    rest_share -= sum(share * part.weight for part, share in counted)
    doubt = sum((share * part.weight * part.mean_square) ** 2 / part.freedom for part, share in counted)
    doubt += (rest_share * components.rest) ** 2 / components.rest_freedom
    return Variance(value=value, freedom=value**2 / doubt if doubt > 0 else float(components.rest_freedom))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Fitted:
    squares: float
    rank: int
    basis: FloatArray


def _indicators(levels: IntArray) -> FloatArray:
    return np.asarray(levels[:, None] == np.unique(levels)[None], float)


def _fit(readings: FloatArray, columns: Sequence[FloatArray]) -> _Fitted:
    """Least squares on a constant and all columns: what is left over, and an orthonormal basis of what was fitted."""
    design = np.hstack([np.ones((len(readings), 1)), *columns])
    left, sizes, _ = np.linalg.svd(design, full_matrices=False)
    basis = left[:, sizes > sizes[0] * 1e-9]
    left_over = readings - basis @ (basis.T @ readings)
    return _Fitted(squares=float(left_over @ left_over), rank=basis.shape[1], basis=basis)


def _part(readings: FloatArray, columns: Sequence[FloatArray], one: int, everything: _Fitted, rest: float) -> Part:
    others = _fit(readings, [column for index, column in enumerate(columns) if index != one])
    indicators = columns[one]
    freedom = everything.rank - others.rank
    shares = float(np.sum(indicators.mean(axis=0) ** 2))
    if freedom == 0:
        return Part(variance=0.0, mean_square=0.0, freedom=0, weight=0.0, share_of_mean=shares)
    mean_square = max(others.squares - everything.squares, 0.0) / freedom
    trace = float(indicators.sum() - np.sum((others.basis.T @ indicators) ** 2))
    weight = freedom / trace
    return Part(
        variance=max(weight * (mean_square - rest), 0.0),
        mean_square=mean_square,
        freedom=freedom,
        weight=weight,
        share_of_mean=shares,
    )

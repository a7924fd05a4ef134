"""Bias and limits of agreement of readings against known values, each with its confidence limits.

Limits of agreement, mean -+ 1.96 standard deviations: J. M. Bland, D. G. Altman, Lancet 327 (1986) 307-310, and, for
several readings of each piece, J. Biopharm. Stat. 17 (2007) 571-582. Their confidence limits: G. Y. Zou, "Confidence
interval estimation for the Bland-Altman limits of agreement with multiple observations per individual", Stat. Methods
Med. Res. 22 (2013) 630-642, who joins the limits of the mean and of the standard deviation (from memory; the tests
check how often they hold the truth). E_n: ISO 13528, as NIST's handbook of Dataplot gives it.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy import stats

from grader.arrays import FloatArray, IntArray
from grader.trueness.components import Components, Variance, fit_components, variance_of_mean, variance_of_one
from grader.trueness.model import Compared, Quantity

_CONFIDENCE = 0.95
_Z = float(stats.norm.ppf(0.5 + _CONFIDENCE / 2))
_EXPANSION = 2.0
"""The factor from standard to expanded uncertainty in E_n (k = 2)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Interval:
    """An estimate with its 95 % confidence limits."""

    value: float
    low: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Agreement:
    """How readings of one quantity agree with what is known; differences are read minus known, in its unit.

    Attributes
    ----------
    light
        Under which light; None for all together.
    bias, bias_u
        Mean difference, and its standard uncertainty: of the draw of pieces and photos, of chance, and of the
        reference, which all its pieces are taken to share in full.
    sd, sd_pieces, sd_photos, sd_rest
        Standard deviation of a single difference, and its parts: from piece to piece, from photo to photo, the rest.
    lower, upper
        Limits of agreement: 19 of 20 single readings lie between them.
    within_u
        Share of differences within 1.96 of their own stated uncertainty (read and known together).
    within_en
        Share with |E_n| <= 1, E_n = difference / sqrt(U_read^2 + U_known^2), U = 2 u.
    """

    quantity: Quantity
    light: str | None
    readings: int
    pieces: int
    photos: int
    bias: Interval
    bias_u: float
    sd: float
    sd_pieces: float
    sd_photos: float
    sd_rest: float
    lower: Interval
    upper: Interval
    within_u: float
    within_en: float


def agreement_of(compared: Sequence[Compared], *, light: str | None = None) -> Agreement:
    """Agreement over comparisons of one quantity; only those under `light` where it is given.

    Raises
    ------
    TooFewReadingsError
        The readings are too few.
    """
    chosen = [one for one in compared if light is None or one.light == light]
    differences = np.array([one.difference for one in chosen])
    pieces, photos = levels_of([one.piece for one in chosen]), levels_of([one.photo for one in chosen])
    components = fit_components(differences, [pieces, photos])
    reference_u = float(np.mean([one.known.u for one in chosen]))
    bias, bias_u = bias_interval(components, reference_u=reference_u)
    lower, upper = limits_of_agreement(components, bias)
    stated_u = np.hypot([one.read.u for one in chosen], [one.known.u for one in chosen])
    by_piece, by_photo = components.parts
    return Agreement(
        quantity=chosen[0].quantity,
        light=light,
        readings=len(chosen),
        pieces=int(pieces.max()) + 1,
        photos=int(photos.max()) + 1,
        bias=bias,
        bias_u=bias_u,
        sd=variance_of_one(components).value ** 0.5,
        sd_pieces=by_piece.variance**0.5,
        sd_photos=by_photo.variance**0.5,
        sd_rest=components.rest**0.5,
        lower=lower,
        upper=upper,
        within_u=float(np.mean(np.abs(differences) <= _Z * stated_u)),
        within_en=float(np.mean(np.abs(e_n(differences, stated_u)) <= 1)),
    )


def levels_of(names: Sequence[str]) -> IntArray:
    """(n,) a whole number from 0 for each name, the same for the same name."""
    return np.unique(np.array(names), return_inverse=True)[1].astype(np.int64)


def e_n(differences: FloatArray, u: FloatArray) -> FloatArray:
    """(n,) E_n scores (ISO 13528) of differences with standard uncertainties (n,) of both sides together."""
    return np.asarray(differences / (_EXPANSION * u), float)


def bias_interval(components: Components, *, reference_u: float) -> tuple[Interval, float]:
    """The mean with its confidence limits, and its standard uncertainty.

    The reference's own uncertainty doesn't shrink with the number of pieces: one caliper measured them all.
    """
    sampled = variance_of_mean(components)
    value = sampled.value + reference_u**2
    # Welch-Satterthwaite: the reference's uncertainty is taken as known, so only the sampled part has doubt.
    freedom = sampled.freedom * (value / sampled.value) ** 2 if sampled.value > 0 else np.inf
    u = value**0.5
    half = float(stats.t.ppf(0.5 + _CONFIDENCE / 2, freedom)) * u
    return Interval(value=components.mean, low=components.mean - half, high=components.mean + half), u


def limits_of_agreement(components: Components, bias: Interval) -> tuple[Interval, Interval]:
    """The lower and the upper limit of agreement, each with its confidence limits (Zou 2013)."""
    single = variance_of_one(components)
    sd, (sd_low, sd_high) = single.value**0.5, _sd_limits(single)
    below, above = bias.value - bias.low, bias.high - bias.value
    lower = Interval(
        value=bias.value - _Z * sd,
        low=bias.value - _Z * sd - float(np.hypot(below, _Z * (sd_high - sd))),
        high=bias.value - _Z * sd + float(np.hypot(above, _Z * (sd - sd_low))),
    )
    upper = Interval(
        value=bias.value + _Z * sd,
        low=bias.value + _Z * sd - float(np.hypot(below, _Z * (sd - sd_low))),
        high=bias.value + _Z * sd + float(np.hypot(above, _Z * (sd_high - sd))),
    )
    return lower, upper


def _sd_limits(variance: Variance) -> tuple[float, float]:
    """Confidence limits of a standard deviation: chi-square."""
    tail = (1 - _CONFIDENCE) / 2
    sum_of_squares = variance.value * variance.freedom
    low = sum_of_squares / float(stats.chi2.ppf(1 - tail, variance.freedom))
    high = sum_of_squares / float(stats.chi2.ppf(tail, variance.freedom))
    return low**0.5, high**0.5

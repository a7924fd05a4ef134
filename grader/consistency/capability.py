"""Whether a kitchen's fries keep within the house's range: Cp, Cpk, Pp, Ppk with intervals, and what makes the spread.

Cp and Cpk take the spread within batches (fries and plates of one batch), Pp and Ppk all of it (batches too).

Sources: NIST/SEMATECH e-Handbook of Statistical Methods 6.1.6 for the indices and the chi-square interval of Cp; that
of one side's index by the noncentral t distribution, which for one plain sample is exact (A. F. Bissell, Appl. Statist.
39 (1990) 331-340, gives the normal approximation that the handbook prints; from memory). With plates and batches in the
spread, degrees of freedom are Satterthwaite's, and the tests count how often the intervals hold the truth.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy import stats
from scipy.optimize import brentq

from grader.consistency.reml import Blocks, Contrast, TooLittleToTellError, fit_reml

CONFIDENCE = 0.95
_TAIL = (1 - CONFIDENCE) / 2
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(128)
_AT = (_NODES + 1) / 2
"""Probabilities at which the estimated standard deviation is looked at, to sum over what it may be."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SpreadPlate:
    """A plate's fries in short: the batch that it is of, their mean, standard deviation and number.

    `outside` of the fries were found outside the range; None where nobody counted.
    """

    batch: str
    mean: float
    sd: float
    fries: int
    outside: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Index:
    """An estimate with its 95 % interval."""

    value: float
    low: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """A standard deviation with its 95 % interval, and the degrees of freedom of its square."""

    sd: float
    low: float
    high: float
    freedom: float


def plain_spread(sd: float, freedom: float) -> Spread:
    """That of one plain sample (chi-square)."""
    low, high = _limits(sd**2, freedom)
    return Spread(sd=sd, low=float(np.sqrt(low)), high=float(np.sqrt(high)), freedom=freedom)


def _limits(variance: float, freedom: float) -> tuple[float, float]:
    high, low = (float(stats.chi2.ppf(tail, freedom)) for tail in (_TAIL, 1 - _TAIL))
    return variance * freedom / low, variance * freedom / high


def _joined_spread(fries: Spread, of_mean: float, between: float, doubt: float) -> Spread:
    """The spread of fries and of what their plates differ by; one may be known far better than the other.

    What is known of plates is how their means scatter, `between` and the share `of_mean` of the fries' variance: that
    is never near nothing. Its limits and those of the rest are joined by squares (Zou).
    """
    if doubt <= 0:  # plates differ by no more than their fries make them
        return fries
    means, rest = between + of_mean * fries.sd**2, 1 - of_mean
    low, high = _limits(means, max(2 * means**2 / doubt, 1.0))
    below = (rest * (fries.sd**2 - fries.low**2)) ** 2 + (means - low) ** 2
    above = (rest * (fries.high**2 - fries.sd**2)) ** 2 + (high - means) ** 2
    whole = fries.sd**2 + max(between, 0.0)
    return Spread(
        sd=float(np.sqrt(whole)),
        low=float(np.sqrt(max(whole - np.sqrt(below), 0.0))),
        high=float(np.sqrt(whole + np.sqrt(above))),
        freedom=2 * whole**2 / (doubt * (between > 0) + 2 * fries.sd**4 / fries.freedom),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Capability:
    """What fries do within a range.

    Attributes
    ----------
    low, high
        The range; None on a side that has no limit.
    mean
        Over all batches, each weighing as it tells.
    sd_fries, sd_plates, sd_batches
        Within a plate, between plates of a batch, between batches; None where it can't be told apart.
    cp, cpk
        By the spread within batches; None where no batch holds two plates. `cp` and `pp` need both limits.
    pp, ppk
        By all of the spread; None where all plates are of one batch.
    expected_outside
        Share of fries expected outside, from mean and whole spread taken as normal.
    counted_outside
        Share found outside; None where nobody counted.
    method_sd
        What the method's own doubt makes of the spread, where it is known.
    without_method
        The expected share with that taken off.
    """

    low: float | None
    high: float | None
    mean: Index
    sd_fries: float
    sd_plates: float | None
    sd_batches: float | None
    within: Spread | None
    whole: Spread
    cp: Index | None
    cpk: Index | None
    pp: Index | None
    ppk: Index | None
    expected_outside: Index
    counted_outside: float | None
    method_sd: float | None
    without_method: float | None
    plates: int
    batches: int
    fries: int


def capability_of(
    plates: Sequence[SpreadPlate], *, low: float | None, high: float | None, method_sd: float | None = None
) -> Capability:
    """Capability of fries that lie on plates, plates that are of batches.

    Raises
    ------
    TooLittleToTellError
        Fewer than two plates, or no plate of two fries.
    ValueError
        There is no limit on either side, or the lower lies above the upper.
    """
    if (low is None and high is None) or (low is not None and high is not None and low >= high):
        raise ValueError(f"a range needs a limit, and its lower one below its upper one: {low} to {high}")
    parts = _parts(plates)
    within = parts.within
    whole_known = parts.whole if parts.batches > 1 else None
    outside = _expected(parts.mean, parts.whole, low, high)
    return Capability(
        low=low,
        high=high,
        mean=_mean_interval(parts.mean),
        sd_fries=parts.sd_fries,
        sd_plates=parts.sd_plates,
        sd_batches=parts.sd_batches,
        within=within,
        whole=parts.whole,
        cp=None if within is None else both_sides(within, low, high),
        cpk=None if within is None else nearest_side(parts.mean, within, low, high),
        pp=None if whole_known is None else both_sides(whole_known, low, high),
        ppk=None if whole_known is None else nearest_side(parts.mean, whole_known, low, high),
        expected_outside=outside,
        counted_outside=_counted(plates),
        method_sd=method_sd,
        without_method=_without(parts.mean.value, parts.whole.sd, low, high, method_sd),
        plates=len(plates),
        batches=parts.batches,
        fries=sum(plate.fries for plate in plates),
    )


def both_sides(spread: Spread, low: float | None, high: float | None) -> Index | None:
    """Width of the range over six standard deviations, with the interval of those."""
    if low is None or high is None:
        return None
    sixth = (high - low) / 6
    return Index(value=sixth / spread.sd, low=sixth / spread.high, high=sixth / spread.low)


def nearest_side(mean: Contrast, spread: Spread, low: float | None, high: float | None) -> Index:
    """Distance from the mean to the nearer limit over three standard deviations; below 0 where the mean is outside."""
    sides = _sides(mean, spread, low, high)
    return Index(
        value=min(side.value for side in sides),
        low=min(side.low for side in sides),
        high=min(side.high for side in sides),
    )


def _sides(mean: Contrast, spread: Spread, low: float | None, high: float | None) -> list[Index]:
    rooms = [] if low is None else [mean.value - low]
    rooms += [] if high is None else [high - mean.value]
    return [_one_side(room, mean, spread) for room in rooms]


def _one_side(room: float, mean: Contrast, spread: Spread) -> Index:
    """Room over three standard deviations: room / u is noncentral t with centre 3 index sd / u.

    The mean's own u was estimated too, mostly from batches while the spread comes mostly of fries: what is normal in
    that distribution is t here, with the mean's degrees of freedom.
    """
    stretch = 3 * spread.sd / mean.u
    seen = room / mean.u

    shares = np.sqrt(stats.chi2.ppf(_AT, spread.freedom) / spread.freedom)

    def centre(probability: float) -> float:
        def over(at: float) -> float:
            return float(_WEIGHTS @ stats.t.cdf(seen * shares - at, mean.freedom)) / 2 - probability

        reach = abs(seen) + 10.0
        while not over(seen - reach) > 0 > over(seen + reach):  # t has long tails where few batches tell the mean
            reach *= 2
        return float(brentq(over, seen - reach, seen + reach))

    return Index(value=seen / stretch, low=centre(1 - _TAIL) / stretch, high=centre(_TAIL) / stretch)


def _expected(mean: Contrast, spread: Spread, low: float | None, high: float | None) -> Index:
    sides = _sides(mean, spread, low, high)
    return Index(
        value=float(sum(stats.norm.sf(3 * side.value) for side in sides)),
        low=float(max(stats.norm.sf(3 * side.high) for side in sides)),
        high=min(float(sum(stats.norm.sf(3 * side.low) for side in sides)), 1.0),
    )


def _without(mean: float, sd: float, low: float | None, high: float | None, method_sd: float | None) -> float | None:
    if method_sd is None or method_sd >= sd:
        return None
    true = float(np.sqrt(sd**2 - method_sd**2))
    below = 0.0 if low is None else float(stats.norm.cdf((low - mean) / true))
    above = 0.0 if high is None else float(stats.norm.sf((high - mean) / true))
    return below + above


def _counted(plates: Sequence[SpreadPlate]) -> float | None:
    if any(plate.outside is None for plate in plates):
        return None
    return sum(plate.outside or 0 for plate in plates) / sum(plate.fries for plate in plates)


def _mean_interval(mean: Contrast) -> Index:
    half = float(stats.t.ppf(1 - _TAIL, mean.freedom)) * mean.u
    return Index(value=mean.value, low=mean.value - half, high=mean.value + half)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Parts:
    mean: Contrast
    sd_fries: float
    sd_plates: float | None
    sd_batches: float | None
    within: Spread | None
    whole: Spread
    batches: int


def _parts(plates: Sequence[SpreadPlate]) -> _Parts:
    """Variances within plates, between plates of a batch, between batches, as far as the plates tell them."""
    freedom = sum(plate.fries - 1 for plate in plates)
    if len(plates) < 2 or freedom < 1:
        raise TooLittleToTellError(
            "One plate doesn't tell how far plates differ.", hint="Take plates of several batches, two or more of each."
        )
    fries = sum((plate.fries - 1) * plate.sd**2 for plate in plates) / freedom
    names = list(dict.fromkeys(plate.batch for plate in plates))
    members = [[index for index, plate in enumerate(plates) if plate.batch == name] for name in names]
    several = max(len(indices) for indices in members)
    kinds = ["plates"] * (several > 1) + ["batches"] * (len(names) > 1)
    fit = fit_reml(_blocks(plates, members, fries, kinds))
    of_mean = float(np.mean([1 / plate.fries for plate in plates]))
    known = dict(zip(kinds, fit.variances.tolist(), strict=True))

    def spread(*of: str) -> Spread:
        weights = np.array([float(kind in of) for kind in kinds])
        between = float(weights @ fit.variances)
        doubt = float(weights @ fit.variances_covariance @ weights)
        return _joined_spread(plain_spread(float(np.sqrt(fries)), freedom), of_mean, between, doubt)

    return _Parts(
        mean=fit.contrast(np.ones(1)),
        sd_fries=float(np.sqrt(fries)),
        sd_plates=float(np.sqrt(max(known["plates"], 0.0))) if "plates" in known else None,
        sd_batches=float(np.sqrt(max(known["batches"], 0.0))) if len(kinds) > 1 else None,
        within=spread("plates") if "plates" in known else None,
        whole=spread(*kinds),
        batches=len(names),
    )


def _blocks(
    plates: Sequence[SpreadPlate], members: Sequence[Sequence[int]], fries: float, kinds: Sequence[str]
) -> list[Blocks]:
    value = np.array([plate.mean for plate in plates])
    known = np.array([fries / plate.fries for plate in plates])
    blocks = []
    for size in sorted({len(indices) for indices in members}):
        at = np.array([indices for indices in members if len(indices) == size])
        shapes = {"plates": np.eye(size), "batches": np.ones((size, size))}
        parts = np.stack([shapes[kind] for kind in kinds])
        blocks.append(Blocks(readings=value[at], design=np.ones((*at.shape, 1)), known=known[at], parts=parts))
    return blocks

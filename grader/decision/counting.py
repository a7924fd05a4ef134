"""Shares by count, where each fry is only probably over the threshold and fries of one plate are alike."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq
from scipy.special import betainc, ndtr, ndtri, stdtrit

from grader.arrays import FloatArray
from grader.sampling.one_way import mean_of_plates

JEFFREYS = 0.5
"""Added to hits and misses: the prior that favours no share (Jeffreys)."""
_CERTAIN = 1e-12
_EXACT_AT_MOST = 512
_MASS_STEPS = 2048
"""A mass is counted in so many parts of the whole: far finer than any share is known."""


def effective_number(per_plate: NDArray[np.int_], correlation: float) -> float:
    """How many fries drawn one by one tell as much as plates with `per_plate` (k,) fries: n / (1 + (m - 1) r).

    m is the mean number on a plate, weighted by that number; r is the correlation of two fries of one plate, from 0.
    Source: the design effect of cluster samples, Kish, Survey Sampling (1965), chapter 5 (from memory).
    """
    n = float(per_plate.sum())
    if n == 0:
        return 0.0
    weighted_mean = float((per_plate**2).sum()) / n
    return n / (1 + (weighted_mean - 1) * correlation)


def effective_of_own_plates(
    hits: FloatArray, per_plate: NDArray[np.int_], *, level: float, more: int = 0, even: float = 1.0
) -> float | None:
    """The same as these plates alone tell it, from each one's expected `hits` (k,) among its fries (k,).

    So many fries drawn one by one would scatter as the plates do, fewer by what is not known of that scatter itself:
    by the squared ratio of the normal-like and the plates' own t quantile at `level`. `more` plates like these add to
    both. Fries of unequal masses tell no more than so many equal ones as their `evenness` has it; what the plates
    scatter by holds that already. None where fewer than two plates hold any fries.
    Source: E. L. Korn, B. I. Graubard, "Confidence intervals for proportions with small expected number of positive
    counts estimated from survey data", Survey Methodology 24 (1998) 193-201 (from memory).
    """
    n = float(per_plate.sum())
    own = mean_of_plates(hits / np.maximum(per_plate, 1), per_plate)
    if own is None:
        return None
    plates = int((per_plate > 0).sum())
    larger = (plates + more) / plates
    alone = own.mean * (1 - own.mean)
    # Where all plates say none, or all, nothing scatters.
    most = even * n
    as_plates = min(alone / own.variance, most) if alone > _CERTAIN and own.variance > 0 else most
    freedom = (own.freedom + 1) * larger - 1
    ratio = float(stdtrit(n * larger - 1, level) / stdtrit(freedom, level))
    return as_plates * larger * ratio**2


def count_distribution(probabilities: FloatArray) -> FloatArray:
    """(n + 1,) probability that 0, 1, ... n of n fries have a property which each has with its own probability (n,).

    The Poisson-binomial distribution, by multiplying the fries' generating polynomials pairwise; where more than a few
    hundred fries are open, the normal one of the same mean and variance, cut at the half numbers.
    """
    certain = int((probabilities >= 1 - _CERTAIN).sum())
    open_ones = probabilities[(probabilities > _CERTAIN) & (probabilities < 1 - _CERTAIN)]
    one_each = np.ones(len(open_ones), int)
    counts = _product(open_ones) if len(open_ones) <= _EXACT_AT_MOST else _normal_counts(open_ones, one_each)
    whole = np.zeros(len(probabilities) + 1)
    whole[certain : certain + len(counts)] = counts
    return whole


def mass_distribution(probabilities: FloatArray, masses: FloatArray) -> FloatArray:
    """(k + 1,) probability that the fries with a property make up 0, 1/k, ... 1 of the mass of n fries.

    Each has it with its own probability (n,) and weighs its own mass (n,). As `count_distribution`, but that a fry
    counts as many steps as it weighs: its characteristic function is 1 - p + p exp(2 pi i steps t).
    """
    steps = np.diff(np.rint(np.cumsum(masses) * (_MASS_STEPS / masses.sum())), prepend=0).astype(int)
    certain = int(steps[probabilities >= 1 - _CERTAIN].sum())
    is_open = (probabilities > _CERTAIN) & (probabilities < 1 - _CERTAIN)
    chances, weights = probabilities[is_open], steps[is_open]
    counts = _turned(chances, weights) if len(chances) <= _EXACT_AT_MOST else _normal_counts(chances, weights)
    whole = np.zeros(_MASS_STEPS + 1)
    whole[certain : certain + len(counts)] = counts
    return whole


def _turned(probabilities: FloatArray, steps: NDArray[np.int_]) -> FloatArray:
    places = int(steps.sum()) + 1
    turns = np.exp(-2j * np.pi / places * np.outer(steps, np.arange(places // 2 + 1)))
    p = probabilities[:, None]
    counts = np.maximum(np.fft.irfft(np.prod(1 - p + p * turns, axis=0), places), 0)
    return np.asarray(counts / counts.sum(), float)


def _product(probabilities: FloatArray) -> FloatArray:
    polynomials = np.stack([1 - probabilities, probabilities], -1) if len(probabilities) else np.ones((1, 1))
    while len(polynomials) > 1:
        if len(polynomials) % 2:
            one = np.zeros((1, polynomials.shape[1]))
            one[0, 0] = 1
            polynomials = np.concatenate([polynomials, one])
        length = 2 * polynomials.shape[1] - 1
        spectra = np.fft.rfft(polynomials, length)
        polynomials = np.fft.irfft(spectra[0::2] * spectra[1::2], length)
    counts = np.maximum(polynomials[0, : len(probabilities) + 1], 0)
    return np.asarray(counts / counts.sum(), float)


def _normal_counts(probabilities: FloatArray, steps: NDArray[np.int_]) -> FloatArray:
    mean = float(steps @ probabilities)
    sd = float(np.sqrt(steps**2 @ (probabilities * (1 - probabilities))))
    total = int(steps.sum())
    # Ten standard deviations off there is nothing left to sum.
    low, high = max(int(mean - 10 * sd), 0), min(int(mean + 10 * sd) + 1, total)
    below = np.asarray(ndtr((np.arange(low, high + 2) - 0.5 - mean) / sd), float)
    below[0], below[-1] = 0, 1
    counts = np.zeros(total + 1)
    counts[low : high + 1] = np.diff(below)
    return counts


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ShareBelief:
    """What is known of a share: a mixture of beta distributions (k,), one for each true count that is possible."""

    weight: FloatArray
    alpha: FloatArray
    beta: FloatArray

    @property
    def mean(self) -> float:
        """Expected share."""
        return float(self.weight @ (self.alpha / (self.alpha + self.beta)))

    @property
    def sd(self) -> float:
        """Standard uncertainty of the share: of sampling, of fries near the threshold and of what all fries share."""
        total = self.alpha + self.beta
        mean = self.alpha / total
        square = mean * (1 - mean) / (total + 1) + mean**2
        return float(np.sqrt(max(float(self.weight @ square) - self.mean**2, 0.0)))

    def below(self, share: float) -> float:
        """Probability that the true share is at most `share`."""
        return min(1.0, float(self.weight @ betainc(self.alpha, self.beta, share)))  # rounded, a sum of 1 may be more

    def quantile(self, probability: float) -> float:
        """The share that the true one stays below with this probability."""
        # Nearly always where a normal curve would have it: looked for there first, because each look sums the mixture.
        guess, near = self.mean + self.sd * float(ndtri(probability)), self.sd / 2
        low, high = max(guess - near, 0.0), min(guess + near, 1.0)
        if not (low < high and self.below(low) <= probability <= self.below(high)):
            low, high = 0.0, 1.0
        return float(brentq(lambda share: self.below(share) - probability, low, high, xtol=1e-6))


def share_belief(
    scenarios: Sequence[tuple[float, FloatArray]], effective: float, masses: FloatArray | None = None
) -> ShareBelief:
    """What is known of a batch's share from n > 0 fries of it that tell as much as `effective` drawn one by one.

    Each scenario is a weight (they sum to 1) and the fries' probabilities (n,) of having the property if the error that
    all fries share (in colour, or in the scale of lengths) were just so. Given the true count, the share has Jeffreys'
    posterior for the effective number of fries. All of it grows with every fry's probability, so a worse fry can never
    make a batch look better. With `masses` (n,) it is a share of mass, and `effective` allows for their differing.
    """

    def distribution(p: FloatArray) -> FloatArray:
        return count_distribution(p) if masses is None else mass_distribution(p, masses)

    weight = np.sum([w * distribution(p) for w, p in scenarios], axis=0)
    steps = len(weight) - 1
    counts = np.flatnonzero(weight > _CERTAIN)
    # Of thousands of counts neighbours tell the same: taken together, at their mean, where they lie far closer than
    # the posterior of any of them is wide.
    together = np.unique(counts // (1 + len(weight) // _EXACT_AT_MOST), return_inverse=True)[1]
    weight, counts = np.bincount(together, weight[counts]), np.bincount(together, weight[counts] * counts)
    hits = np.asarray(counts / weight * (effective / steps), float)
    return ShareBelief(weight=weight / weight.sum(), alpha=hits + JEFFREYS, beta=effective - hits + JEFFREYS)


def evenness(masses: FloatArray, own_u: FloatArray) -> float:
    """By what factor n fries of unequal masses (n,) tell less of a share of mass than of one by count, 0 to 1.

    (sum m)**2 / (n sum m**2), each square enlarged by what its estimate is off on its own (relative, (n,)); what all
    masses are off by together cancels in a share.
    Source: the effective size of a weighted sample, Kish, Survey Sampling (1965), chapter 11 (from memory).
    """
    return float(masses.sum() ** 2 / (len(masses) * (masses**2 * (1 + own_u**2)).sum()))

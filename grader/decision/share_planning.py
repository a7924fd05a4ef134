"""The same for a share of fries at a limit, where fries of a plate are alike."""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from scipy.special import betainc
from scipy.stats import betabinom, binom

from grader.arrays import FloatArray
from grader.decision.counting import JEFFREYS, effective_number, effective_of_own_plates
from grader.decision.planning import Chances
from grader.decision.terms import PLATES_FOR_A_CLAIM, Terms

DRAWS = 1000
"""Lots drawn by chance for a claim, whose plates tell themselves how far they differ."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ShareCase:
    """Plates to be held against a limit on a share, 0 to 1.

    Fries are taken to be counted without error; where many lie near a threshold, more plates are needed. `correlation`
    is that of two fries of a plate in truth, `terms` say what the rule takes for it.
    """

    sense: Literal["at least", "at most"]
    limit: float
    fries: int
    correlation: float
    terms: Terms

    @property
    def least_plates(self) -> int:
        """With fewer nothing can be decided."""
        return PLATES_FOR_A_CLAIM if self.terms.claim else 1

    def chances(self, plates: int, share: FloatArray, rng: np.random.Generator) -> Chances:
        """How lots with these true shares (k,) come out on so many plates; `rng` draws the plates of a claim."""
        if plates < self.least_plates:
            return Chances(passes=np.zeros(len(share)), fails=np.zeros(len(share)))
        told = [self._claim(plates, one, rng) if self.terms.claim else self._release(plates, one) for one in share]
        return Chances(passes=np.array([one for one, _ in told]), fails=np.array([one for _, one in told]))

    def _release(self, plates: int, share: float) -> tuple[float, float]:
        """Exactly: every count of hits, and what the rule says of it."""
        effective = effective_number(np.full(plates, self.fries), self.terms.apart.correlation)
        n = plates * self.fries
        return self._outcomes(np.arange(n + 1) / n, np.full(n + 1, effective), self._counts(plates, share))

    def _claim(self, plates: int, share: float, rng: np.random.Generator) -> tuple[float, float]:
        per_plate = np.full(plates, self.fries)
        alike = self._beta(share)
        shares = np.full((DRAWS, plates), share) if alike is None else rng.beta(*alike, (DRAWS, plates))
        hits = rng.binomial(self.fries, shares).astype(float)
        level = self.terms.levels.fail_to
        told = [effective_of_own_plates(one, per_plate, level=level) or 0.0 for one in hits]
        return self._outcomes(hits.mean(1) / self.fries, np.array(told), np.full(DRAWS, 1 / DRAWS))

    def _outcomes(self, found: FloatArray, effective: FloatArray, weight: FloatArray) -> tuple[float, float]:
        """How often, over cases of this weight (k,), what was found passes and fails."""
        hits = found * effective
        below = betainc(hits + JEFFREYS, effective - hits + JEFFREYS, self.limit)
        meets = below if self.sense == "at most" else 1 - below
        levels = self.terms.levels
        return float(weight[meets >= levels.pass_from].sum()), float(weight[meets <= levels.fail_to].sum())

    def _beta(self, share: float) -> tuple[float, float] | None:
        """Of the plates' own shares about the lot's, so that two of its fries correlate; None where all are alike."""
        if self.correlation <= 0 or not 0 < share < 1:
            return None
        weight = (1 - self.correlation) / self.correlation
        return share * weight, (1 - share) * weight

    def _counts(self, plates: int, share: float) -> FloatArray:
        """(n + 1,) probability of each count of hits on all plates."""
        numbers, alike = np.arange(self.fries + 1), self._beta(share)
        one = binom.pmf(numbers, self.fries, share) if alike is None else betabinom.pmf(numbers, self.fries, *alike)
        length = plates * self.fries + 1
        whole = np.fft.irfft(np.fft.rfft(one, 2 * length) ** plates, 2 * length)[:length]
        return np.asarray(np.maximum(whole, 0), float)

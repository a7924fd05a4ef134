"""How many plates a wanted risk needs: what a batch's mean colour would come out as, by the rule that judges it.

What is measured scatters about the truth by exactly what the rule takes for its doubt, so that the risks are those of
the decision itself: an operating characteristic, for lots with any true mean place.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy.optimize import brentq
from scipy.special import chdtri, ndtr

from grader.arrays import FloatArray
from grader.decision.doubt import Doubt
from grader.decision.rule import conformity
from grader.decision.terms import PLATES_FOR_A_CLAIM, Terms

PLATES_AT_MOST = 60
"""Beyond this nobody photographs plates for one decision; what needs more is told as out of reach."""
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(24)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Chances:
    """(k,) how often lots pass, and how often they fail; the rest stays undecided."""

    passes: FloatArray
    fails: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class Needed:
    """The plates needed, None where not even the most would do, and how often the lot then comes out as wanted."""

    plates: int | None
    chance: float


def plates_needed(chance: Callable[[int], float], wanted: float, *, at_least: int = 1) -> Needed:
    """The fewest plates with which `chance` reaches what is wanted."""
    reached = 0.0
    for plates in range(at_least, PLATES_AT_MOST + 1):
        reached = chance(plates)
        if reached >= wanted:
            return Needed(plates=plates, chance=reached)
    return Needed(plates=None, chance=reached)


@dataclass(frozen=True, slots=True, kw_only=True)
class ColourCase:
    """Plates to be held against a target range, steps.

    Attributes
    ----------
    target_from, target_to
        The range in which the lot's mean place belongs.
    between, within
        Standard deviations of plates about the lot's mean, and of fries about their plate's.
    shared
        Standard uncertainty of what all photos share; no number of plates lessens it.
    fries
        On each plate.
    terms
        The question; for a release its `apart` only says how surely `between` is known.
    """

    target_from: float
    target_to: float
    between: float
    within: float
    shared: float
    fries: int
    terms: Terms

    @property
    def least_plates(self) -> int:
        """With fewer nothing can be decided."""
        return PLATES_FOR_A_CLAIM if self.terms.claim else 1

    def chances(self, plates: int, place: FloatArray) -> Chances:
        """How lots with these true mean places (k,) come out on so many plates."""
        passes, fails = np.zeros(len(place)), np.zeros(len(place))
        if plates < self.least_plates:
            return Chances(passes=passes, fails=fails)
        scatter = Doubt(known_u=self.shared, estimated_u=self._of_mean(plates)).u
        for weight, doubt in self._doubts(plates):
            inside, outside = (
                self._band(doubt, self.terms.levels.pass_from),
                self._band(doubt, self.terms.levels.fail_to),
            )
            passes += weight * _within(inside, place, scatter)
            fails += weight * (1 - _within(outside, place, scatter))
        return Chances(passes=passes, fails=fails)

    def _of_mean(self, plates: int) -> float:
        return float(np.sqrt((self.between**2 + self.within**2 / self.fries) / plates))

    def _doubts(self, plates: int) -> list[tuple[float, Doubt]]:
        """What the rule would take for the doubt, each with its weight: of a claim the plates themselves say it."""

        def doubt(estimated: float, freedom: float) -> Doubt:
            return Doubt(known_u=self.shared, estimated_u=estimated, freedom=freedom)

        of_mean, freedom = self._of_mean(plates), float(plates - 1)
        if not self.terms.claim:
            return [(1.0, doubt(of_mean, self.terms.apart.freedom + freedom))]
        told = of_mean * np.sqrt(chdtri(freedom, (1 - _NODES) / 2) / freedom)
        return [(float(weight) / 2, doubt(float(one), freedom)) for weight, one in zip(_WEIGHTS, told, strict=True)]

    def _band(self, doubt: Doubt, probability: float) -> tuple[float, float]:
        """The measured places at which conformity is at least this probable: an empty band where it never is."""
        middle, half = (self.target_from + self.target_to) / 2, (self.target_to - self.target_from) / 2

        def more(off: float) -> float:
            return conformity(middle + off, doubt, lower=self.target_from, upper=self.target_to) - probability

        if more(0.0) < 0:
            return middle, middle
        far = half + doubt.u
        while more(far) > 0:
            far *= 2
        off = float(brentq(more, 0.0, far, xtol=1e-12))
        return middle - off, middle + off


def _within(band: tuple[float, float], place: FloatArray, scatter: float) -> FloatArray:
    low, high = band
    return np.asarray(ndtr((high - place) / scatter) - ndtr((low - place) / scatter), float)

"""Units drawn one by one, each time asking: accept, reject, or take another? Stops early where it is clear.

Wald's sequential probability ratio test. Sources: A. Wald, Sequential Analysis (1947), chapters 3 and 5 (from memory);
NIST/SEMATECH e-Handbook of Statistical Methods, 6.2.6: the two lines, and an end after three times the units of the
single plan. The stated risks are Wald's approximations, near and mostly above the true ones; `exactly` works out what a
test with an end really does.
"""

import math
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from grader.sampling.model import CameOut
from grader.sampling.risk import RisksContradictError, smallest_plan

END_AFTER = 3
"""Times the units of the single plan with the same risks, after which it is decided come what may (NIST, 6.2.6)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sequential:
    """Tells lots with a share `good` of nonconforming units from those with a share `bad`.

    `producer` is the risk of rejecting a good lot, `consumer` of accepting a bad one; after `end` units it is decided
    by which of the two lots is the likelier.
    """

    good: float
    bad: float
    producer: float
    consumer: float
    end: int

    @property
    def slope(self) -> float:
        """Nonconforming units a unit drawn, along both lines."""
        return math.log((1 - self.good) / (1 - self.bad)) / self._log_odds

    @property
    def accept_below(self) -> float:
        """How far below the middle line through nothing the line of acceptance lies."""
        return math.log((1 - self.producer) / self.consumer) / self._log_odds

    @property
    def reject_above(self) -> float:
        """How far above it the line of rejection lies."""
        return math.log((1 - self.consumer) / self.producer) / self._log_odds

    @property
    def _log_odds(self) -> float:
        return math.log(self.bad * (1 - self.good) / (self.good * (1 - self.bad)))

    def accept_number(self, drawn: int) -> int | None:
        """Accept with up to so many nonconforming among the units drawn; None where it is too early to."""
        line = self.slope * drawn - (0 if drawn >= self.end else self.accept_below)
        return math.floor(line + _ROUNDING) if line + _ROUNDING >= 0 else None

    def reject_number(self, drawn: int) -> int | None:
        """Reject with so many or more; None where it is too early to."""
        if drawn >= self.end:
            return math.floor(self.slope * drawn + _ROUNDING) + 1
        line = math.ceil(self.slope * drawn + self.reject_above - _ROUNDING)
        return line if line <= drawn else None

    def state(self, drawn: int, found: int) -> CameOut | None:
        """What is to be done with `found` nonconforming among the units drawn; None: take another."""
        accept, reject = self.accept_number(drawn), self.reject_number(drawn)
        if accept is not None and found <= accept:
            return CameOut.ACCEPTED
        return CameOut.REJECTED if reject is not None and found >= reject else None


_ROUNDING = 1e-9


def sequential(*, good: float, bad: float, producer: float, consumer: float) -> Sequential:
    """The test between two qualities, which ends where three times the units of the single plan are drawn.

    Raises
    ------
    RisksContradictError
        The shares don't rise between 0 and 1, or a risk isn't between 0 and a half.
    """
    if not (0 < good < bad < 1 and 0 < producer < 0.5 and 0 < consumer < 0.5):
        raise RisksContradictError(good, bad)
    single = smallest_plan(good_share=good, producer=producer, bad_share=bad, consumer=consumer)
    return Sequential(good=good, bad=bad, producer=producer, consumer=consumer, end=END_AFTER * single.n)


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """What a test does with lots of one quality: how often it accepts them, and after how many units on the average.

    The quality is a share of nonconforming units, or a mean place.
    """

    quality: float
    accepted: float
    units: float


def as_wald_has_it(test: Sequential, h: float) -> Course:
    """Wald's approximations without an end, at the quality that belongs to his parameter h (1: good, -1: bad)."""
    of_bad, of_good = math.log(test.bad / test.good), math.log((1 - test.bad) / (1 - test.good))
    if abs(h) < _NO_DRIFT:
        share = test.slope
    else:
        share = -math.expm1(h * of_good) / (math.exp(h * of_bad) - math.exp(h * of_good))
    drift, square = (share * of_bad**power + (1 - share) * of_good**power for power in (1, 2))
    return wald_course(test, share, h, drift=drift, square=square)


_NO_DRIFT = 1e-6
"""Of h: nearer to nothing the formulas are taken at their limit."""


class Risked(Protocol):
    """What a test risks on either side."""

    @property
    def producer(self) -> float:
        """Of rejecting a good lot."""

    @property
    def consumer(self) -> float:
        """Of accepting a bad one."""


def wald_course(test: Risked, quality: float, h: float, *, drift: float, square: float) -> Course:
    """Wald's formulas, given the mean of a unit's log likelihood ratio at this quality, and that of its square."""
    up, down = math.log((1 - test.consumer) / test.producer), math.log(test.consumer / (1 - test.producer))
    if abs(h) < _NO_DRIFT:
        return Course(quality=quality, accepted=up / (up - down), units=-up * down / square)
    accepted = math.expm1(h * up) / (math.exp(h * up) - math.exp(h * down))
    return Course(quality=quality, accepted=accepted, units=(accepted * down + (1 - accepted) * up) / drift)


def exactly(test: Sequential, share: float) -> Course:
    """What the test with its end does, by following every count of nonconforming units until it is decided."""
    open_counts = np.array([1.0])
    accepted = units = 0.0
    for drawn in range(1, test.end + 1):
        units += float(open_counts.sum())
        open_counts = np.append(open_counts, 0.0) * (1 - share) + np.insert(open_counts, 0, 0.0) * share
        accept, reject = test.accept_number(drawn), test.reject_number(drawn)
        if accept is not None:
            accepted += float(open_counts[: accept + 1].sum())
            open_counts[: accept + 1] = 0
        if reject is not None:
            open_counts[reject:] = 0
    return Course(quality=share, accepted=accepted, units=units)

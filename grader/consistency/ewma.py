"""The weighted mean of the last batches (EWMA): what moves slowly shows in it before any batch looks odd by itself.

    z[t] = weight * d[t] + (1 - weight) * z[t-1],    z[0] = 0,    d[t] = the batch's mean less its level

with exact limits at every batch: the variance of z is carried along term by term, so that batches of unequal size and
the first few after a start have the right ones (for equal batches it is weight / (2 - weight) * (1 - (1 - weight)^2t)).
A level that all batches are held against alike is off for all of them alike: its doubt doesn't average out, and is
carried along by itself. The widening for what isn't known of the scatter is left to `REACH`, see there.
Sources: NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.4; exact limits: J. M. Lucas and M. S. Saccucci,
Technometrics 32 (1990) 1-12 (from memory).
"""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

WEIGHT = 0.3
"""Of the newest batch: small enough for a slow drift, large enough that a step shows within two batches."""
REACH = 2.75
"""Limits, in standard deviations of z. Together with single batches beyond theirs a false alarm comes once in more than
200 batches with baselines of any length; `tests/bars/test_consistency.py` prints how often."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Away:
    """A batch's mean less its level: `own` is the variance of what is its own, `shared_u` what the level is off by."""

    value: float
    own: float
    shared_u: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Slow:
    """The weighted mean after a batch, away from the level, and how far it may be (`reach`, both sides)."""

    value: float
    reach: float

    @property
    def beyond(self) -> bool:
        """Whether it is farther off than chance explains."""
        return abs(self.value) > self.reach


def ewma(away: Iterable[Away], *, weight: float = WEIGHT, sigmas: float = REACH, restart: bool = True) -> list[Slow]:
    """The weighted mean batch by batch; after each alarm it starts anew (`restart`): one change is told once."""
    told: list[Slow] = []
    value = own = share = 0.0
    for batch in away:
        value = weight * batch.value + (1 - weight) * value
        own = weight**2 * batch.own + (1 - weight) ** 2 * own
        share = weight * batch.shared_u + (1 - weight) * share
        told.append(Slow(value=value, reach=sigmas * float(np.sqrt(own + share**2))))
        if restart and told[-1].beyond:
            value = own = share = 0.0
    return told

"""Single readings in a row: how far each is from the one before, for batches of one plate and to see a baseline drift.

Source: NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2.
"""

from dataclasses import dataclass

import numpy as np

from grader.arrays import FloatArray, frozen
from grader.consistency.constants import shewhart

_PAIR = 2


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Individuals:
    """Limits of single readings as textbooks have them, from the mean of their moving ranges of two.

    Attributes
    ----------
    ranges
        (n - 1,) from each reading to the next.
    range_mean, range_high
        Their mean and their upper limit (D4).
    sd
        What they make the readings' standard deviation: mean / d2. A slow drift hardly enters it.
    level, low, high
        Mean of the readings, and three such standard deviations to either side.
    """

    ranges: FloatArray
    range_mean: float
    range_high: float
    sd: float
    level: float
    low: float
    high: float


def individuals(values: FloatArray) -> Individuals:
    """Limits from readings (n,) in time order, n from 2 on."""
    ranges = np.abs(np.diff(values))
    mean, level = float(ranges.mean()), float(values.mean())
    sd = mean / shewhart(_PAIR).d2
    return Individuals(
        ranges=frozen(ranges),
        range_mean=mean,
        range_high=shewhart(_PAIR).d3_d4[1] * mean,
        sd=sd,
        level=level,
        low=level - 3 * sd,
        high=level + 3 * sd,
    )

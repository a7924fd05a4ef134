"""What an event did to the level: the step from the batches before to those after, and the first basket after it.

The step compares batches near the event only, so that a slow drift of a long stretch isn't put down to it. The first
basket is told alone: it is what a kitchen has in hand when it must set time and temperature for the new lot.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy import stats

from grader.arrays import FloatArray
from grader.consistency.segments import Segment

NEAR = 5
"""Batches taken into account on each side of an event."""
_LEAST_FREEDOM = 3
_LEVEL = 0.95


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """Later less earlier, in the unit of the values, with its interval at 95 %."""

    value: float
    low: float
    high: float

    @property
    def shown(self) -> bool:
        """Whether the data show which way it goes."""
        return self.low > 0 or self.high < 0


@dataclass(frozen=True, slots=True, kw_only=True)
class EventStep:
    """An event, by the stretch that it began.

    Attributes
    ----------
    part
        The stretch.
    first_batch
        Which batch is the first after it, from 0; None where there is none yet.
    first, step
        The first batch alone, and the level of the first five, each less the level of the last five before; None where
        there is nothing to compare, or where too little is known of how batches scatter.
    """

    part: Segment
    first_batch: int | None
    first: Difference | None
    step: Difference | None

    @property
    def check_asked(self) -> bool:
        """Nothing was photographed since: a basket is to be fried and photographed before serving goes on."""
        return self.first_batch is None


def event_steps(
    values: FloatArray, parts: Sequence[Segment], *, relative_variance: FloatArray
) -> tuple[EventStep, ...]:
    """What each event did, for the batches' `values` (n,), whose variances compare as given (n,).

    How batches scatter is found within all stretches together (from batch to next batch, so that a drift doesn't
    enter); the intervals are those of Student's t.
    """
    weights = relative_variance.mean() / relative_variance
    sd, freedom = _scatter(values, weights, parts)
    told = []
    for number, part in enumerate(parts):
        if not part.events:
            continue
        earlier = next((one for one in reversed(parts[:number]) if one.batches), None)
        before = None if earlier is None else range(max(earlier.start, earlier.stop - NEAR), earlier.stop)
        known = before is not None and part.batches > 0 and freedom >= _LEAST_FREEDOM
        first, after = range(part.start, part.start + 1), range(part.start, min(part.stop, part.start + NEAR))
        told.append(
            EventStep(
                part=part,
                first_batch=part.start if part.batches else None,
                first=_difference(values, weights, (before, first), (sd, freedom)) if known and before else None,
                step=_difference(values, weights, (before, after), (sd, freedom)) if known and before else None,
            )
        )
    return tuple(told)


def _scatter(values: FloatArray, weights: FloatArray, parts: Sequence[Segment]) -> tuple[float, int]:
    """Standard deviation of a batch of mean weight, from differences of neighbours; degrees of freedom.

    Differences of neighbours share a batch, so m of them tell as much as about two thirds of m independent ones (von
    Neumann's mean square successive difference; exact for many).
    """
    gaps = [np.diff(values[one.start : one.stop]) for one in parts]
    unit = [
        1 / weights[one.start : one.stop][:-1] + 1 / weights[one.start : one.stop][1:] for one in parts if one.batches
    ]
    squares = np.concatenate([np.zeros(0), *gaps]) ** 2
    variances = np.concatenate([np.zeros(0), *unit])
    if not len(squares):
        return np.nan, 0
    return float(np.sqrt((squares / variances).mean())), int(2 * len(squares) / 3)


def _difference(
    values: FloatArray, weights: FloatArray, sides: tuple[range, range], scatter: tuple[float, int]
) -> Difference:
    (sd, freedom), variance, means = scatter, 0.0, []
    for side in sides:
        weight = weights[side.start : side.stop]
        means.append(float((weight * values[side.start : side.stop]).sum() / weight.sum()))
        variance += 1 / float(weight.sum())
    value = means[1] - means[0]
    reach = float(stats.t.ppf(0.5 + _LEVEL / 2, freedom)) * sd * float(np.sqrt(variance))
    return Difference(value=value, low=value - reach, high=value + reach)

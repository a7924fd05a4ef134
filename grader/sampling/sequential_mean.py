"""Plates taken one by one for their mean colour: is it good, or bad, or take another? Wald's test for a normal mean.

Sources as for `sequential`. How plates scatter is known beforehand. What all photos share (card and light) doesn't show
in that scatter, and no plate lessens it, so that the risks are told with it as well.
"""

import math
from dataclasses import dataclass

import numpy as np
from scipy.special import ndtr, ndtri

from grader.arrays import FloatArray
from grader.errors import GraderError
from grader.sampling.model import CameOut
from grader.sampling.sequential import END_AFTER, Course, wald_course

_CELLS = 400
"""Into so many the open stretch between both lines is cut, to follow where a test stands."""
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(16)
_PLATES_AT_MOST = 1000
"""Nobody photographs more of one lot; and what would become of far more isn't found in any time."""


class PlacesContradictError(GraderError, ValueError):
    """No test tells such places apart at such risks."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SequentialMean:
    """Tells lots with the mean place `good` from those with `bad`, which lies on either side of it, steps.

    `plate_sd` is the standard deviation of a plate's mean about its lot's, all causes together. After `end` plates it
    is decided by which of the two is the nearer.
    """

    good: float
    bad: float
    plate_sd: float
    producer: float
    consumer: float
    end: int

    @property
    def accept_to(self) -> float:
        """Down to this log likelihood ratio of bad to good the lot is accepted."""
        return math.log(self.consumer / (1 - self.producer))

    @property
    def reject_from(self) -> float:
        """From this one on it is rejected."""
        return math.log((1 - self.consumer) / self.producer)

    @property
    def gap(self) -> float:
        """From good to bad, in standard deviations of a plate: also what a plate's log likelihood ratio scatters by."""
        return (self.bad - self.good) / self.plate_sd

    def drift(self, place: float) -> float:
        """A plate's mean log likelihood ratio, of lots with this mean place."""
        return self.gap * (place - (self.good + self.bad) / 2) / self.plate_sd

    def state(self, places: FloatArray) -> CameOut | None:
        """What is to be done after plates with these mean places (n,); None: take another."""
        ratio = len(places) * self.drift(float(places.mean())) if len(places) else 0.0
        if ratio <= self.accept_to or (len(places) >= self.end and ratio <= 0):
            return CameOut.ACCEPTED
        return CameOut.REJECTED if ratio >= self.reject_from or len(places) >= self.end else None

    def as_wald_has_it(self, place: float) -> Course:
        """Wald's approximations without an end, for lots with this mean place."""
        drift = self.drift(place)
        return wald_course(self, place, -2 * drift / self.gap**2, drift=drift, square=self.gap**2)


def sequential_mean(*, good: float, bad: float, plate_sd: float, producer: float, consumer: float) -> SequentialMean:
    """The test between two places, which ends after three times the plates of the test with a fixed number of them.

    Raises
    ------
    PlacesContradictError
        The places are the same, nothing scatters, or a risk isn't between 0 and a half; or it takes too many plates.
    """
    if good == bad or plate_sd <= 0 or not (0 < producer < 0.5 and 0 < consumer < 0.5):
        raise PlacesContradictError(
            f"No plates tell {good:g} from {bad:g} at such risks, where they scatter by {plate_sd:g}.",
            hint="Good and bad must differ, plates must scatter, and each risk be above 0 and below 0.5.",
        )
    fixed = math.ceil(((float(ndtri(1 - producer)) + float(ndtri(1 - consumer))) * plate_sd / (bad - good)) ** 2)
    if fixed > _PLATES_AT_MOST:
        raise PlacesContradictError(
            f"It takes {fixed} plates to tell {good:g} from {bad:g} where they scatter by {plate_sd:g}.",
            hint="Let the bad place be farther from the good one, or take larger risks.",
        )
    return SequentialMean(
        good=good, bad=bad, plate_sd=plate_sd, producer=producer, consumer=consumer, end=END_AFTER * fixed
    )


def mean_exactly(test: SequentialMean, place: float, *, shared: float = 0.0) -> Course:
    """What the test with its end does with lots of this mean place, by following where it stands plate by plate.

    `shared` is the standard uncertainty of what all its photos share: the test meets lots moved by it as a whole.
    """
    if shared <= 0:
        return _exactly(test, place)
    moved = [_exactly(test, place + shared * float(z)) for z in ndtri((_NODES + 1) / 2)]
    accepted = np.array([course.accepted for course in moved])
    units = np.array([course.units for course in moved])
    return Course(quality=place, accepted=float(_WEIGHTS @ accepted) / 2, units=float(_WEIGHTS @ units) / 2)


def _exactly(test: SequentialMean, place: float) -> Course:
    edges = np.linspace(test.accept_to, test.reject_from, _CELLS + 1)
    middles, scatter, drift = (edges[:-1] + edges[1:]) / 2, abs(test.gap), test.drift(place)
    onward = np.diff(ndtr((edges[:, None] - middles - drift) / scatter), axis=0)
    below = np.asarray(ndtr((edges[0] - middles - drift) / scatter), float)
    accepted, units = float(ndtr((edges[0] - drift) / scatter)), 1.0
    standing = np.diff(ndtr((edges - drift) / scatter))
    for _ in range(1, test.end):
        units += float(standing.sum())
        accepted += float(below @ standing)
        standing = onward @ standing
    # What is open at the end is decided by its sign; the cell in which it changes goes by its middle.
    return Course(quality=place, accepted=accepted + float(standing[middles <= 0].sum()), units=units)

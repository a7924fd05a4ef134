"""A trial of time and temperature: its plates, and the window of times that hits a target."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from scipy.special import stdtrit

from grader.arrays import FloatArray
from grader.errors import GraderError

INTERVAL = 0.95
PLATES_AT_LEAST = 6
COLDEST_C, HOTTEST_C = 100, 220
"""Of oil in which anybody fries (common practice)."""
SHORTEST_S, LONGEST_S = 1, 3600
"""Of a plate in the oil (house default)."""


class TrialError(GraderError, ValueError):
    """The plates of a trial can't tell what is asked."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialPlate:
    """One plate: seconds in the oil, the oil's temperature, its mean place on the house scale."""

    time_s: float
    celsius: float
    place: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Noise:
    """Standard uncertainties of what differs from plate to plate: times, temperatures, and a plate's mean place.

    The last holds the method's own part and that plates hold other tubers; what all photos share isn't in it. What they
    are unless told otherwise is a house guess.
    """

    time_s: float = 3.0
    celsius: float = 2.0
    place: float = 0.15


@dataclass(frozen=True, slots=True, kw_only=True)
class Tried:
    """Between what temperatures and times a trial's plates lay."""

    coldest_c: float
    hottest_c: float
    shortest_s: float
    longest_s: float


class Fitted(Protocol):
    """Colour as it follows from time and temperature, whatever curve stands for it."""

    @property
    def tried(self) -> Tried:
        """Where plates were fried."""

    @property
    def freedom(self) -> float:
        """Degrees of freedom of its doubt."""

    def places(self, time_s: FloatArray, celsius: FloatArray) -> FloatArray:
        """(n,) places on the scale."""

    def log_time(self, place: float, celsius: float) -> tuple[float, float]:
        """Natural log of the seconds until a place is reached, and its standard uncertainty; TrialError if it isn't."""

    def information(self, time_s: FloatArray, celsius: FloatArray) -> FloatArray:
        """(n, k, k) what one plate there would tell of the k constants."""

    def log_time_slope(self, place: float, celsius: float) -> FloatArray:
        """(k,) how the log of the time until a place moves with each constant."""

    @property
    def covariance(self) -> FloatArray:
        """(k, k) of the constants."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Window:
    """Seconds at one temperature.

    Attributes
    ----------
    centre_s, low_s, high_s
        Until the middle of the target, and the interval that holds it with 95 % probability.
    from_s, to_s
        All of this is surely in the target: later than it begins and sooner than it ends, each with 95 % probability;
        from_s lies after to_s where the target is narrower than the doubt.
    beyond
        Part of it lies outside the times that were tried.
    """

    celsius: float
    centre_s: float
    low_s: float
    high_s: float
    from_s: float
    to_s: float
    beyond: bool

    @property
    def half_width(self) -> float:
        """Of the interval, as a share of the time."""
        return (self.high_s - self.low_s) / (2 * self.centre_s)


def window_at(fit: Fitted, celsius: float, *, target_from: float, target_to: float) -> Window:
    """When a plate is in the target, at a temperature between those tried.

    Raises
    ------
    TrialError
        A temperature beyond those tried, or a target that browning never reaches.
    """
    tried = fit.tried
    if not tried.coldest_c <= celsius <= tried.hottest_c:
        there = f"{tried.coldest_c:g} to {tried.hottest_c:g} C"
        raise TrialError(f"{celsius:g} C was not tried, only {there}.", hint="Fry plates at that temperature first.")
    both_sided, one_sided = (float(stdtrit(fit.freedom, share)) for share in ((1 + INTERVAL) / 2, INTERVAL))
    centre, u = fit.log_time((target_from + target_to) / 2, celsius)
    begins, begins_u = fit.log_time(target_from, celsius)
    ends, ends_u = fit.log_time(target_to, celsius)
    low, high, start, stop = np.exp(
        [centre - both_sided * u, centre + both_sided * u, begins + one_sided * begins_u, ends - one_sided * ends_u]
    ).tolist()
    return Window(
        celsius=celsius,
        centre_s=float(np.exp(centre)),
        low_s=low,
        high_s=high,
        from_s=start,
        to_s=stop,
        beyond=min(low, start) < tried.shortest_s or max(high, stop) > tried.longest_s,
    )


def windows_over(fit: Fitted, *, target_from: float, target_to: float, steps: int = 9) -> tuple[Window, ...]:
    """Windows at even temperatures from the coldest to the hottest tried, no further; without those never reached."""
    found = []
    for celsius in np.linspace(fit.tried.coldest_c, fit.tried.hottest_c, steps).tolist():
        try:
            found.append(window_at(fit, celsius, target_from=target_from, target_to=target_to))
        except TrialError:  # browning doesn't reach the target there
            continue
    return tuple(found)


def columns(plates: Sequence[TrialPlate]) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Times, temperatures and places (n,) of plates that can tell something.

    Raises
    ------
    TrialError
        Fewer than six plates, fewer than two temperatures or two times, or figures that can't be.
    """
    faults = []
    if len(plates) < PLATES_AT_LEAST:
        faults.append(f"Too few plates: {len(plates)}, it takes {PLATES_AT_LEAST}.")
    if len({plate.celsius for plate in plates}) < 2 or len({plate.time_s for plate in plates}) < 2:
        faults.append("They must show at least two times and two temperatures.")
    if not all(_possible(plate) for plate in plates):
        faults.append(f"A plate's time, temperature ({COLDEST_C} to {HOTTEST_C} C) or place can't be.")
    if faults:
        raise TrialError(" ".join(faults), hint="Plan the trial first: the plan names times and temperatures.")
    time_s, celsius, place = np.array([(plate.time_s, plate.celsius, plate.place) for plate in plates]).T
    return time_s, celsius, place


def tried_by(time_s: FloatArray, celsius: FloatArray) -> Tried:
    """Between what these plates lay."""
    return Tried(
        coldest_c=float(celsius.min()),
        hottest_c=float(celsius.max()),
        shortest_s=float(time_s.min()),
        longest_s=float(time_s.max()),
    )


def _possible(plate: TrialPlate) -> bool:
    return (
        SHORTEST_S <= plate.time_s <= LONGEST_S
        and COLDEST_C <= plate.celsius <= HOTTEST_C
        and bool(np.isfinite(plate.place))
    )

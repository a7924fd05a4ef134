"""A response surface: colour grows with the log of time, as temperature has it, without any theory of browning."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from grader.arrays import FloatArray
from grader.line.browning_fit import NOISE_WEIGHT
from grader.line.trial import Noise, TrialError, TrialPlate, Tried, columns, tried_by

_BENT_FROM = 10
"""So many plates allow for all five terms; fewer, for a plane."""
_PER_10_C = 0.1


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SurfaceFit:
    """Constants (k,) of 1, x, y, x y, y^2 (or the first three), and (k, k) their covariance.

    x is the log of the time over its middle, y the temperature less its middle, in tens of degrees. There is no x^2: a
    surface that turned with time would have fries grow paler in the oil.
    """

    constants: FloatArray
    covariance: FloatArray
    freedom: float
    place_u: float
    middle_log_s: float
    middle_c: float
    tried: Tried

    def places(self, time_s: FloatArray, celsius: FloatArray) -> FloatArray:
        """(n,) places on the scale."""
        return self._terms(np.log(time_s), celsius) @ self.constants

    def log_time(self, place: float, celsius: float) -> tuple[float, float]:
        """Natural log of the seconds until a place is reached, and its standard uncertainty.

        Raises
        ------
        TrialError
            Fries don't brown with time at that temperature, by these plates.
        """
        log_s, slope = self._crossing(place, celsius)
        return log_s, float(np.sqrt(slope @ self.covariance @ slope))

    def log_time_slope(self, place: float, celsius: float) -> FloatArray:
        """(k,) how the log of the time until a place moves with each constant."""
        return self._crossing(place, celsius)[1]

    def information(self, time_s: FloatArray, celsius: FloatArray) -> FloatArray:
        """(n, k, k) what one plate there would tell of the constants."""
        terms = self._terms(np.log(time_s), celsius) / self.place_u
        return np.asarray(terms[:, :, None] * terms[:, None, :], float)

    def _terms(self, log_s: FloatArray, celsius: FloatArray) -> FloatArray:
        return _terms(log_s - self.middle_log_s, _PER_10_C * (celsius - self.middle_c), len(self.constants))

    def _crossing(self, place: float, celsius: float) -> tuple[float, FloatArray]:
        """The log of the time, and (k,) its slope by each constant: at one temperature, colour is a line in x."""
        middle, beyond = self.middle_log_s, self.middle_log_s + 1
        at_middle, one_beyond = self._terms(np.array([middle, beyond]), np.full(2, celsius))
        steepness = float((one_beyond - at_middle) @ self.constants)
        if steepness <= 0:
            raise TrialError(
                f"By these plates fries don't grow darker with time at {celsius:g} C.",
                hint="Look whether times and photos were exchanged; fry more plates there.",
            )
        log_s = middle + (place - float(at_middle @ self.constants)) / steepness
        there = self._terms(np.array([log_s]), np.array([celsius]))[0]
        return log_s, np.asarray(-there / steepness, float)


def fit_surface(plates: Sequence[TrialPlate], noise: Noise) -> SurfaceFit:
    """The surface that fits a trial's plates, by least squares: all five terms from ten plates on, else a plane.

    Raises
    ------
    TrialError
        The plates can't tell anything: see `trial.columns`.
    """
    time_s, celsius, place = columns(plates)
    log_s = np.log(time_s)
    middle_log_s, middle_c = float(log_s.mean()), float(celsius.mean())
    terms = _terms(log_s - middle_log_s, _PER_10_C * (celsius - middle_c), 5 if len(place) >= _BENT_FROM else 3)
    constants = np.asarray(np.linalg.lstsq(terms, place)[0], float)
    left = place - terms @ constants
    stated = _stated(constants, noise, float(np.median(time_s)))
    freedom = len(place) - terms.shape[1] + NOISE_WEIGHT
    variance = float(left @ left + NOISE_WEIGHT * stated**2) / freedom
    return SurfaceFit(
        constants=constants,
        covariance=variance * np.linalg.pinv(terms.T @ terms),
        freedom=float(freedom),
        place_u=float(np.sqrt(variance)),
        middle_log_s=middle_log_s,
        middle_c=middle_c,
        tried=tried_by(time_s, celsius),
    )


def _terms(x: FloatArray, y: FloatArray, number: int) -> FloatArray:
    return np.stack([np.ones_like(x), x, y, x * y, y**2][:number], axis=-1)


def _stated(constants: FloatArray, noise: Noise, time_s: float) -> float:
    """How far a plate strays, steps, by what is stated, at the surface's middle."""
    by_time, by_temperature = constants[1] / time_s, constants[2] * _PER_10_C
    return float(np.linalg.norm([noise.place, by_time * noise.time_s, by_temperature * noise.celsius]))

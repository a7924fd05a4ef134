"""The constants of first-order browning that fit the plates of a trial."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.optimize import least_squares

from grader.arrays import FloatArray
from grader.line.browning import Browning, browning_of, gradient, place_after, time_to
from grader.line.trial import Noise, TrialError, TrialPlate, Tried, columns, tried_by

_ENERGY, _ENERGY_U = 83.0, 25.0
"""kJ/mol: 94.85 (Hunter L) and 71.67 (b), discs of potato at 150 to 180 C, S. Sahin, Eur. Food Res. Technol. (2000); as
wide as a house's potatoes and oil may differ from those (our guess)."""
_START, _START_U = 1.0, 0.7
_BEYOND, _BEYOND_U = 2.0, 1.5
"""Steps: where a blanched fry lies, and how far beyond the last step browning ends (our guess)."""
_LOG_RATE_U = 3.0
"""So wide that it says nothing."""
NOISE_WEIGHT = 12
"""The stated noise counts as much as the residuals of so many plates would tell of it (house default)."""
_ROUNDS = 6


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BrowningFit:
    """What a trial tells.

    Attributes
    ----------
    browning, covariance
        The constants, and (4, 4) their covariance, in the order of `Browning`.
    freedom
        Degrees of freedom of their doubt.
    noise, noise_times
        As stated, and by what factor the plates' own scatter enlarged it.
    """

    browning: Browning
    covariance: FloatArray
    freedom: float
    noise: Noise
    noise_times: float
    tried: Tried

    def places(self, time_s: FloatArray, celsius: FloatArray) -> FloatArray:
        """(n,) places on the scale."""
        return place_after(self.browning, time_s, celsius)

    def log_time(self, place: float, celsius: float) -> tuple[float, float]:
        """Natural log of the seconds until a place is reached, and its standard uncertainty.

        Raises
        ------
        TrialError
            Browning never gets there.
        """
        time_s = time_to(self.browning, place, celsius)
        if not np.isfinite(time_s):
            raise TrialError(f"No time leads to {place:g} on the scale.", hint="Try plates paler and darker than that.")
        slope = self.log_time_slope(place, celsius)
        return float(np.log(time_s)), float(np.sqrt(slope @ self.covariance @ slope))

    def log_time_slope(self, place: float, celsius: float) -> FloatArray:
        """(4,) how the log of the time until a place moves with each constant."""
        time_s = np.array([time_to(self.browning, place, celsius)])
        by_constants, by_settings = gradient(self.browning, time_s, np.array([celsius]))
        return np.asarray(-by_constants[0] / (by_settings[0, 0] * time_s), float)

    def information(self, time_s: FloatArray, celsius: FloatArray) -> FloatArray:
        """(n, 4, 4) what one plate there would tell of the constants."""
        by_constants, _ = gradient(self.browning, time_s, celsius)
        scaled = by_constants / (self.noise_times * plate_sd(self.browning, self.noise, time_s, celsius)[:, None])
        return np.asarray(scaled[:, :, None] * scaled[:, None, :], float)


def fit_browning(plates: Sequence[TrialPlate], noise: Noise, *, steps: int) -> BrowningFit:
    """The constants that fit a trial's plates, on a scale of so many steps.

    Raises
    ------
    TrialError
        The plates can't tell anything: see `trial.columns`.

    Notes
    -----
    Least squares, weighted by each plate's noise carried through the curve ("effective variance": J. Orear, Am. J.
    Phys. 50 (1982) 912, from memory), with what is known beforehand as further observations; noise enlarged, or
    lessened, by what the plates scatter.
    """
    time_s, celsius, place = columns(plates)
    known, known_u = _beforehand(time_s, celsius, place, steps)
    values, sd = known, np.full(len(place), noise.place)
    for _ in range(_ROUNDS):

        def residuals(at: FloatArray, sd: FloatArray = sd) -> FloatArray:
            off = (place - place_after(browning_of(at), time_s, celsius)) / sd
            return np.concatenate([off, (known - at) / known_u])

        values = least_squares(residuals, values, x_scale=known_u).x
        sd = plate_sd(browning_of(values), noise, time_s, celsius)
    browning = browning_of(values)
    by_constants, _ = gradient(browning, time_s, celsius)
    told = (by_constants / sd[:, None] ** 2).T @ by_constants
    covariance = np.linalg.inv(told + np.diag(1 / known_u**2))
    off = (place - place_after(browning, time_s, celsius)) / sd
    freedom = len(place) - float(np.trace(covariance @ told)) + NOISE_WEIGHT
    larger = float(np.sqrt((off @ off + NOISE_WEIGHT) / freedom))
    return BrowningFit(
        browning=browning,
        covariance=covariance * larger**2,
        freedom=freedom,
        noise=noise,
        noise_times=larger,
        tried=tried_by(time_s, celsius),
    )


def plate_sd(browning: Browning, noise: Noise, time_s: FloatArray, celsius: FloatArray) -> FloatArray:
    """(n,) how far a plate's place strays, steps: what time and temperature are off by moves it along the curve."""
    _, by_settings = gradient(browning, time_s, celsius)
    moved = by_settings * np.array([noise.time_s, noise.celsius])
    return np.asarray(np.sqrt(noise.place**2 + (moved**2).sum(axis=-1)), float)


def _beforehand(
    time_s: FloatArray, celsius: FloatArray, place: FloatArray, steps: int
) -> tuple[FloatArray, FloatArray]:
    """(4,) what is known of the constants before any plate, and how surely; the rate: only where to begin looking."""
    end = max(steps + _BEYOND, float(place.max()) + 1)
    midway = float(np.clip(np.median(place), _START + 0.05 * (end - _START), end - 0.05 * (end - _START)))
    at_rate_one = Browning(start=_START, end=end, log_rate=0.0, energy_kj=_ENERGY)
    log_rate = float(np.log(time_to(at_rate_one, midway, float(np.median(celsius))) / np.median(time_s)))
    return np.array([_START, end, log_rate, _ENERGY]), np.array([_START_U, _BEYOND_U, _LOG_RATE_U, _ENERGY_U])

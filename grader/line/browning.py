"""How fries brown in hot oil: first order in what is left to brown, at a rate that grows with temperature."""

from dataclasses import astuple, dataclass

import numpy as np

from grader.arrays import FloatArray

GAS_J_MOL_K = 8.314462618
"""Molar gas constant, J/(mol K); exact since 2019 (CODATA)."""
REFERENCE_C = 180.0
_ZERO_C_K = 273.15


@dataclass(frozen=True, slots=True, kw_only=True)
class Browning:
    """Constants of one potato in one oil, on one house scale.

    Attributes
    ----------
    start, end
        Places on the scale of the fry as it goes in, and of one left in for ever.
    log_rate
        Natural log of the rate at 180 C, 1/s.
    energy_kj
        Activation energy of the rate, kJ/mol.
    """

    start: float
    end: float
    log_rate: float
    energy_kj: float

    @property
    def values(self) -> FloatArray:
        """(4,) the constants in the order of `gradient`'s columns."""
        return np.array(astuple(self))


def browning_of(values: FloatArray) -> Browning:
    """The constants (4,) by their names."""
    start, end, log_rate, energy_kj = (float(value) for value in values)
    return Browning(start=start, end=end, log_rate=log_rate, energy_kj=energy_kj)


def hotter(celsius: FloatArray | float) -> FloatArray:
    """By how much 1/(R T) is below that at 180 C, mol/kJ: times an energy it is what the log of a rate gains.

    Source: the equation of Arrhenius.
    """
    kelvin = np.asarray(celsius, float) + _ZERO_C_K
    return np.asarray(1000 / GAS_J_MOL_K * (1 / (REFERENCE_C + _ZERO_C_K) - 1 / kelvin), float)


def place_after(browning: Browning, time_s: FloatArray | float, celsius: FloatArray | float) -> FloatArray:
    """Places on the scale after so many seconds in oil of that temperature: end - (end - start) exp(-k t).

    Source: first-order kinetics of fry colour, M. K. Krokida and others, J. Food Eng. 48 (2001) 219-225 (abstract);
    with such a rate, S. Sahin, Eur. Food Res. Technol. (2000).
    """
    return browning.end - (browning.end - browning.start) * _left(browning, time_s, celsius)


def _left(browning: Browning, time_s: FloatArray | float, celsius: FloatArray | float) -> FloatArray:
    rate = np.exp(browning.log_rate + browning.energy_kj * hotter(celsius))
    return np.asarray(np.exp(-rate * np.asarray(time_s, float)), float)


def gradient(browning: Browning, time_s: FloatArray, celsius: FloatArray) -> tuple[FloatArray, FloatArray]:
    """How places (n,) move: with each constant (n, 4), and with time, 1/s, and temperature, 1/C (n, 2)."""
    left = _left(browning, time_s, celsius)
    turned = -np.log(left)
    with_log_rate = (browning.end - browning.start) * left * turned
    kelvin = celsius + _ZERO_C_K
    with_constants = np.stack([left, 1 - left, with_log_rate, with_log_rate * hotter(celsius)], axis=-1)
    with_settings = np.stack(
        [with_log_rate / time_s, with_log_rate * browning.energy_kj * 1000 / (GAS_J_MOL_K * kelvin**2)], axis=-1
    )
    return with_constants, with_settings


def time_to(browning: Browning, place: float, celsius: float) -> float:
    """Seconds in oil of that temperature until the place is reached; nan where it never is."""
    left = (browning.end - place) / (browning.end - browning.start)
    if not 0 < left < 1:
        return float("nan")
    return float(-np.log(left) / np.exp(browning.log_rate + browning.energy_kj * hotter(celsius)))

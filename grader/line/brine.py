"""Salt baths in which tubers float or sink: how much salt one of a wanted density takes."""

import numpy as np
from scipy.interpolate import PchipInterpolator

from grader.errors import GraderError

_SHARE = np.array([0, 1, 2, 4, 6, 8, 10, 12, 14, 16, 18, 20, 22, 24, 26]) / 100
_DENSITY = np.array(
    [
        998.2,
        1005.3,
        1012.2,
        1026.8,
        1041.3,
        1055.9,
        1070.7,
        1085.7,
        1100.9,
        1116.2,
        1131.9,
        1147.8,
        1164.0,
        1180.4,
        1197.2,
    ]
)
_PER_DEGREE = np.array([0.20, 0.22, 0.24, 0.28, 0.31, 0.34, 0.37, 0.39, 0.42, 0.44, 0.47, 0.49, 0.51, 0.53, 0.55])
"""Share of salt by mass; density, kg/m3, at 20 C; kg/m3 that a degree colder adds. Source: Poradnik fizykochemiczny
(1974), as printed at fizyka.umk.pl/~lab2/tables/NaCl.html. The row of plain water: from memory."""
_WATER = 998.2
"""kg/m3, of water at 20 C, to which specific gravities refer."""
_AT_20 = PchipInterpolator(_SHARE, _DENSITY)
_COLDER = PchipInterpolator(_SHARE, _PER_DEGREE)
_SHARES = np.linspace(0, _SHARE[-1], 2601)
COLDEST_C, WARMEST_C = 5.0, 30.0
"""Between these the table's term for temperature is used."""


class BrineError(GraderError, ValueError):
    """No such brine can be mixed, or the table doesn't reach so far."""


def salt_g_per_kg_water(gravity: float, *, temperature_c: float = 20.0) -> float:
    """Grams of salt to a kilogram (a litre) of water for a brine in which tubers of just this gravity hover.

    Raises
    ------
    BrineError
        No brine has it, or too cold or warm.
    """
    _check_temperature(temperature_c)
    there = _gravity(_SHARES, temperature_c)
    if not there[0] < gravity <= there[-1]:
        hint = f"At {temperature_c:g} C brines reach from {there[0]:.3f} to {there[-1]:.3f}."
        raise BrineError(f"No brine has a specific gravity of {gravity:g}.", hint=hint)
    share = float(np.interp(gravity, there, _SHARES))
    return 1000 * share / (1 - share)


def _gravity(
    shares: np.ndarray[tuple[int], np.dtype[np.float64]], temperature_c: float
) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    return np.asarray((_AT_20(shares) + _COLDER(shares) * (20 - temperature_c)) / _WATER, float)


def _check_temperature(temperature_c: float) -> None:
    if not COLDEST_C <= temperature_c <= WARMEST_C:
        raise BrineError(
            f"{temperature_c:g} C is beyond the table.", hint=f"Let the bath come to {COLDEST_C:g} to {WARMEST_C:g} C."
        )

"""How thick fries are, where a flank shows: off to one side the camera sees it darker than the top, t times tan wide.

One such reading is rough, so it counts only as far as the fries of a plate are seen to differ in thickness by more than
readings do (empirical Bayes; Efron and Morris, "Stein's estimation rule and its competitors", 1973, from memory): where
all were cut alike nothing changes, where some lie flat and others stand on their narrow side all does.
"""

import numpy as np

from grader.arrays import FloatArray
from grader.fries.across import LightAcross
from grader.fries.geometry import StripGeometry

_LEAN = 0.2
"""Nearer to below the camera a flank is too narrow to read."""
_RIM, _TOP = (0.06, 0.17), (0.62, 0.9)
"""Shares of the way across, from the near side: surely flank where there is one, surely top."""
_DARKER = 0.3
"""Natural log of light: so much darker than the top a flank is at least (0.5 to 1.8 on rendered plates)."""
_ROUNDED_MM = 1.5
"""What a rounded edge takes off: against known thicknesses of 421 rendered fries 0.8 to 2.0 mm."""
_READING_U_MM = 1.0
_LEAST_READINGS = 5
_THICKNESS_RANGE = 0.5, 1.7
_WORTH_MM = 0.5


def thickness_by_flank(lights: dict[int, LightAcross | None], strips: dict[int, StripGeometry]) -> dict[int, float]:
    """By number, mm, of the fries of a plate that are thicker or thinner than its fries are wide; few, or none.

    Parameters
    ----------
    lights, strips
        Of the plate's bars, by number, taken to lie flat and to be as thick as usual.
    """
    read = {number: _read(lights[number]) for number in strips}
    seen = {number: value for number, value in read.items() if value is not None}
    if len(seen) < _LEAST_READINGS:
        return {}
    usual = float(np.median([strip.width_mm for strip in strips.values()]))
    values = np.array(list(seen.values()))
    spread = 1.4826 * float(np.median(np.abs(values - np.median(values))))
    weight = max(0.0, 1 - (_READING_U_MM / max(spread, 1e-9)) ** 2)
    low, high = _THICKNESS_RANGE
    likely = {number: usual + weight * (value - usual) for number, value in seen.items()}
    return {
        number: float(np.clip(value, low * usual, high * usual))
        for number, value in likely.items()
        if abs(value - usual) > _WORTH_MM
    }


def _read(seen: LightAcross | None) -> float | None:
    """Mm; None where no flank shows."""
    if seen is None or abs(seen.leaning) <= _LEAN:
        return None
    light, lean = seen.log_light, seen.leaning
    from_near = light if lean > 0 else light[::-1]
    flank, top = (_median(from_near, shares) for shares in (_RIM, _TOP))
    if top - flank < _DARKER:
        return None
    first = round(_RIM[0] * len(from_near))
    edge = first + int(np.argmax(from_near[first:] > (flank + top) / 2))
    return edge * seen.step_mm / abs(lean) + _ROUNDED_MM


def _median(light: FloatArray, shares: tuple[float, float]) -> float:
    first, last = (round(share * len(light)) for share in shares)
    return float(np.median(light[first : max(last, first + 1)]))

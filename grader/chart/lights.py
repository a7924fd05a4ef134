"""Whether two photographs of a chart were taken under different lights.

A phone balances white, mixes channels by a matrix and raises saturation, all as it likes, so neither a lamp's tint nor
the strength of colours tells anything. But under one light, whatever the phone did, a matrix takes what the sensor saw
in the one photograph to what it saw in the other. Under lights of different spectra none does, for every patch.
"""

from collections.abc import Sequence

import numpy as np

from grader.arrays import FloatArray
from grader.chart.beside import BesideChart
from grader.colour import ciede2000, xyz_to_lab
from grader.colour.response import expand, unbend

APART_DE = 0.45
"""CIE 2000. Between two photographs under one light, whatever their exposure, tone, saturation and fall-off, 0.1 to
0.3, rarely 0.4. Between daylight, tungsten and tubes 0.6 to 2; between lamps much alike (D65 and D50, daylight and some
white LED) about as much as this. Measured on cameras simulated from spectra."""
_DARKEST = 0.02


def apart_de(one: BesideChart, other: BesideChart) -> float:
    """Median CIE 2000 difference of the chart between two photographs, after the matrix that takes one to the other."""
    both = one.chart.usable & other.chart.usable
    here, there = _scene(one)[both], _scene(other)[both]
    matrix = one.correction.matrix
    xyz = expand(here, matrix.shape[1]) @ matrix.T
    # CIELAB follows a cube root: an error shows the more, the darker the patch.
    weight = np.maximum(xyz[:, 1:2], _DARKEST) ** (-2 / 3)
    taken = there @ np.linalg.lstsq(there * weight, here * weight, rcond=None)[0]
    return float(np.median(ciede2000(xyz_to_lab(xyz), xyz_to_lab(expand(taken, matrix.shape[1]) @ matrix.T))))


def by_light(photos: Sequence[BesideChart]) -> tuple[tuple[BesideChart, ...], ...]:
    """Photographs sorted by light: each joins the first group that holds one not apart from it."""
    groups: list[list[BesideChart]] = []
    for photo in photos:
        same = next((group for group in groups if any(apart_de(one, photo) < APART_DE for one in group)), None)
        if same is None:
            groups.append([photo])
        else:
            same.append(photo)
    return tuple(tuple(group) for group in groups)


def _scene(photo: BesideChart) -> FloatArray:
    """(24, 3) what the sensor saw of the chart in even light: tone, haze and fall-off undone."""
    correction = photo.correction
    rgb = unbend(photo.chart.rgb, correction.tone) - correction.haze * correction.white_rgb
    return np.asarray(rgb / photo.chart_light[:, None])

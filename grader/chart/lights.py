"""Whether two photographs of a chart were taken under different lights.

A phone balances white, so a lamp's own tint tells nothing. What stays is how the colours lie to each other: seen by the
correction of the one photograph, after the greys of both were made equal, the chart's colours of the other come out
where they were if the light is the same, and elsewhere if its spectrum is another.
"""

from collections.abc import Sequence

import numpy as np

from grader.arrays import FloatArray, MaskArray
from grader.chart.beside import BesideChart
from grader.chart.model import PATCHES
from grader.colour import ciede2000, xyz_to_lab
from grader.colour.response import expand, unbend

APART_DE = 0.5
"""CIE 2000. Between two photographs under one light, whatever their exposure, tone and uneven light: up to 0.4. Between
tungsten, daylight, tubes and white LED: 0.6 and more (D65 and D50 alone are too alike). Measured on cameras simulated
from spectra."""

_NUMBERS = np.arange(1, PATCHES + 1)
_GREYS: MaskArray = (_NUMBERS >= 20) & (_NUMBERS <= 23)
_COLOURS: MaskArray = _NUMBERS <= 18


def apart_de(one: BesideChart, other: BesideChart) -> float:
    """Median CIE 2000 difference of the chart's coloured patches between two photographs, their greys made equal."""
    here, there = _scene(one), _scene(other)
    both = one.chart.usable & other.chart.usable
    greys = both & _GREYS & (np.minimum(here, there).min(axis=1) > 0)
    gain = np.exp(np.log(here[greys] / there[greys]).mean(axis=0)) if greys.any() else np.ones(3)
    matrix = one.correction.matrix
    lab_here, lab_there = (xyz_to_lab(expand(rgb, matrix.shape[1]) @ matrix.T) for rgb in (here, there * gain))
    return float(np.median(ciede2000(lab_here, lab_there)[both & _COLOURS]))


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

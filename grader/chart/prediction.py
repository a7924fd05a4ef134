"""Fitted on the odd patches, held against the even ones: what a correction does to colours that it has not seen.

Beside the grader's own correction stand two plain fits of the same patches, so that a figure has something to be
compared with, and each fit's own figure on the patches that it was fitted to, which flatters.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from grader.arrays import FloatArray, MaskArray, frozen
from grader.chart.model import PATCH_CENTRES, PATCHES, ChartReadings
from grader.colour import (
    Correction,
    LightField,
    apply_correction,
    ciede2000,
    fit_correction,
    fit_light,
    lab_to_xyz,
    light_at,
    xyz_to_lab,
)
from grader.colour.fitting import MIN_PATCHES
from grader.colour.quality import refuse_black_and_white
from grader.colour.response import expand
from grader.errors import ColourFitPoor

NUMBERS = np.arange(1, PATCHES + 1)
ODD: MaskArray = frozen(np.asarray(NUMBERS % 2 == 1))

PITCH_MM = 45.0
"""Of the common size of such charts, some 28 cm wide. A smaller one only has less of its light's slope."""
_LEVEL_U = 0.03
"""What a correction leaves of a patch's luminance, so much less does one patch tell about the light than bare paper."""
_DARKEST = 0.02
"""Luminance below which stray light, not the lamp, makes a patch's level."""
_TURNS = 4

Method = Callable[[ChartReadings, FloatArray, MaskArray], FloatArray]
"""CIELAB (24, 3) of all patches by a fit to those of a mask (24,), of readings and known CIELAB (24, 3)."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Prediction:
    """One chart by one method.

    Attributes
    ----------
    lab
        (24, 3) CIELAB, D65, of every patch by the fit to the odd ones.
    de
        (24,) CIE 2000 difference from the known colour; nan where a patch could not be read.
    """

    lab: FloatArray
    de: FloatArray

    @property
    def fitted_de(self) -> FloatArray:
        """Differences of the odd patches, to which it was fitted."""
        return _known(self.de[ODD])

    @property
    def predicted_de(self) -> FloatArray:
        """Differences of the even patches, which it has not seen."""
        return _known(self.de[~ODD])


def predict_even(readings: ChartReadings, reference_lab: FloatArray) -> dict[str, Prediction]:
    """Fit each method to the odd patches of a chart and predict them all.

    Raises
    ------
    ColourFitPoor
        Too few of the odd patches can be used, or none of the even ones, or they are black and white.
    """
    fitted = ODD & readings.usable
    if fitted.sum() < MIN_PATCHES or not (~ODD & readings.usable).any():
        raise ColourFitPoor(
            f"Only {int(readings.usable.sum())} of the 24 patches can be read, {int(fitted.sum())} of them odd.",
            hint="Photograph the chart evenly lit, without reflections, neither burnt out nor in the dark.",
            code="colour_fit_poor",
        )
    refuse_black_and_white(readings.rgb[fitted])
    found = {}
    for name, method in METHODS.items():
        lab = method(readings, reference_lab, fitted)
        de = np.where(readings.usable, ciede2000(lab, reference_lab), np.nan)
        found[name] = Prediction(lab=frozen(lab), de=frozen(de))
    return found


def fit_chart(readings: ChartReadings, reference_lab: FloatArray, fitted: MaskArray) -> tuple[Correction, LightField]:
    """The grader's own correction, fitted to some patches of a chart, and the light's fall-off over it by the same.

    All patches count alike: those of a chart are of all colours, and so are those that it shall predict. A chart has no
    bare paper, so its patches themselves tell the light, each within what a correction leaves of its luminance.
    """
    places = PATCH_CENTRES * PITCH_MM
    known = lab_to_xyz(reference_lab)[:, 1]
    factor = np.ones(PATCHES)
    for _ in range(_TURNS):
        correction = fit_correction(
            readings.rgb, reference_lab, readings.rgb_u, light=factor, weights=fitted.astype(float)
        )
        seen = apply_correction(correction, readings.rgb)[:, 1]
        lit = fitted & (np.minimum(seen, known) > _DARKEST)
        light = fit_light(places[lit], seen[lit] / known[lit], level_u=_LEVEL_U)
        factor, _ = light_at(light, places)
    return correction, light


def _grader(readings: ChartReadings, reference_lab: FloatArray, fitted: MaskArray) -> FloatArray:
    correction, light = fit_chart(readings, reference_lab, fitted)
    factor, _ = light_at(light, PATCH_CENTRES * PITCH_MM)
    return xyz_to_lab(apply_correction(correction, readings.rgb) / factor[:, None])


def _least_squares(terms: int) -> Method:
    """Plain linear least squares from `terms` terms of rgb to XYZ, every patch alike, no tone, haze or light."""

    def method(readings: ChartReadings, reference_lab: FloatArray, fitted: MaskArray) -> FloatArray:
        basis = expand(readings.rgb, terms)
        matrix = np.linalg.lstsq(basis[fitted], lab_to_xyz(reference_lab[fitted]), rcond=None)[0]
        return xyz_to_lab(basis @ matrix)

    return method


METHODS: Mapping[str, Method] = MappingProxyType(
    {
        "the grader": _grader,
        "3x3 matrix": _least_squares(3),
        "root-polynomial": _least_squares(6),
    }
)


def _known(values: FloatArray) -> FloatArray:
    return np.asarray(values[np.isfinite(values)])

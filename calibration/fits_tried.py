"""Fits of a card that were tried beside the grader's own, each with all else as it stands.

Two kinds: the grader's fit with other settings, and plain weighted least squares on terms of the rgb. Every one of them
gets the light over the sheet that the grader's fit found, so that the fits alone are compared.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from grader.arrays import FloatArray
from grader.colour import (
    FitSettings,
    SheetColour,
    SheetSamples,
    apply_correction,
    ciede2000,
    fit_correction,
    fry_weights,
    lab_to_xyz,
    light_at,
    xyz_to_lab,
)
from grader.colour.correction import Correction
from grader.colour.fitting import DEFAULT_SETTINGS
from grader.colour.metamerism import reveal_food_bias
from grader.colour.response import expand, unbend

# A prior so narrow that what it holds stays where it is.
_FIXED = 1e-6
# Slope of CIELAB by XYZ where Y = 1 (CIE 15), over the units that a model leaves: least squares then counts what shows.
_LAB_PER_XYZ = 116 / 3 / DEFAULT_SETTINGS.model_sd
_DARKEST = 0.02
# XYZ are handed on as though a camera had seen them: halved, to fit between 0 and 1.
_HALF = 0.5


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Tried:
    """One fit of one sheet.

    Attributes
    ----------
    colour
        What it makes of the sheet, for pixels as `seen` gives them.
    left_out_de
        (n,) CIE 2000 difference of each patch used, predicted by the others.
    seen
        Picture-linear rgb (..., 3) to what `colour` corrects.
    """

    colour: SheetColour
    left_out_de: FloatArray
    seen: Callable[[FloatArray], FloatArray]


Try = Callable[[SheetSamples, SheetColour], Tried]
"""From what was read of a sheet, and the grader's own fit of it."""


def tries() -> dict[str, Try]:
    """By name, every fit that is compared; "used" is the grader's."""
    no_tone = replace(DEFAULT_SETTINGS, tone=(0.0, 0.0), tone_sd=(_FIXED, _FIXED))
    return {
        "matrix 3x3": _least_squares(_linear),
        "matrix 3x3, every patch alike": _least_squares(_linear, alike=True),
        "affine: matrix and offset": _least_squares(_affine),
        "root-polynomial 2": _least_squares(_root_2),
        "root-polynomial 3": _least_squares(root_polynomial_3),
        "root-polynomial 3, roots held": _least_squares(root_polynomial_3, root_sd=DEFAULT_SETTINGS.root_sd),
        "root-polynomial 3, roots held, haze and tone as used": _least_squares(
            root_polynomial_3, root_sd=DEFAULT_SETTINGS.root_sd, cleared=True
        ),
        "matrix, haze": _settings(replace(no_tone, terms=3)),
        "matrix, haze, tone": _settings(replace(DEFAULT_SETTINGS, terms=3)),
        "root-polynomial 2, haze": _settings(no_tone),
        "root-polynomial 2, haze, tone: used": _settings(DEFAULT_SETTINGS),
        "used, every patch alike": _settings(DEFAULT_SETTINGS, alike=True),
        "used, roots held ten times looser": _settings(replace(DEFAULT_SETTINGS, root_sd=1.0)),
        "used, roots held three times tighter": _settings(replace(DEFAULT_SETTINGS, root_sd=0.03)),
        "used, haze held three times looser": _settings(replace(DEFAULT_SETTINGS, haze_sd=0.045)),
        "used, tone held three times looser": _settings(replace(DEFAULT_SETTINGS, tone_sd=(0.15, 0.30))),
    }


def root_polynomial_3(rgb: FloatArray) -> FloatArray:
    """(..., 13) root-polynomial expansion of degree 3: rgb, square roots of two, cube roots of three.

    Source: Finlayson, Mackiewicz & Hurlbert, IEEE Trans. Image Process. 24 (2015) 1460-1470.
    """
    red, green, blue = np.moveaxis(np.maximum(rgb, 0.0), -1, 0)
    products = [red * green**2, green * blue**2, red * blue**2, green * red**2, blue * green**2, blue * red**2]
    cubes = np.cbrt(np.stack([*products, red * green * blue], -1))
    return np.concatenate([expand(rgb, 6), cubes], -1)


def _linear(rgb: FloatArray) -> FloatArray:
    return rgb


def _affine(rgb: FloatArray) -> FloatArray:
    return np.concatenate([rgb, np.ones((*rgb.shape[:-1], 1))], -1)


def _root_2(rgb: FloatArray) -> FloatArray:
    return expand(rgb, 6)


def _settings(settings: FitSettings, *, alike: bool = False) -> Try:
    """The grader's fit with other settings."""

    def fit(samples: SheetSamples, used: SheetColour) -> Tried:
        light, _ = light_at(used.light, samples.patch_xy_mm)
        correction = fit_correction(
            samples.patch_rgb,
            samples.patch_lab,
            samples.patch_rgb_u,
            light=light,
            weights=_weights(samples, alike=alike),
            settings=settings,
        )
        colour = _sheet_colour(samples, used, correction, samples.patch_rgb)
        left_out = correction.left_out_de
        return Tried(colour=colour, left_out_de=left_out[np.isfinite(left_out)], seen=_linear)

    return fit


def _least_squares(
    terms: Callable[[FloatArray], FloatArray],
    *,
    alike: bool = False,
    root_sd: float | None = None,
    cleared: bool = False,
) -> Try:
    """XYZ as a linear function of terms of the rgb; those beyond the third may be held near 0 by a normal prior.

    `cleared`: the rgb freed of the tone and haze that the grader's fit found.
    """

    def fit(samples: SheetSamples, used: SheetColour) -> Tried:
        kept = used.correction

        def clear(rgb: FloatArray) -> FloatArray:
            return unbend(rgb, kept.tone) - kept.haze * kept.white_rgb if cleared else rgb

        use = samples.patch_usable
        light = light_at(used.light, samples.patch_xy_mm)[0][use][:, None]
        known = lab_to_xyz(samples.patch_lab[use])
        weight = np.sqrt(_weights(samples, alike=alike)[use])[:, None]
        weight = weight * _LAB_PER_XYZ * np.maximum(known[:, 1:2], _DARKEST) ** (-2 / 3)
        design = terms(clear(samples.patch_rgb[use])) / light
        held = np.zeros(design.shape[1])
        held[3:] = 0.0 if root_sd is None else root_sd**-2
        pull = np.linalg.pinv((design * weight).T @ (design * weight) + np.diag(held)) @ (design * weight).T
        matrix = pull @ (known * weight)
        leverage = np.einsum("ij,ji->i", design * weight, pull)[:, None]
        left_out = xyz_to_lab(known + (design @ matrix - known) / (1 - np.minimum(leverage, 1 - 1e-9)))
        # An offset is haze by another name; the shine's signs want to know how much was taken off.
        haze = kept.haze if cleared else -float(matrix[3, 1]) if design.shape[1] == len("rgb") + 1 else 0.0

        def seen(rgb: FloatArray) -> FloatArray:
            return np.asarray(terms(clear(rgb)) @ matrix * _HALF, float)

        colour = _sheet_colour(samples, used, _handing_on(kept, haze), seen(samples.patch_rgb))
        return Tried(colour=colour, left_out_de=ciede2000(left_out, samples.patch_lab[use]), seen=seen)

    return fit


def _handing_on(like: Correction, haze: float) -> Correction:
    """A correction that only doubles what it is given; its haze is told and takes nothing off."""
    parameters = np.concatenate([[0.0, 0.0, haze], (np.eye(3) / _HALF).ravel()])
    return replace(like, parameters=parameters, white_rgb=np.zeros(3))


def _weights(samples: SheetSamples, *, alike: bool) -> FloatArray:
    weights = np.ones(len(samples.patch_lab)) if alike else fry_weights(samples.patch_lab)
    return np.asarray(weights * samples.patch_usable, float)


def _sheet_colour(
    samples: SheetSamples, used: SheetColour, correction: Correction, patch_seen: FloatArray
) -> SheetColour:
    """With another correction, and what its errors on the patches tell of food; the light as it was."""
    light, _ = light_at(used.light, samples.patch_xy_mm)
    fitted = xyz_to_lab(apply_correction(correction, patch_seen) / light[:, None])
    bias = reveal_food_bias(
        samples.patch_lab,
        fitted - samples.patch_lab,
        patch_lab_u=samples.patch_lab_u,
        usable=samples.patch_usable,
    )
    return replace(used, correction=correction, food_bias=bias)

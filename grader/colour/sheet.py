"""The colour of a whole sheet: its correction and the light over it, which need each other, fitted in turns."""

from dataclasses import dataclass

import numpy as np

from grader.arrays import FloatArray, MaskArray, frozen
from grader.colour.cie import lab_to_xyz, xyz_to_lab
from grader.colour.correction import Correction, apply_correction
from grader.colour.fitting import DEFAULT_SETTINGS, MIN_PATCHES, FitSettings, fit_correction, fry_weights
from grader.colour.light import MIN_SPOTS, LightField, fit_light, light_at
from grader.colour.metamerism import FoodBias, reveal_food_bias
from grader.colour.quality import refuse_black_and_white
from grader.errors import ColourFitPoor

# Ground darker than this (luminance as corrected) tells nothing about the light: stray light and noise rule there.
_DARKEST_GROUND = 0.02
_TURNS = 3


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SheetSamples:
    """What was read of a sheet: picture-linear rgb (0 to 1), known CIELAB (D65), places in sheet mm.

    Attributes
    ----------
    patch_xy_mm, patch_rgb, patch_rgb_u, patch_lab
        (n, 2) middles, (n, 3) means, (n, 3) their standard uncertainty, (n, 3) known colours.
    patch_lab_u
        (n, 3) standard uncertainty of the known colours, CIELAB. Zeros where the print was never measured: what the
        printer did to it is not known, and no number here stands for it; such results show trends only.
    patch_usable
        (n,) False where a patch must be left out.
    ground_xy_mm, ground_rgb, ground_lab
        (m, 2), (m, 3), (m, 3): spots of bare sheet and bare field; spots of equal `ground_lab` are one surface.
    """

    patch_xy_mm: FloatArray
    patch_rgb: FloatArray
    patch_rgb_u: FloatArray
    patch_lab: FloatArray
    patch_lab_u: FloatArray
    patch_usable: MaskArray
    ground_xy_mm: FloatArray
    ground_rgb: FloatArray
    ground_lab: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SheetColour:
    """What a sheet tells of the colours of a photo.

    Attributes
    ----------
    correction, light
        The correction for the sheet's mean light, and how the light falls off from there.
    food_bias
        How far food is off, being no ink.
    card_lab_u
        (3,) standard uncertainty of the card's own values near the colours of fries, which every fry shares: whatever
        measured the card is off by much the same on neighbouring colours, so it does not shrink with their number.
    """

    correction: Correction
    light: LightField
    food_bias: FoodBias
    card_lab_u: FloatArray


def fit_sheet_colour(samples: SheetSamples, *, settings: FitSettings = DEFAULT_SETTINGS) -> SheetColour:
    """Fit correction and light in turns: the light's slope over the patches bends the first, tone and haze the second.

    Raises
    ------
    ColourFitPoor
        If too few patches or too little bare sheet can be read to fit anything, or the photo is black and white.
    """
    _refuse_too_few(int(np.sum(samples.patch_usable)), MIN_PATCHES, "patches of the card")
    refuse_black_and_white(samples.patch_rgb[samples.patch_usable])
    weights = fry_weights(samples.patch_lab) * samples.patch_usable
    surface = np.unique(samples.ground_lab, axis=0, return_inverse=True)[1].ravel()
    known = lab_to_xyz(samples.ground_lab)[:, 1]
    factor = np.ones(len(weights))
    for _ in range(_TURNS):
        correction = fit_correction(
            samples.patch_rgb, samples.patch_lab, samples.patch_rgb_u, light=factor, weights=weights, settings=settings
        )
        seen = apply_correction(correction, samples.ground_rgb)[:, 1]
        bright = seen > _DARKEST_GROUND
        _refuse_too_few(int(bright.sum()), MIN_SPOTS, "spots of the bare sheet")
        light = fit_light(samples.ground_xy_mm[bright], (seen / known)[bright], surface=surface[bright])
        factor, _ = light_at(light, samples.patch_xy_mm)
    fitted = xyz_to_lab(apply_correction(correction, samples.patch_rgb) / factor[:, None])
    bias = reveal_food_bias(
        samples.patch_lab,
        fitted - samples.patch_lab,
        patch_lab_u=samples.patch_lab_u,
        usable=samples.patch_usable,
    )
    card_lab_u = np.sqrt(np.average(np.square(samples.patch_lab_u), axis=0, weights=weights))
    return SheetColour(correction=correction, light=light, food_bias=bias, card_lab_u=frozen(card_lab_u))


def _refuse_too_few(count: int, needed: int, what: str) -> None:
    if count < needed:
        raise ColourFitPoor(
            f"Only {count} {what} can be read, and at least {needed} are needed to correct the colours.",
            hint="Photograph the whole card, evenly lit, neither burnt out nor in the dark, with nothing lying on it.",
            code="colour_fit_poor",
        )

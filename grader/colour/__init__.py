"""Colour: CIE maths, the correction of a camera by a card, the light over the plate, the colour of a fry."""

from grader.colour.cie import (
    D50,
    D65,
    WHITE_POINTS,
    adapt,
    adaptation_matrix,
    lab_d50_to_d65,
    lab_to_srgb8,
    lab_to_xyz,
    linear_srgb_to_lab,
    linear_srgb_to_xyz,
    xyz_to_lab,
    xyz_to_linear_srgb,
)
from grader.colour.correction import Correction, apply_correction, predict_lab_u
from grader.colour.difference import ciede2000
from grader.colour.fitting import FitSettings, fit_correction, fry_weights
from grader.colour.light import LightField, fit_light, light_at

__all__ = [
    "D50",
    "D65",
    "WHITE_POINTS",
    "Correction",
    "FitSettings",
    "LightField",
    "adapt",
    "adaptation_matrix",
    "apply_correction",
    "ciede2000",
    "fit_correction",
    "fit_light",
    "fry_weights",
    "lab_d50_to_d65",
    "lab_to_srgb8",
    "lab_to_xyz",
    "light_at",
    "linear_srgb_to_lab",
    "linear_srgb_to_xyz",
    "predict_lab_u",
    "xyz_to_lab",
    "xyz_to_linear_srgb",
]

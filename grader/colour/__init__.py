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
from grader.colour.correction import Correction, apply_correction, noise_lab_u, predict_lab_covariance
from grader.colour.difference import ciede2000
from grader.colour.facing import top_face
from grader.colour.fitting import FitSettings, fit_correction, fry_weights
from grader.colour.flesh import FleshSample, sample_flesh
from grader.colour.fry_colour import FleshColour, flesh_lab, mean_flesh_labs, shared_budget
from grader.colour.light import LightField, fit_light, light_at
from grader.colour.plain import plain_matrix
from grader.colour.quality import expected_error, refuse_poor_fit
from grader.colour.sheet import SheetColour, SheetSamples, fit_sheet_colour
from grader.colour.shine import Shine, plate_shine

__all__ = [
    "D50",
    "D65",
    "WHITE_POINTS",
    "Correction",
    "FitSettings",
    "FleshColour",
    "FleshSample",
    "LightField",
    "SheetColour",
    "SheetSamples",
    "Shine",
    "adapt",
    "adaptation_matrix",
    "apply_correction",
    "ciede2000",
    "expected_error",
    "fit_correction",
    "fit_light",
    "fit_sheet_colour",
    "flesh_lab",
    "fry_weights",
    "lab_d50_to_d65",
    "lab_to_srgb8",
    "lab_to_xyz",
    "light_at",
    "linear_srgb_to_lab",
    "linear_srgb_to_xyz",
    "mean_flesh_labs",
    "noise_lab_u",
    "plain_matrix",
    "plate_shine",
    "predict_lab_covariance",
    "refuse_poor_fit",
    "sample_flesh",
    "shared_budget",
    "top_face",
    "xyz_to_lab",
    "xyz_to_linear_srgb",
]

"""Made-up plates of fries, seen by the camera of these tests: body, shade, browning and shine, pixel by pixel."""

import numpy as np

from grader.arrays import FloatArray, MaskArray
from grader.card import load_layouts
from grader.colour import (
    D65,
    Correction,
    FleshSample,
    SheetColour,
    SheetSamples,
    fit_sheet_colour,
    lab_to_xyz,
    predict_lab_covariance,
    sample_flesh,
)
from grader.colour import fry_colour as room
from tests.colour.conftest import Camera

CAMERA = Camera(haze=0.0, contrast=0.1, exposure=0.7)
BROWNING = np.array([-6.0, 4.0, 0.5])
"""CIELAB that a step of browning moves a golden fry by (common practice: darker and redder)."""


def sheet_samples(patch_lab: FloatArray, camera: Camera = CAMERA) -> SheetSamples:
    """The card that ships in even light."""
    layout = load_layouts()[0]
    areas = [patch.area for patch in layout.patches]
    ground_xy = np.array([[x, y] for x in (2.0, 50.0, 98.0, 146.0) for y in (2.0, 35.0, 70.0, 103.0)])
    ground_lab = np.tile(layout.base_lab, (len(ground_xy), 1))
    rgb = camera.sees(lab_to_xyz(patch_lab))
    return SheetSamples(
        patch_xy_mm=np.array([[a.x_mm + a.width_mm / 2, a.y_mm + a.height_mm / 2] for a in areas]),
        patch_rgb=rgb,
        patch_rgb_u=np.full_like(rgb, 0.0005),
        patch_lab=patch_lab,
        patch_lab_u=np.zeros_like(patch_lab),
        patch_usable=np.ones(len(patch_lab), bool),
        ground_xy_mm=ground_xy,
        ground_rgb=camera.sees(lab_to_xyz(ground_lab)),
        ground_lab=ground_lab,
    )


def sheet_colour(patch_lab: FloatArray, camera: Camera = CAMERA) -> SheetColour:
    """The correction of that card."""
    return fit_sheet_colour(sheet_samples(patch_lab, camera))


def fit_lab_u(correction: Correction, rgb: FloatArray) -> FloatArray:
    """(..., 3) standard uncertainty that comes with the fit."""
    return np.sqrt(np.diagonal(predict_lab_covariance(correction, rgb), axis1=-2, axis2=-1))


def pixels(
    lab: FloatArray, *, shine: float, rng: np.random.Generator, flank: float = 0.5, count: int = 600
) -> tuple[FloatArray, MaskArray]:
    """rgb (k, 3) and which are on top: a quarter flank, browner, at half the light and without shine.

    Over the top the body differs in shade by 4 % and in browning by a third of a step, the shine by a third; the
    camera adds noise.
    """
    on_top = np.arange(count) % 4 > 0
    brown = np.where(on_top, 0.0, 0.3) + rng.normal(0, 0.33, count)
    shade = np.where(on_top, room._TOP_LEVEL, flank) * (1 + rng.normal(0, 0.04, count))
    mirrored = np.where(on_top, shine * (1 + rng.normal(0, 0.33, count)), 0.0)
    body = lab_to_xyz(lab + brown[:, None] * BROWNING)
    seen = CAMERA.sees(body * shade[:, None] + D65 * mirrored[:, None])
    return np.asarray(seen + rng.normal(0, 0.003, seen.shape), float), on_top


def plate(colour: SheetColour, lab: FloatArray, shine: float) -> list[FleshSample]:
    """A plate of fries of such colours (n, 3)."""
    rng = np.random.default_rng(5)
    return [sample_flesh(*pixels(one, shine=shine, rng=rng), correction=colour.correction) for one in lab]

"""A photograph without a picture: light, camera, print and a lot of fries, corrected by the project's own fit."""

from dataclasses import dataclass

import numpy as np

from grader.arrays import FloatArray
from grader.colour import apply_correction, fit_correction, xyz_to_lab
from tests.spectral.cameras import Camera, draw_camera, draw_rendering, picture, sensor_response
from tests.spectral.fries import draw_colours, draw_potato, fry_surfaces
from tests.spectral.inks import PrintedCard, draw_family, print_card, smooth_card, smooth_surfaces
from tests.spectral.lights import Light, draw_light
from tests.spectral.observer import reflectance_lab

# Noise of a patch's mean, a share of white: next to none, so that what is left is the spectra's doing.
_PATCH_U = 0.001
_FRIES = 24
# Some plates on which everything is as smooth as can be, so that what such a card shows is not read as that of inks.
_SMOOTH_SHARE = 0.15


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Shot:
    """What a correction leaves.

    Attributes
    ----------
    light, camera, family
        Names.
    design_lab, patch_lab, patch_error
        (n, 3) CIELAB of the patches as wanted, as printed, and as corrected less as printed.
    fry_lab, fry_error
        (m, 3) the same of the fries: as corrected, and that less what they are.
    """

    light: str
    camera: str
    family: str
    design_lab: FloatArray
    patch_lab: FloatArray
    patch_error: FloatArray
    fry_lab: FloatArray
    fry_error: FloatArray


def shoot(light: Light, camera: Camera, card: PrintedCard, fries: FloatArray, rng: np.random.Generator) -> Shot:
    """Photograph a card and fries (m, 81) under a light; fit on the card's patches; see what is left on both."""
    rendering = draw_rendering(camera, light.power, card.surfaces, rng)
    patch_rgb, fry_rgb = (
        picture(sensor_response(camera, light.power, surfaces), rendering) for surfaces in (card.surfaces, fries)
    )
    patch_lab, true_lab = reflectance_lab(card.surfaces), reflectance_lab(fries)
    correction = fit_correction(patch_rgb, patch_lab, np.full_like(patch_rgb, _PATCH_U))
    corrected, fry_lab = (xyz_to_lab(apply_correction(correction, rgb)) for rgb in (patch_rgb, fry_rgb))
    return Shot(
        light=light.name,
        camera=camera.name,
        family=card.family,
        design_lab=card.design_lab,
        patch_lab=patch_lab,
        patch_error=corrected - patch_lab,
        fry_lab=fry_lab,
        fry_error=fry_lab - true_lab,
    )


def draw_shot(design_lab: FloatArray, rng: np.random.Generator, *, light: Light | None = None) -> Shot:
    """One photograph at random of a card whose patches are to be CIELAB (n, 3); under one light, or a drawn one."""
    fry_lab = draw_colours(rng, _FRIES)
    if rng.random() < _SMOOTH_SHARE:
        card, fries = smooth_card(design_lab), smooth_surfaces(fry_lab)
    else:
        card, fries = print_card(draw_family(rng), design_lab), fry_surfaces(draw_potato(rng), fry_lab)
    return shoot(draw_light(rng) if light is None else light, draw_camera(rng), card, fries, rng)

"""An A6 card seen by a made-up camera in light that changes from place to place, and a plate beside it."""

from collections.abc import Callable

import numpy as np

from grader.arrays import FloatArray
from grader.colour import SheetColour, SheetSamples, fit_sheet_colour, lab_to_xyz
from grader.colour.cie import D65, WHITE_POINTS
from grader.colour.gates import BareSpots
from tests.colour.conftest import Camera

PAPER = (93.5, -0.3, 1.0)
WARM = WHITE_POINTS["A"] / D65
"""What a warm lamp does to XYZ where the correction takes it for the daylight over the card (adaptation by XYZ)."""
CARD_MM = np.array([74.0, 52.5])
FRY_MM = np.column_stack([np.linspace(-230, -90, 12), np.linspace(20, 90, 12)])

Light = Callable[[FloatArray], FloatArray]
"""(n, 3) what the light at (n, 2) mm does to XYZ; 1 everywhere is even daylight."""


def even(xy_mm: FloatArray) -> FloatArray:
    return np.ones((len(xy_mm), 3))


def mixed(share: Callable[[FloatArray], FloatArray]) -> Light:
    """Daylight and a warm lamp, whose share of the light is given by place."""

    def light(xy_mm: FloatArray) -> FloatArray:
        part = np.clip(share(xy_mm), 0, 1)[:, None]
        return np.asarray(1 - part + part * WARM, float)

    return light


def level(of: Callable[[FloatArray], FloatArray]) -> Light:
    """One light of a level that changes."""
    return lambda xy_mm: np.repeat(of(xy_mm)[:, None], 3, axis=1)


def card(patch_lab: FloatArray, light: Light = even, *, camera: Camera | None = None) -> SheetSamples:
    """Its patches in four rows, with paper all around and between them, about 1 % of noise on the paper."""
    camera = camera or Camera(haze=0.02, contrast=0.1, exposure=0.75)
    column, row = np.meshgrid(np.arange(6), np.arange(4))
    patch_xy = np.column_stack([33 + 16.4 * column.ravel(), 22 + 18.0 * row.ravel()])
    x, y = np.meshgrid(np.arange(3, 148, 5.0), np.arange(3, 105, 5.0))
    ground_xy = np.column_stack([x.ravel(), y.ravel()])
    ground_lab = np.tile(PAPER, (len(ground_xy), 1))
    grain = np.exp(np.random.default_rng(5).normal(0, 0.01, (len(ground_xy), 3)))
    rgb = camera.sees(lab_to_xyz(patch_lab) * light(patch_xy))
    return SheetSamples(
        patch_xy_mm=patch_xy,
        patch_rgb=rgb,
        patch_rgb_u=np.full_like(rgb, 0.0005),
        patch_lab=patch_lab,
        patch_lab_u=np.zeros_like(patch_lab),
        patch_usable=np.ones(len(patch_lab), bool),
        ground_xy_mm=ground_xy,
        ground_rgb=camera.sees(lab_to_xyz(ground_lab) * light(ground_xy)) * grain,
        ground_lab=ground_lab,
    )


def fitted(samples: SheetSamples) -> SheetColour:
    return fit_sheet_colour(samples)


def beside(light: Light = even, *, camera: Camera | None = None) -> BareSpots:
    """A grey table under card and plate, and a plate of warm white on it, 90 mm and more to the left of the card."""
    camera = camera or Camera(haze=0.02, contrast=0.1, exposure=0.75)
    x, y = np.meshgrid(np.arange(-280, 200, 6.0), np.arange(-60, 160, 6.0))
    xy = np.column_stack([x.ravel(), y.ravel()])
    on_plate = (xy[:, 0] < -60) & (np.abs(xy[:, 1] - 55) < 80)
    lab = np.where(on_plate[:, None], [88.0, 1.0, 8.0], [55.0, 0.0, 1.0])
    on_card = (np.abs(xy - CARD_MM) < [78, 56]).all(axis=1)
    rgb = camera.sees(lab_to_xyz(lab) * light(xy))
    return BareSpots(xy_mm=xy[~on_card], rgb=rgb[~on_card], surface=on_plate[~on_card].astype(np.uint16))

"""A whole sheet under uneven light, and when it is refused."""

from dataclasses import replace

import numpy as np
import pytest

from grader.arrays import FloatArray
from grader.colour import (
    SheetSamples,
    apply_correction,
    ciede2000,
    expected_error,
    fit_sheet_colour,
    lab_to_xyz,
    light_at,
    refuse_poor_fit,
    xyz_to_lab,
)
from grader.errors import ColourFitPoor
from tests.colour.conftest import Camera

PAPER = np.array([93.5, -0.3, 1.0])
SLOPE = np.array([4e-4, -3e-4])


def light(xy_mm: FloatArray) -> FloatArray:
    return np.asarray(np.exp((xy_mm - [74, 52]) @ SLOPE), float)


def sheet(camera: Camera, patch_lab: FloatArray) -> SheetSamples:
    """An A6 card with its patches in four rows and paper between them."""
    column, row = np.meshgrid(np.arange(6), np.arange(4))
    patch_xy = np.column_stack([33 + 16.4 * column.ravel(), 22 + 18.0 * row.ravel()])
    x, y = np.meshgrid(np.arange(6, 148, 15.0), np.arange(6, 105, 15.0))
    ground_xy = np.column_stack([x.ravel(), y.ravel()])
    ground_lab = np.tile(PAPER, (len(ground_xy), 1))
    rgb = camera.sees(lab_to_xyz(patch_lab) * light(patch_xy)[:, None])
    return SheetSamples(
        patch_xy_mm=patch_xy,
        patch_rgb=rgb,
        patch_rgb_u=np.full_like(rgb, 0.0005),
        patch_lab=patch_lab,
        patch_lab_u=np.zeros_like(patch_lab),
        patch_usable=np.ones(24, bool),
        ground_xy_mm=ground_xy,
        ground_rgb=camera.sees(lab_to_xyz(ground_lab) * light(ground_xy)[:, None]),
        ground_lab=ground_lab,
    )


def test_uneven_light_and_a_bent_curve_are_told_apart(patch_lab: FloatArray, fry_lab: FloatArray) -> None:
    camera = Camera(haze=0.02, contrast=0.2, exposure=0.7)
    fitted = fit_sheet_colour(sheet(camera, patch_lab))
    at = np.array([[-120.0, 60.0]])
    factor, u = light_at(fitted.light, at)
    assert factor[0] == pytest.approx(light(at)[0], abs=3 * u[0])
    there = camera.sees(lab_to_xyz(fry_lab) * light(at)[0])
    lab = xyz_to_lab(apply_correction(fitted.correction, there) / light(at)[0])
    assert np.median(ciede2000(lab, fry_lab)) < 0.7
    refuse_poor_fit(fitted.correction)


def test_a_good_card_promises_little_error(patch_lab: FloatArray) -> None:
    median, high = expected_error(fit_sheet_colour(sheet(Camera(haze=0.02, contrast=0.2), patch_lab)).correction)
    assert 0 < median < 1
    assert median <= high < 3


def test_another_cards_colours_are_refused(patch_lab: FloatArray) -> None:
    """The same card with its patches in another order: nothing fits, and the error says what to do."""
    samples = sheet(Camera(haze=0.02), patch_lab)
    order = np.random.default_rng(0).permutation(24)
    wrong = fit_sheet_colour(replace(samples, patch_lab=patch_lab[order]))
    with pytest.raises(ColourFitPoor, match="don't agree") as refusal:
        refuse_poor_fit(wrong.correction)
    assert refusal.value.code == "colour_fit_poor"
    assert "one kind of light" in refusal.value.hint


def test_too_few_patches_are_refused(patch_lab: FloatArray) -> None:
    usable = np.arange(24) < 4
    with pytest.raises(ColourFitPoor, match="Only 4 patches") as refusal:
        fit_sheet_colour(replace(sheet(Camera(), patch_lab), patch_usable=usable))
    assert refusal.value.code == "colour_fit_poor"


@pytest.mark.parametrize("toned", [(1.0, 1.0, 1.0), (1.0, 0.8, 0.55)])
def test_a_black_and_white_photo_is_refused(toned: tuple[float, float, float], patch_lab: FloatArray) -> None:
    samples = sheet(Camera(), patch_lab)
    grey = samples.patch_rgb.mean(axis=1, keepdims=True) * np.array(toned)
    with pytest.raises(ColourFitPoor, match="black and white"):
        fit_sheet_colour(replace(samples, patch_rgb=grey))


def test_a_photo_with_a_channel_copied_into_another_is_refused(patch_lab: FloatArray) -> None:
    samples = sheet(Camera(), patch_lab)
    with pytest.raises(ColourFitPoor, match="two colours in place of three"):
        fit_sheet_colour(replace(samples, patch_rgb=samples.patch_rgb[:, [0, 0, 2]]))


def test_no_bare_sheet_in_sight_is_refused(patch_lab: FloatArray) -> None:
    samples = sheet(Camera(), patch_lab)
    nothing = replace(samples, ground_xy_mm=np.zeros((0, 2)), ground_rgb=np.zeros((0, 3)), ground_lab=np.zeros((0, 3)))
    with pytest.raises(ColourFitPoor, match="Only 0 spots"):
        fit_sheet_colour(nothing)


def test_a_patch_that_is_not_usable_has_no_say(patch_lab: FloatArray) -> None:
    samples = sheet(Camera(haze=0.02), patch_lab)
    rgb = samples.patch_rgb.copy()
    rgb[5] = 1.0
    usable = np.arange(24) != 5
    broken = replace(samples, patch_rgb=rgb, patch_usable=usable)
    clean = replace(samples, patch_usable=usable)
    same = fit_sheet_colour(broken).correction.parameters
    assert same == pytest.approx(fit_sheet_colour(clean).correction.parameters, abs=1e-12)

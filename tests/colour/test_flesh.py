"""One fry's pixels summed up: which count, and what they tell beside their mean."""

import numpy as np
import pytest

from grader.arrays import FloatArray
from grader.colour import D65, SheetColour, Shine, ciede2000, flesh_lab, lab_to_xyz, sample_flesh
from grader.colour import fry_colour as room
from tests.colour.made_up import CAMERA, pixels, sheet_colour

GOLD = np.array([60.0, 7.0, 33.0])
NONE = Shine(share=0.0, u=0.0)


@pytest.fixture(scope="module")
def colour(patch_lab: FloatArray) -> SheetColour:
    return sheet_colour(patch_lab)


def test_glints_and_salt_are_left_out_without_bias(colour: SheetColour) -> None:
    rgb, on_top = pixels(GOLD, shine=0.0, rng=np.random.default_rng(9))
    salted = rgb.copy()
    salted[np.flatnonzero(on_top)[:12]] = CAMERA.sees(D65 * 0.8)
    clean = sample_flesh(rgb, on_top, correction=colour.correction)
    dirty = sample_flesh(salted, on_top, correction=colour.correction)
    assert dirty.left_out_share == pytest.approx(12 / len(rgb), abs=0.005)
    assert clean.left_out_share < 0.005
    assert ciede2000(flesh_lab(dirty.top_xyz, NONE, colour), flesh_lab(clean.top_xyz, NONE, colour)) < 0.2


def test_dark_spots_stay_in_the_mean(colour: SheetColour) -> None:
    rng = np.random.default_rng(10)
    golden, charred = np.array([62.0, 6.0, 34.0]), np.array([35.0, 12.0, 20.0])
    body, on_top = pixels(golden, shine=0.0, rng=rng)
    dark, _ = pixels(charred, shine=0.0, rng=rng)
    share = 0.25
    mixed = np.where((np.arange(len(body)) % 16 < 16 * share)[:, None], dark, body)
    truth = lab_to_xyz([golden, charred]).T @ [1 - share, share]
    sample = sample_flesh(mixed, on_top, correction=colour.correction)
    assert sample.left_out_share < 0.01
    assert sample.top_xyz / room._TOP_LEVEL == pytest.approx(truth, rel=0.06)


def test_a_leaning_fry_counts_whole(colour: SheetColour) -> None:
    rgb, on_top = pixels(GOLD, shine=0.0, rng=np.random.default_rng(12))
    few = np.zeros_like(on_top)
    few[:10] = True
    assert np.isnan(sample_flesh(rgb, few, correction=colour.correction).side_xyz).all()


def test_shade_is_told_from_browning(colour: SheetColour) -> None:
    rng = np.random.default_rng(21)
    top = np.ones(600, bool)
    shaded = CAMERA.sees(lab_to_xyz(GOLD) * rng.uniform(0.7, 1.0, 600)[:, None])
    browned = CAMERA.sees(lab_to_xyz(GOLD + rng.uniform(0, 1, (600, 1)) * [-12, 8, 1]))
    by_shade = sample_flesh(shaded, top, correction=colour.correction)
    by_browning = sample_flesh(browned, top, correction=colour.correction)
    assert by_browning.y_with_red < 0 < by_shade.y_with_red


def test_a_face_without_texture_tells_nothing(colour: SheetColour) -> None:
    flat = CAMERA.sees(np.tile(lab_to_xyz(GOLD), (600, 1)))
    noisy = flat + np.random.default_rng(23).normal(0, 0.002, flat.shape)
    assert abs(sample_flesh(noisy, np.ones(600, bool), correction=colour.correction).y_with_red) < 0.1


def test_no_pixels_is_named(colour: SheetColour) -> None:
    with pytest.raises(ValueError, match="k > 0"):
        sample_flesh(np.zeros((0, 3)), np.zeros(0, bool), correction=colour.correction)

"""A fry's colour from pixels made of body, shade and shine, and the doubt that is stated for it."""

from dataclasses import replace

import numpy as np
import pytest

from grader.arrays import FloatArray
from grader.colour import (
    FleshColour,
    FleshSample,
    SheetColour,
    Shine,
    apply_correction,
    ciede2000,
    fit_sheet_colour,
    flesh_lab,
    lab_to_xyz,
    mean_flesh_labs,
    sample_flesh,
    shared_budget,
    xyz_to_lab,
)
from grader.colour import fry_colour as room
from grader.colour.metamerism import food_error, food_shift
from tests.colour.made_up import CAMERA, fit_lab_u, pixels, plate, sheet_colour, sheet_samples

GOLD = np.array([60.0, 7.0, 33.0])
NONE = Shine(share=0.0, u=0.0)


@pytest.fixture(scope="module")
def colour(patch_lab: FloatArray) -> SheetColour:
    return sheet_colour(patch_lab)


def shared_u(colour: FleshColour) -> FloatArray:
    return np.asarray(np.sqrt((colour.shared**2).sum(axis=0)), float)


def golden(colour: SheetColour, shine: float = 0.0) -> FleshSample:
    return plate(colour, GOLD[None], shine)[0]


def mean_lab(sample: FleshSample, shine: Shine, colour: SheetColour) -> FleshColour:
    """Of one fry."""
    return mean_flesh_labs([sample], shine, colour)[0]


@pytest.mark.parametrize("shine", [0.0, 0.05, 0.08])
def test_with_its_shine_taken_off_the_top_face_tells_the_colour(
    colour: SheetColour, fry_lab: FloatArray, shine: float
) -> None:
    samples = plate(colour, fry_lab, shine)
    freed = [mean_lab(sample, Shine(share=shine, u=0.0), colour).lab for sample in samples]
    assert np.median(ciede2000(freed, fry_lab)) < 0.6


def test_brighter_light_is_divided_out(colour: SheetColour) -> None:
    rgb, _ = pixels(GOLD, shine=0.0, rng=np.random.default_rng(11))
    lit = CAMERA.sees(lab_to_xyz(GOLD) * room._TOP_LEVEL * 1.2 * np.ones((len(rgb), 1)))
    sample = sample_flesh(lit, np.ones(len(rgb), bool), correction=colour.correction, light=1.2, light_u=0.02)
    assert ciede2000(mean_lab(sample, NONE, colour).lab, GOLD) < 0.5


def test_in_a_heap_the_bright_quarter_stands_for_all_and_the_doubt_is_large(colour: SheetColour) -> None:
    shade = np.random.default_rng(13).uniform(0.3, 1.0, 800)
    rgb, top = CAMERA.sees(lab_to_xyz(GOLD) * shade[:, None] * room._TOP_LEVEL), np.ones(800, bool)
    heaped = mean_lab(sample_flesh(rgb, top, correction=colour.correction, heaped=True), NONE, colour)
    flat = mean_lab(sample_flesh(rgb, top, correction=colour.correction), NONE, colour)
    assert abs(heaped.lab[0] - GOLD[0]) < 3 < GOLD[0] - flat.lab[0]
    assert (heaped.own_u > flat.own_u).all()


def test_what_inks_get_wrong_about_food_is_taken_off(colour: SheetColour) -> None:
    sample = golden(colour)
    told = replace(colour, food_bias=replace(colour.food_bias, coefficients=np.diag([1.0, 0, 0, 0])[:, :3] * 2.0))
    as_ink = mean_lab(sample, NONE, colour).lab + food_shift(colour.food_bias, mean_lab(sample, NONE, colour).lab)
    assert mean_lab(sample, NONE, told).lab == pytest.approx(as_ink - [2, 0, 0], abs=0.05)
    assert flesh_lab(sample.top_xyz, NONE, told) == pytest.approx(mean_lab(sample, NONE, told).lab)


def test_uncertainty_of_shine_and_level_against_monte_carlo(colour: SheetColour) -> None:
    """JCGM 101: shine and light drawn from what is stated for them, all else still: the Jacobian's part is right."""
    rng = np.random.default_rng(14)
    sample, shine = replace(golden(colour, 0.05), light_u=0.03), Shine(share=0.05, u=0.013)
    stated = mean_lab(sample, shine, colour).shared
    still = mean_lab(replace(sample, light_u=0.0), replace(shine, u=0.0), colour).shared
    drawn = [
        flesh_lab(
            sample.top_xyz * (1 + 0.03 * level), Shine(share=0.05 * (1 + 0.03 * level) + 0.013 * off, u=0), colour
        )
        for level, off in rng.standard_normal((4000, 2))
    ]
    covariance = stated.T @ stated - still.T @ still
    assert np.sqrt(np.diagonal(covariance)) == pytest.approx(np.std(drawn, axis=0), rel=0.12)
    # L* and b* go opposite ways with shine: what a colour scale makes of the two depends on it.
    assert covariance == pytest.approx(np.cov(np.transpose(drawn)), abs=0.12 * float(np.var(drawn, axis=0).max()))
    assert covariance[0, 2] < 0


def test_the_fits_part_against_monte_carlo(patch_lab: FloatArray) -> None:
    """JCGM 101: patches read anew with their stated noise, the whole fit done again each time."""
    rng, noise = np.random.default_rng(15), 0.004
    still = sheet_samples(patch_lab)
    still = replace(still, patch_rgb_u=np.full_like(still.patch_rgb, noise))
    rgb = CAMERA.sees(lab_to_xyz(GOLD))
    drawn = []
    for _ in range(60):
        seen = replace(still, patch_rgb=still.patch_rgb + noise * rng.standard_normal(still.patch_rgb.shape))
        fitted = fit_sheet_colour(seen)
        drawn.append(xyz_to_lab(apply_correction(fitted.correction, rgb)))
    stated = fit_lab_u(fit_sheet_colour(still).correction, rgb)
    # The stated part also holds what such a model leaves (FitSettings.model_sd), so it is the larger one.
    assert (np.std(drawn, axis=0) < stated).all()
    assert (np.std(drawn, axis=0) > 0.2 * stated).all()


def test_the_budget_tells_each_cause_and_adds_up_to_what_is_shared(colour: SheetColour) -> None:
    sample, shine = replace(golden(colour, 0.05), light_u=0.03), Shine(share=0.05, u=0.013)
    one = mean_lab(sample, shine, colour)
    budget = shared_budget(np.array([one.shared, one.shared]))
    assert list(budget) == ["fit", "metamerism", "card", "shine", "light"]
    assert np.sqrt(sum(u**2 for u in budget.values())) == pytest.approx(shared_u(one))
    assert budget["fit"] == pytest.approx(fit_lab_u(colour.correction, sample.rgb))
    no_shine = mean_lab(sample, replace(shine, u=0.0), colour)
    assert shared_budget(no_shine.shared[None])["shine"] == pytest.approx(0.0)
    assert budget["shine"][2] > 1


def test_a_measured_cards_own_uncertainty_is_shared_by_every_fry(patch_lab: FloatArray) -> None:
    samples = sheet_samples(patch_lab)
    measured = fit_sheet_colour(replace(samples, patch_lab_u=np.full_like(patch_lab, 0.6)))
    designed = fit_sheet_colour(samples)
    assert measured.card_lab_u == pytest.approx([0.6, 0.6, 0.6])
    unsure, sure = (mean_lab(golden(colour), NONE, colour) for colour in (measured, designed))
    assert (shared_u(unsure) ** 2 > shared_u(sure) ** 2 + 0.25).all()
    assert unsure.own_u == pytest.approx(sure.own_u, rel=0.01)


def test_patches_that_no_fit_brings_together_widen_the_shared_part(colour: SheetColour, patch_lab: FloatArray) -> None:
    rng = np.random.default_rng(15)
    samples = sheet_samples(patch_lab)
    poor = fit_sheet_colour(replace(samples, patch_rgb=samples.patch_rgb * (1 + rng.normal(0, 0.08, (24, 3)))))
    sample = golden(colour)
    wide, narrow = (shared_u(mean_lab(sample, NONE, one)) for one in (poor, colour))
    assert (wide > narrow).all()
    assert (food_error(poor.food_bias, GOLD).lab_u > food_error(colour.food_bias, GOLD).lab_u).all()


def test_fries_of_a_photo_have_the_colours_that_each_has_by_itself(colour: SheetColour, fry_lab: FloatArray) -> None:
    samples, shine = plate(colour, fry_lab, 0.05), Shine(share=0.05, u=0.01)
    samples[1] = replace(samples[1], heaped=True)
    for sample, one in zip(samples, mean_flesh_labs(samples, shine, colour), strict=True):
        alone = mean_lab(sample, shine, colour)
        assert one.lab == pytest.approx(alone.lab, abs=1e-9)
        assert one.shared == pytest.approx(alone.shared, abs=1e-8)
        assert one.own_u == pytest.approx(alone.own_u, abs=1e-9)
    assert mean_flesh_labs([], shine, colour) == []

"""A fry's colour from pixels made of body, shade and shine."""

import numpy as np
import pytest

from grader.arrays import FloatArray, MaskArray
from grader.colour import (
    D65,
    Correction,
    FleshSample,
    ciede2000,
    fit_correction,
    flesh_lab,
    lab_to_xyz,
    mean_flesh_lab,
    plate_shine,
    sample_flesh,
)
from grader.colour import fry_colour as room
from tests.colour.conftest import Camera

CAMERA = Camera(haze=0.0, contrast=0.1, exposure=0.7)


@pytest.fixture(scope="module")
def correction(patch_lab: FloatArray) -> Correction:
    rgb = CAMERA.sees(lab_to_xyz(patch_lab))
    return fit_correction(rgb, patch_lab, np.full_like(rgb, 0.0005))


def pixels(
    lab: FloatArray, *, shine: float, rng: np.random.Generator, flank: float = 0.5, count: int = 600
) -> tuple[FloatArray, MaskArray]:
    """rgb (k, 3) and which are on top: a quarter flank at half the light without shine, texture everywhere."""
    on_top = np.arange(count) % 4 > 0
    shade = np.where(on_top, room._TOP_LEVEL, flank) * (1 + rng.normal(0, 0.04, count))
    xyz = lab_to_xyz(lab) * shade[:, None] + D65 * np.where(on_top, shine, 0.0)[:, None]
    return CAMERA.sees(xyz), on_top


def plate(correction: Correction, lab: FloatArray, shine: float) -> list[FleshSample]:
    rng = np.random.default_rng(5)
    return [sample_flesh(*pixels(one, shine=shine, rng=rng), correction=correction) for one in lab]


def test_without_shine_the_top_face_tells_the_colour(correction: Correction, fry_lab: FloatArray) -> None:
    samples = plate(correction, fry_lab, shine=0.0)
    none = room.Shine(share=0.0, u=0.0)
    lab = np.array([mean_flesh_lab(sample, none, correction).lab for sample in samples])
    assert np.median(ciede2000(lab, fry_lab)) < 0.6


@pytest.mark.parametrize("shine", [0.04, 0.06, 0.08])
def test_shine_is_estimated_from_top_and_flanks(correction: Correction, fry_lab: FloatArray, shine: float) -> None:
    samples = plate(correction, fry_lab, shine)
    estimate = plate_shine(samples, correction)
    # The estimate is drawn towards what plates usually have: within its own doubt of the truth.
    assert estimate.share + correction.haze == pytest.approx(shine, abs=1.5 * estimate.u)
    without = np.array([mean_flesh_lab(s, room.Shine(share=0, u=0), correction).lab for s in samples])
    freed = np.array([mean_flesh_lab(s, estimate, correction).lab for s in samples])
    assert np.median(ciede2000(freed, fry_lab)) < 0.5 * np.median(ciede2000(without, fry_lab))


def test_more_shine_is_told_from_less(correction: Correction, fry_lab: FloatArray) -> None:
    shares = [plate_shine(plate(correction, fry_lab, shine), correction).share for shine in (0.02, 0.05, 0.08)]
    assert shares[0] < shares[1] < shares[2]


def test_without_flanks_the_usual_shine_is_taken_with_more_doubt(correction: Correction, fry_lab: FloatArray) -> None:
    rng = np.random.default_rng(5)
    samples = []
    for lab in fry_lab[:6]:
        rgb, _ = pixels(lab, shine=0.05, rng=rng)
        samples.append(sample_flesh(rgb, np.ones(len(rgb), bool), correction=correction))
    assert all(np.isnan(sample.side_xyz).all() for sample in samples)
    told = plate_shine(plate(correction, fry_lab, 0.05), correction)
    assert plate_shine(samples, correction).u > told.u
    assert plate_shine([], correction).share + correction.haze == pytest.approx(0.06)


def test_glints_and_salt_are_left_out_without_bias(correction: Correction) -> None:
    lab, rng = np.array([60.0, 7.0, 33.0]), np.random.default_rng(9)
    rgb, on_top = pixels(lab, shine=0.0, rng=rng)
    salted = rgb.copy()
    salted[np.flatnonzero(on_top)[:12]] = CAMERA.sees(D65 * 0.8)
    clean = sample_flesh(rgb, on_top, correction=correction)
    dirty = sample_flesh(salted, on_top, correction=correction)
    none = room.Shine(share=0.0, u=0.0)
    assert dirty.left_out_share == pytest.approx(12 / len(rgb), abs=0.005)
    assert clean.left_out_share < 0.005
    assert ciede2000(flesh_lab(dirty.top_xyz, none), flesh_lab(clean.top_xyz, none)) < 0.2


def test_dark_spots_stay_in_the_mean(correction: Correction) -> None:
    rng = np.random.default_rng(10)
    body, on_top = pixels(np.array([62.0, 6.0, 34.0]), shine=0.0, rng=rng)
    dark, _ = pixels(np.array([35.0, 12.0, 20.0]), shine=0.0, rng=rng)
    share = 0.25
    mixed = np.where((np.arange(len(body)) % 16 < 16 * share)[:, None], dark, body)
    truth = lab_to_xyz([[62.0, 6.0, 34.0], [35.0, 12.0, 20.0]]).T @ [1 - share, share]
    sample = sample_flesh(mixed, on_top, correction=correction)
    assert sample.left_out_share < 0.01
    assert sample.top_xyz / room._TOP_LEVEL == pytest.approx(truth, rel=0.06)


def test_brighter_light_is_divided_out(correction: Correction) -> None:
    lab, rng = np.array([60.0, 7.0, 33.0]), np.random.default_rng(11)
    rgb, on_top = pixels(lab, shine=0.0, rng=rng)
    lit = CAMERA.sees(lab_to_xyz(lab) * room._TOP_LEVEL * 1.2 * np.ones((len(rgb), 1)))
    sample = sample_flesh(lit, np.ones(len(rgb), bool), correction=correction, light=1.2, light_u=0.02)
    colour = mean_flesh_lab(sample, room.Shine(share=0.0, u=0.0), correction)
    assert ciede2000(colour.lab, lab) < 0.5
    assert on_top.any()


def test_a_leaning_fry_counts_whole(correction: Correction) -> None:
    rgb, on_top = pixels(np.array([60.0, 7.0, 33.0]), shine=0.0, rng=np.random.default_rng(12))
    few = np.zeros_like(on_top)
    few[:10] = True
    assert np.isnan(sample_flesh(rgb, few, correction=correction).side_xyz).all()


def test_in_a_heap_the_bright_quarter_stands_for_all_and_the_doubt_is_large(correction: Correction) -> None:
    rng = np.random.default_rng(13)
    lab = np.array([60.0, 7.0, 33.0])
    shade = rng.uniform(0.3, 1.0, 800)
    rgb = CAMERA.sees(lab_to_xyz(lab) * shade[:, None] * room._TOP_LEVEL)
    top = np.ones(800, bool)
    none = room.Shine(share=0.0, u=0.0)
    heaped = mean_flesh_lab(sample_flesh(rgb, top, correction=correction, heaped=True), none, correction)
    flat = mean_flesh_lab(sample_flesh(rgb, top, correction=correction), none, correction)
    assert abs(heaped.lab[0] - 60) < 3 < 60 - flat.lab[0]
    assert (heaped.own_u > flat.own_u).all()


def test_uncertainty_of_shine_and_light_against_monte_carlo(correction: Correction, fry_lab: FloatArray) -> None:
    """Shine and level drawn from what is stated for them, all else still: the shared part by Jacobian is right."""
    rng = np.random.default_rng(14)
    sample = plate(correction, fry_lab[:1], shine=0.05)[0]
    shine = room.Shine(share=0.05, u=0.013)
    stated = mean_flesh_lab(sample, shine, correction).shared_u
    still = mean_flesh_lab(sample, room.Shine(share=0.05, u=0.0), correction).shared_u
    by_shine = np.sqrt(stated**2 - still**2)
    drawn = [flesh_lab(sample.top_xyz, room.Shine(share=s, u=0)) for s in 0.05 + 0.013 * rng.standard_normal(4000)]
    assert by_shine == pytest.approx(np.std(drawn, axis=0), rel=0.12)


def test_poorly_fitted_patches_widen_the_shared_part(correction: Correction, patch_lab: FloatArray) -> None:
    rng = np.random.default_rng(15)
    rgb = CAMERA.sees(lab_to_xyz(patch_lab)) * (1 + rng.normal(0, 0.08, (24, 3)))
    poor = fit_correction(rgb, patch_lab, np.full_like(rgb, 0.0005))
    sample = plate(correction, np.array([[60.0, 7.0, 33.0]]), shine=0.0)[0]
    shine = room.Shine(share=0.0, u=0.01)
    assert (mean_flesh_lab(sample, shine, poor).shared_u > mean_flesh_lab(sample, shine, correction).shared_u).all()


def test_no_pixels_is_named(correction: Correction) -> None:
    with pytest.raises(ValueError, match="k > 0"):
        sample_flesh(np.zeros((0, 3)), np.zeros(0, bool), correction=correction)

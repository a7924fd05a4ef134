import warnings
from dataclasses import replace

import numpy as np
import pytest

from calibration.fits_tried import root_polynomial_3, tries
from grader.arrays import FloatArray
from grader.colour import apply_correction, ciede2000, fit_sheet_colour, xyz_to_lab
from tests.colour.conftest import Camera
from tests.colour.made_up import sheet_samples

USED = "root-polynomial 2, haze, tone: used"


def test_the_terms_are_those_of_finlayson_2015_and_scale_with_exposure() -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import colour

    rgb = np.random.default_rng(1).uniform(0, 1, (20, 3))
    theirs = colour.characterisation.polynomial_expansion_Finlayson2015(rgb, 3, root_polynomial_expansion=True)
    assert np.sort(root_polynomial_3(rgb), axis=1) == pytest.approx(np.sort(theirs, axis=1))
    assert root_polynomial_3(0.3 * rgb) == pytest.approx(0.3 * root_polynomial_3(rgb))


@pytest.mark.parametrize("name", sorted(tries()))
def test_a_camera_without_haze_or_tone_is_put_right_by_every_fit(name: str, patch_lab: FloatArray) -> None:
    camera = Camera()
    samples = sheet_samples(patch_lab, camera)
    used = fit_sheet_colour(samples)
    tried = tries()[name](samples, used)
    lab = xyz_to_lab(apply_correction(tried.colour.correction, tried.seen(samples.patch_rgb)))
    assert np.median(ciede2000(lab, patch_lab)) < 0.35


def test_the_grader_s_own_settings_give_the_grader_s_own_fit(patch_lab: FloatArray) -> None:
    samples = sheet_samples(patch_lab)
    used = fit_sheet_colour(samples)
    tried = tries()[USED](samples, used)
    ours, theirs = (apply_correction(one.correction, samples.patch_rgb) for one in (tried.colour, used))
    assert ours == pytest.approx(theirs, abs=1e-3)


@pytest.mark.parametrize("name", ["matrix 3x3", "affine: matrix and offset", "root-polynomial 3, roots held"])
def test_a_patch_left_out_is_what_a_fit_without_it_predicts(name: str, patch_lab: FloatArray) -> None:
    samples = sheet_samples(patch_lab, Camera(haze=0.03, contrast=0.3))
    used = fit_sheet_colour(samples)
    number = 5
    others = replace(samples, patch_usable=np.arange(len(patch_lab)) != number)
    tried = tries()[name](others, used)
    predicted = xyz_to_lab(apply_correction(tried.colour.correction, tried.seen(samples.patch_rgb[number])))
    expected = ciede2000(predicted, patch_lab[number])
    assert tries()[name](samples, used).left_out_de[number] == pytest.approx(expected, rel=0.02)

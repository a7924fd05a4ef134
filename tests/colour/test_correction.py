"""Fitting and applying a correction: cameras of known make, published least squares, a library, and Monte Carlo."""

from dataclasses import replace
from importlib import import_module
from typing import Any

import cv2
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from grader.arrays import FloatArray
from grader.colour import (
    D65,
    Correction,
    FitSettings,
    apply_correction,
    ciede2000,
    fit_correction,
    fry_weights,
    lab_to_xyz,
    linear_srgb_to_lab,
    noise_lab_u,
    xyz_to_lab,
)
from grader.colour.correction import for_pixels
from grader.colour.fitting import DEFAULT_SETTINGS
from grader.colour.plain import plain_matrix
from grader.colour.response import expand, unbend
from grader.photo import linear_light, linear_to_srgb, srgb_to_linear
from tests.colour.conftest import Camera
from tests.colour.made_up import fit_lab_u

NOISE = 0.0005
PLAIN = FitSettings(terms=3, tone=(0.0, 0.0), tone_sd=(1e-6, 1e-6), haze=0.0, haze_sd=1e-6, model_sd=0.05)
"""A matrix and nothing else."""


def fitted(camera: Camera, lab: FloatArray, settings: FitSettings = DEFAULT_SETTINGS) -> Correction:
    rgb = camera.sees(lab_to_xyz(lab))
    return fit_correction(rgb, lab, np.full_like(rgb, NOISE), settings=settings)


def error(correction: Correction, camera: Camera, lab: FloatArray) -> FloatArray:
    return ciede2000(xyz_to_lab(apply_correction(correction, camera.sees(lab_to_xyz(lab)))), lab)


# --- against published and outside things


def test_root_polynomial_expansion_published_vector() -> None:
    """Finlayson, Mackiewicz & Hurlbert 2015, as colour-science's test suite computes it to eight decimals."""
    rgb = np.array([0.17224810, 0.09170660, 0.06416938])
    assert expand(rgb, 6) == pytest.approx([*rgb, 0.12568328, 0.07671216, 0.10513350], abs=5e-9)
    assert np.array_equal(expand(rgb, 3), rgb)


@pytest.mark.filterwarnings("ignore")
@pytest.mark.parametrize(("terms", "degree"), [(3, 1), (6, 2)])
def test_least_squares_of_the_expansion_is_colour_sciences(terms: int, degree: int) -> None:
    """The 24 patches of colour-science's test suite; degree 1 is also Cheung et al. 2004 with three terms."""
    theirs = import_module("colour.characterisation.tests.test_correction")
    correction = import_module("colour.characterisation.correction")
    camera, reference = theirs.MATRIX_TEST, theirs.MATRIX_REFERENCE
    ours = np.linalg.lstsq(expand(camera, terms), reference, rcond=None)[0].T
    expected = correction.matrix_colour_correction_Finlayson2015(camera, reference, degree=degree)
    assert ours == pytest.approx(expected, abs=1e-7)
    if degree == 1:
        published = [
            [0.69822661, 0.03071629, 0.16210422],
            [0.06893498, 0.67579611, 0.16430385],
            [-0.06314956, 0.09212471, 0.97134152],
        ]
        assert ours == pytest.approx(np.array(published), abs=5e-8)
        assert correction.matrix_colour_correction_Cheung2004(camera, reference) == pytest.approx(ours, abs=1e-7)


@pytest.mark.filterwarnings("ignore")
def test_no_worse_than_opencv_on_the_same_patches() -> None:
    """cv2.ccm (linear 3x3, minimising CIE 2000) and our 3x3 and default fits on colour-science's 24 test patches."""
    theirs = import_module("colour.characterisation.tests.test_correction")
    camera, reference = theirs.MATRIX_TEST, theirs.MATRIX_REFERENCE
    lab = linear_srgb_to_lab(reference)
    model = cv2.ccm.ColorCorrectionModel(
        linear_to_srgb(camera)[:, None], linear_to_srgb(reference)[:, None], cv2.ccm.COLOR_SPACE_SRGB
    )
    model.setRGB(True)
    model.setLinearization(cv2.ccm.LINEARIZATION_GAMMA)
    model.setLinearizationGamma(2.2)
    model.compute()
    source = np.reshape(model.getSrcLinearRGB(), (-1, 3))
    # OpenCV's own gamma 2.2 light, back to encoding and then to sRGB's own light.
    corrected = np.clip(source @ np.asarray(model.getColorCorrectionMatrix()), 0, None) ** (1 / 2.2)
    opencv = ciede2000(linear_srgb_to_lab(srgb_to_linear(corrected)), lab)
    flat = np.ones(len(lab))
    u = np.full_like(camera, NOISE)
    matrix = fit_correction(camera, lab, u, weights=flat, settings=replace(PLAIN, model_sd=0.8))
    full = fit_correction(camera, lab, u, weights=flat)
    ours_3x3 = ciede2000(xyz_to_lab(apply_correction(matrix, camera)), lab)
    ours = ciede2000(xyz_to_lab(apply_correction(full, camera)), lab)
    assert ours.mean() < ours_3x3.mean() <= opencv.mean() + 0.3
    assert ours.mean() < opencv.mean()


# --- cameras of known make


def test_an_affine_camera_is_corrected_to_identity(patch_lab: FloatArray, fry_lab: FloatArray) -> None:
    camera = Camera()
    assert error(fitted(camera, patch_lab, PLAIN), camera, np.vstack([patch_lab, fry_lab])).max() < 0.01


def test_haze_is_found_and_taken_off(patch_lab: FloatArray, fry_lab: FloatArray) -> None:
    camera = Camera(haze=0.03)
    settings = replace(PLAIN, haze=0.02, haze_sd=0.015)
    correction = fitted(camera, patch_lab, settings)
    assert correction.haze == pytest.approx(0.03, abs=0.002)
    assert error(correction, camera, fry_lab).max() < 0.05


def test_a_bent_tone_curve_is_undone(patch_lab: FloatArray, fry_lab: FloatArray) -> None:
    camera = Camera(contrast=0.3)
    plain, full = fitted(camera, patch_lab, PLAIN), fitted(camera, patch_lab)
    assert error(plain, camera, fry_lab).max() > 2
    assert error(full, camera, fry_lab).max() < 0.7


@given(st.floats(0, 0.05), st.floats(0, 0.35), st.floats(0.4, 1.0))
def test_fries_come_out_right_whatever_the_camera(haze: float, contrast: float, exposure: float) -> None:
    lab = np.array([patch.lab for patch in import_module("grader.card").load_layouts()[0].patches])
    camera = Camera(haze=haze, contrast=contrast, exposure=exposure / (1 + haze))
    fries = np.array([[72.0, 0, 26], [63, 5, 34], [50, 12, 33], [38, 13, 24]])
    assert error(fitted(camera, lab), camera, fries).max() < 1.5


def test_a_known_slope_of_light_is_divided_out(patch_lab: FloatArray, fry_lab: FloatArray) -> None:
    camera = Camera(haze=0.0)
    light = np.linspace(0.8, 1.2, 24)
    rgb = camera.sees(lab_to_xyz(patch_lab) * light[:, None])
    correction = fit_correction(rgb, patch_lab, np.full_like(rgb, NOISE), light=light, settings=PLAIN)
    assert error(correction, camera, fry_lab).max() < 0.01


def test_one_bad_patch_hardly_matters(patch_lab: FloatArray, fry_lab: FloatArray) -> None:
    camera = Camera(haze=0.02, contrast=0.15)
    rgb = camera.sees(lab_to_xyz(patch_lab))
    stained = rgb.copy()
    stained[9] *= [0.5, 0.6, 0.9]
    correction = fit_correction(stained, patch_lab, np.full_like(rgb, NOISE))
    assert error(correction, camera, fry_lab).max() < 1.0
    assert correction.weight.argmin() == 9
    assert correction.weight[9] < 0.1
    assert np.nanargmax(correction.left_out_de) == 9


def test_a_patch_of_weight_nought_is_left_out(patch_lab: FloatArray, fry_lab: FloatArray) -> None:
    camera = Camera(haze=0.02)
    rgb = camera.sees(lab_to_xyz(patch_lab))
    rgb[3] = 0.0
    weights = fry_weights(patch_lab)
    weights[3] = 0.0
    correction = fit_correction(rgb, patch_lab, np.full_like(rgb, NOISE), weights=weights)
    assert error(correction, camera, fry_lab).max() < 0.5
    assert np.isnan(correction.left_out_de[3])
    assert correction.weight[3] == 0


# --- what is said of its error


def test_left_out_error_is_what_leaving_out_gives(patch_lab: FloatArray) -> None:
    """The linearised figure against really leaving each patch out, on a camera that no such model fits exactly."""
    camera = Camera(haze=0.03, contrast=0.2)
    rng = np.random.default_rng(4)
    rgb = camera.sees(lab_to_xyz(patch_lab)) * (1 + rng.normal(0, 0.02, (24, 3)))
    u = np.full_like(rgb, NOISE)
    correction = fit_correction(rgb, patch_lab, u)
    really = []
    for k in range(24):
        weights = fry_weights(patch_lab)
        weights[k] = 0.0
        without = fit_correction(rgb, patch_lab, u, weights=weights)
        really.append(ciede2000(xyz_to_lab(apply_correction(without, rgb[k])), patch_lab[k]))
    assert np.median(correction.left_out_de) == pytest.approx(np.median(really), rel=0.2)
    assert np.corrcoef(correction.left_out_de, really)[0, 1] > 0.9


def test_uncertainty_by_jacobian_agrees_with_monte_carlo(patch_lab: FloatArray, fry_lab: FloatArray) -> None:
    """Patches with noise as large as stated, and no model error: the spread of the result is what is predicted."""
    camera = Camera(haze=0.02, contrast=0.1)
    settings = FitSettings(terms=3, model_sd=1e-3, tone_sd=(10.0, 10.0), haze_sd=10.0)
    clean, seen = camera.sees(lab_to_xyz(patch_lab)), camera.sees(lab_to_xyz(fry_lab))
    u = 0.002 + 0.002 * clean
    flat = np.ones(24)
    rng = np.random.default_rng(12)
    runs = [
        fit_correction(clean + u * rng.standard_normal(u.shape), patch_lab, u, weights=flat, settings=settings)
        for _ in range(150)
    ]
    spread = np.std([xyz_to_lab(apply_correction(run, seen)) for run in runs], axis=0)
    predicted = np.mean([fit_lab_u(run, seen) for run in runs], axis=0)
    assert np.median(predicted / spread, axis=0) == pytest.approx(1, abs=0.2)


def test_noise_agrees_with_monte_carlo(patch_lab: FloatArray, fry_lab: FloatArray) -> None:
    camera, rng = Camera(haze=0.02, contrast=0.2, exposure=0.7), np.random.default_rng(5)
    correction, light = fitted(camera, patch_lab), np.linspace(0.8, 1.2, len(fry_lab))
    rgb = camera.sees(lab_to_xyz(fry_lab))
    rgb_u = 0.01 * rgb * [1.0, 0.5, 2.0]
    drawn = apply_correction(correction, rgb + rng.normal(0, 1, (4000, *rgb.shape)) * rgb_u) / light[:, None]
    np.testing.assert_allclose(
        noise_lab_u(correction, rgb, rgb_u, light=light), xyz_to_lab(drawn).std(axis=0), rtol=0.06
    )


def test_uncertainty_grows_beyond_the_patches(patch_lab: FloatArray) -> None:
    camera = Camera(haze=0.02)
    correction = fitted(camera, patch_lab)
    near, far = (fit_lab_u(correction, camera.sees(lab_to_xyz(lab))) for lab in ([60.0, 7, 34], [45.0, 60, -80]))
    assert np.linalg.norm(far) > 2 * np.linalg.norm(near)


def test_any_shape_goes_through(patch_lab: FloatArray) -> None:
    camera = Camera()
    correction = fitted(camera, patch_lab)
    rgb = camera.sees(lab_to_xyz(patch_lab)).reshape(2, 4, 3, 3)
    assert apply_correction(correction, rgb).shape == rgb.shape
    assert fit_lab_u(correction, rgb).shape == rgb.shape
    assert apply_correction(correction, rgb[0, 0, 0]) == pytest.approx(apply_correction(correction, rgb)[0, 0, 0])


def test_more_light_is_the_same_colour_scaled(patch_lab: FloatArray) -> None:
    """Root-polynomials follow exposure where tone is straight and no haze is there (Finlayson et al. 2015)."""
    settings = replace(PLAIN, terms=6)
    correction = fitted(Camera(), patch_lab, settings)
    rgb = np.array([0.4, 0.3, 0.1])
    assert apply_correction(correction, 0.5 * rgb) == pytest.approx(0.5 * apply_correction(correction, rgb), rel=1e-4)


@pytest.mark.parametrize("kind", [np.uint8, np.uint16])
def test_pixels_are_corrected_as_their_light_is(patch_lab: FloatArray, kind: Any) -> None:
    correction = fitted(Camera(), patch_lab)
    pixels = np.random.default_rng(4).integers(0, np.iinfo(kind).max, (50, 3), endpoint=True).astype(kind)
    expected = apply_correction(correction, linear_light(pixels).astype(float))
    np.testing.assert_allclose(for_pixels(correction, pixels.dtype).xyz(pixels), expected, rtol=1e-9, atol=1e-12)


def test_unbend_leaves_black_white_and_no_tone_alone() -> None:
    rgb = np.linspace(0, 1, 30).reshape(10, 3)
    assert unbend(rgb, np.zeros(2)) == pytest.approx(rgb, abs=1e-12)
    assert unbend(np.array([0.0, 0.0, 1.0]), np.array([0.1, 0.2])) == pytest.approx([0, 0, 1], abs=1e-12)


def test_fries_count_more_than_blues() -> None:
    weights = fry_weights(np.array([[60.0, 8, 34], [36, 14, -46]]))
    assert weights[0] > 0.9
    assert weights[1] < 0.2


def test_bad_input_is_named(patch_lab: FloatArray) -> None:
    rgb = np.full((24, 3), 0.5)
    with pytest.raises(ValueError, match="must all be"):
        fit_correction(rgb[:5], patch_lab, rgb)
    with pytest.raises(ValueError, match="at least 6 usable patches, got 4"):
        fit_correction(rgb, patch_lab, rgb, weights=np.r_[np.ones(4), np.zeros(20)])
    with pytest.raises(ValueError, match="terms must be 3 or 6"):
        expand(rgb, 13)


def test_a_bare_matrix_tells_surfaces_apart(patch_lab: FloatArray, fry_lab: FloatArray) -> None:
    camera = Camera()
    matrix = plain_matrix(camera.sees(lab_to_xyz(patch_lab)), patch_lab)
    assert camera.sees(lab_to_xyz(fry_lab)) @ matrix == pytest.approx(lab_to_xyz(fry_lab) / D65, abs=1e-4)

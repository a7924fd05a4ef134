import numpy as np
import pytest

from calibration.fit_shine import fit_signs, true_shine
from grader.arrays import FloatArray
from grader.colour import Shine, flesh_lab
from tests.colour.made_up import sheet_colour

BASE, SLOPES = -0.01, (0.5, 1.5, 0.05)


def made_up_signs(count: int, noise: float) -> tuple[FloatArray, FloatArray]:
    rng = np.random.default_rng(3)
    signs = rng.normal((0.06, 0.03, 0.1), (0.02, 0.01, 0.2), (count, 3))
    return signs, BASE + signs @ SLOPES + rng.normal(0, noise, count)


def test_constants_come_back_exactly_without_noise() -> None:
    fit = fit_signs(*made_up_signs(20, 0.0))
    assert fit.base == pytest.approx(BASE)
    assert fit.slopes == pytest.approx(SLOPES)
    assert fit.residual_sd < 1e-9


def test_constants_come_back_within_their_standard_errors_and_the_noise_is_told() -> None:
    fit = fit_signs(*made_up_signs(200, 0.011))
    assert abs(fit.base - BASE) < 3 * fit.base_u
    assert (np.abs(fit.slopes - SLOPES) < 3 * fit.slopes_u).all()
    assert fit.residual_sd == pytest.approx(0.011, rel=0.15)
    assert fit.residual_sd < fit.left_out_sd < 1.2 * fit.residual_sd


def test_a_sign_that_tells_nothing_is_given_no_slope_beyond_its_error() -> None:
    signs, shine = made_up_signs(200, 0.011)
    idle = np.random.default_rng(4).normal(0, 1, 200)
    fit = fit_signs(np.column_stack([signs, idle]), shine)
    assert abs(fit.slopes[3]) < 3 * fit.slopes_u[3]


def test_too_few_plates_are_refused() -> None:
    with pytest.raises(ValueError, match="twice as many plates"):
        fit_signs(*made_up_signs(7, 0.01))


def test_the_true_shine_is_what_was_added(patch_lab: FloatArray) -> None:
    colour = sheet_colour(patch_lab)
    top_xyz = np.array([[0.40, 0.41, 0.25], [0.33, 0.33, 0.18], [0.26, 0.25, 0.13]])
    lab = flesh_lab(top_xyz, Shine(share=0.043, u=0.0), colour)
    assert true_shine(top_xyz, lab, colour) == pytest.approx(0.043, abs=1e-4)

"""The light's fall-off: lamps of known place, bad spots, and a doubt that is right."""

import numpy as np
import pytest

from grader.arrays import FloatArray
from grader.colour import fit_light, light_at


def lamp(xy_mm: FloatArray, at_mm: tuple[float, float] = (500.0, -300.0), height_mm: float = 1500.0) -> FloatArray:
    """Irradiance by a small matt lamp over the plane (cos^4 / height^2), half of it, and half from all around."""
    aside = ((xy_mm - at_mm) ** 2).sum(-1)
    lamp_only = height_mm**4 / (height_mm**2 + aside) ** 2
    here = height_mm**4 / (height_mm**2 + np.square(at_mm).sum()) ** 2
    return np.asarray(0.5 + 0.5 * lamp_only / here, float)


def grid(width: float, height: float, step: float = 12.0) -> FloatArray:
    x, y = np.meshgrid(np.arange(0, width, step), np.arange(0, height, step))
    return np.column_stack([x.ravel(), y.ravel()])


MAT, CARD = grid(420, 297), grid(148, 105)


def test_over_a_mat_the_field_follows_the_lamp() -> None:
    level = lamp(MAT)
    factor, u = light_at(fit_light(MAT, 3.7 * level), MAT)
    assert factor / factor.mean() == pytest.approx(level / level.mean(), abs=0.006)
    assert (u < 0.01).all()


def test_the_mean_over_the_sheet_is_one() -> None:
    factor, _ = light_at(fit_light(MAT, lamp(MAT)), MAT)
    assert np.exp(np.log(factor).mean()) == pytest.approx(1, abs=1e-9)


def test_even_light_stays_even() -> None:
    factor, _ = light_at(fit_light(CARD, np.ones(len(CARD))), CARD)
    assert factor == pytest.approx(1, abs=0.005)


@pytest.mark.parametrize("at", [(600.0, 0.0), (-400.0, 200.0), (0.0, -600.0), (50.0, 50.0)])
def test_beside_a_card_the_slope_is_followed_within_the_doubt(at: tuple[float, float]) -> None:
    beside = np.array([[-150.0, 50.0], [-250.0, 0.0], [74.0, -200.0]])
    truth = lamp(beside, at) / np.exp(np.log(lamp(CARD, at)).mean())
    rng = np.random.default_rng(1)
    level = lamp(CARD, at) * (1 + rng.normal(0, 0.004, len(CARD)))
    factor, u = light_at(fit_light(CARD, level, level_u=0.004), beside)
    assert (np.abs(factor / truth - 1) < 2.6 * u).all()
    assert np.abs(factor / truth - 1).max() < 0.04


def test_doubt_grows_with_distance() -> None:
    field = fit_light(CARD, lamp(CARD))
    _, u = light_at(field, np.array([[74.0, 52.0], [-60.0, 52.0], [-200.0, 52.0]]))
    assert u[0] < u[1] < u[2]
    assert u[2] > 5 * u[0]


def test_stated_uncertainty_covers_the_noise() -> None:
    """Monte Carlo: noise as large as stated, a fall-off that the surface can follow; 95 % lie within 1.96 u."""
    rng = np.random.default_rng(2)
    at = grid(300, 200, 60) + 20
    z = []
    for _ in range(200):
        slope = rng.normal(0, 5e-4, 2)
        truth = np.exp((MAT - MAT.mean(0)) @ slope)
        field = fit_light(MAT, truth * np.exp(rng.normal(0, 0.01, len(MAT))))
        factor, u = light_at(field, at)
        expected = np.exp((at - MAT.mean(0)) @ slope)
        z.append((np.log(factor / expected)) / u)
    assert 0.90 < (np.abs(z) < 1.96).mean() <= 1.0


def test_a_shadow_over_some_spots_is_not_followed() -> None:
    level = lamp(MAT)
    shaded = level.copy()
    shaded[(MAT[:, 0] < 60) & (MAT[:, 1] < 120)] *= 0.7
    factor, _ = light_at(fit_light(MAT, shaded), MAT)
    assert factor / np.median(factor) == pytest.approx(level / np.median(level), abs=0.015)


def test_a_surface_with_a_wrong_value_makes_no_false_slope() -> None:
    level = lamp(MAT)
    right = MAT[:, 0] > 200
    wrong = np.where(right, 1.1, 1.0) * level
    apart, _ = light_at(fit_light(MAT, wrong, surface=right), MAT)
    mixed, _ = light_at(fit_light(MAT, wrong), MAT)
    truth = level / np.exp(np.log(level).mean())
    assert np.abs(apart / truth - 1).max() < 0.01
    assert np.abs(mixed / truth - 1).max() > 0.02


def test_bad_input_is_named() -> None:
    with pytest.raises(ValueError, match="at least 3 spots"):
        fit_light(CARD[:2], np.ones(2))
    with pytest.raises(ValueError, match="at least 3 spots"):
        fit_light(CARD, np.ones(4))
    with pytest.raises(ValueError, match="above 0"):
        fit_light(CARD, np.zeros(len(CARD)))

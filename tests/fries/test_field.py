import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from grader.fries.browning import browning_steps, flesh_chroma, without_shade
from grader.fries.field import make_field, place_across
from grader.standard import load_shipped

ALONG, ACROSS = (axis.ravel() for axis in np.meshgrid(np.arange(5.0, 25.0), np.arange(-3.0, 4.0), indexing="ij"))


def test_each_pixel_has_its_cell_and_the_rest_is_nan() -> None:
    keep = (ALONG + ACROSS) % 3 > 0
    field = make_field(ALONG[keep], ACROSS[keep], 1.0)
    picture = field.picture(100 * ALONG[keep] + ACROSS[keep])
    assert np.isfinite(picture).sum() == keep.sum()
    np.testing.assert_array_equal(picture[field.rows, field.columns], 100 * ALONG[keep] + ACROSS[keep])
    chosen = ALONG[keep] > 15
    assert field.where(chosen).sum() == chosen.sum()


def test_places_across_run_from_edge_to_edge_of_what_is_chosen() -> None:
    field = make_field(ALONG, ACROSS, 1.0)
    chosen = (ACROSS > -2) & (ALONG > 9)
    place = place_across(field, chosen)
    assert np.isnan(place[~chosen]).all()
    assert np.nanmin(place) == -1
    assert np.nanmax(place) == 1
    np.testing.assert_allclose(place[chosen & (ACROSS == 1)], 0)


@given(st.floats(5, 95), st.floats(0.1, 20))
def test_browning_goes_on_with_every_loss_of_lightness(lightness: float, loss: float) -> None:
    before, after = browning_steps(np.array([lightness, lightness - loss]))
    assert after > before


def test_a_step_of_the_scale_that_ships_is_about_a_step_of_browning() -> None:
    anchors = np.array([step.lab for step in load_shipped()["strips-9.5mm-skin-on"].scale.steps])
    np.testing.assert_allclose(np.diff(browning_steps(anchors[:, 0])), 1, atol=0.15)
    np.testing.assert_allclose(flesh_chroma(anchors[:, 0]), np.hypot(anchors[:, 1], anchors[:, 2]), atol=1.5)


def test_what_cannot_be_told_stays_so() -> None:
    assert np.isnan(browning_steps(np.array([np.nan]))).all()


@pytest.mark.parametrize("light", [0.4, 0.7, 1.3])
def test_shade_leaves_hue_alone(light: float) -> None:
    """CIE 15: above its toe, CIELAB goes by the cube roots of X, Y, Z, all of which shade scales alike."""
    lab = np.array([[62.0, 7.0, 35.0], [45.0, 13.0, 30.0]])
    shaded = np.add(lab, [16.0, 0.0, 0.0]) * light ** (1 / 3) - np.array([16.0, 0.0, 0.0])
    np.testing.assert_allclose(without_shade(shaded), without_shade(lab), atol=1e-9)

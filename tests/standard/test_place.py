"""Places on the colour scale."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from grader.arrays import FloatArray
from grader.standard import load_shipped, place_on_scale
from grader.standard.model import END_STEPS

SCALE = load_shipped()["strips-9.5mm-skin-on"].scale
ANCHORS = np.array([step.lab for step in SCALE.steps])


def along_path(place: float) -> FloatArray:
    return np.array([np.interp(place, np.arange(1, len(ANCHORS) + 1), ANCHORS[:, i]) for i in range(3)])


def test_each_anchor_is_at_its_own_number_and_on_the_scale() -> None:
    found = place_on_scale(SCALE, ANCHORS, np.ones(3))
    np.testing.assert_allclose(found.place, np.arange(1, 8), atol=1e-12)
    np.testing.assert_allclose(found.off_scale_de, 0, atol=1e-9)


@given(st.floats(1, 7))
def test_a_colour_on_the_path_has_its_place_back(place: float) -> None:
    found = place_on_scale(SCALE, along_path(place), np.zeros(3))
    assert float(found.place) == pytest.approx(place, abs=1e-9)
    assert float(found.off_scale_de) < 1e-6


@given(st.floats(0.6, 7.4), st.floats(0.6, 7.4), st.floats(-3, 3))
def test_darker_along_the_path_is_never_a_lower_place(one: float, other: float, aside: float) -> None:
    """Also a little beside the path, as measured colours are."""
    paler, darker = sorted((one, other))
    beside = np.array([0.0, aside, 0.0])
    places = place_on_scale(
        SCALE, np.array([along_path(paler) + beside, along_path(darker) + beside]), np.ones(3)
    ).place
    assert places[0] <= places[1] + 1e-9


def test_the_nearest_point_is_the_nearest_of_a_fine_search() -> None:
    rng = np.random.default_rng(5)
    colours = ANCHORS[rng.integers(0, 7, 200)] + rng.normal(0, 4, (200, 3))
    fine = np.linspace(1, 7, 6001)
    path = np.stack([np.interp(fine, np.arange(1, 8), ANCHORS[:, i]) for i in range(3)], -1)
    searched = fine[((colours[:, None] - path) ** 2).sum(-1).argmin(1)]
    found = place_on_scale(SCALE, colours, np.ones(3)).place
    np.testing.assert_allclose(np.clip(found, 1, 7), searched, atol=0.002)


def test_uncertainty_is_that_of_simulated_readings() -> None:
    """GUM Supplement 1 (JCGM 101:2008): the first-order figure against random draws."""
    rng = np.random.default_rng(6)
    u = np.array([1.5, 1.0, 1.5])
    true = along_path(3.5)
    drawn = place_on_scale(SCALE, true + rng.normal(0, u, (20_000, 3)), u).place
    stated = float(place_on_scale(SCALE, true, u).place_u)
    assert float(drawn.std()) == pytest.approx(stated, rel=0.06)


def test_beyond_the_ends_places_stop_but_the_scale_goes_on() -> None:
    burnt = ANCHORS[-1] + 1.5 * (ANCHORS[-1] - ANCHORS[-2])
    raw = ANCHORS[0] - 2 * (ANCHORS[1] - ANCHORS[0])
    found = place_on_scale(SCALE, np.array([burnt, raw]), np.ones(3))
    np.testing.assert_allclose(found.place, [7 + END_STEPS, 1 - END_STEPS])
    np.testing.assert_allclose(found.off_scale_de, 0, atol=1e-6)
    assert np.all(found.place_u > 0)


def test_a_colour_like_no_step_is_off_the_scale() -> None:
    parsley, steel = (45.0, -25.0, 30.0), (60.0, 0.0, -2.0)
    assert np.all(place_on_scale(SCALE, [parsley, steel], np.ones(3)).off_scale_de > SCALE.off_scale_de)


def test_any_shape_goes_in_and_results_are_read_only() -> None:
    found = place_on_scale(SCALE, np.full((2, 3, 3), 60.0), np.ones(3))
    assert found.place.shape == found.place_u.shape == found.off_scale_de.shape == (2, 3)
    assert found.slope.shape == (2, 3, 3)
    assert not found.place.flags.writeable

"""Where steps part: against thresholds that are known, and laws."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from grader.scale_fit.ordinal import fit_boundaries, step_at


def test_known_thresholds_come_back() -> None:
    """The cumulative logistic model itself draws the names: P(darker than boundary k) = logistic(6 (place - k))."""
    rng = np.random.default_rng(1)
    known = np.array([1.4, 2.7, 3.45])
    ends = np.array([0.5, *known, 4.5])
    drawn = rng.integers(0, 4, 20_000)  # every step as often
    place = rng.uniform(ends[drawn], ends[drawn + 1])
    step = (place[:, None] + rng.logistic(0, 1 / 6, (len(place), 1)) > known).sum(axis=1)
    np.testing.assert_allclose(fit_boundaries(place, step, steps=4), known, atol=0.05)


def test_how_often_a_step_was_photographed_moves_no_boundary() -> None:
    rng = np.random.default_rng(2)
    places = [rng.normal(middle, 0.35, 3000) for middle in (1.0, 2.0, 3.0)]
    even = fit_boundaries(np.concatenate(places), np.repeat([0, 1, 2], 3000), steps=3)
    some = np.concatenate([places[0][:300], places[1], places[2]])
    np.testing.assert_allclose(fit_boundaries(some, np.repeat([0, 1, 2], [300, 3000, 3000]), steps=3), even, atol=0.06)


def test_plates_that_separate_part_half_way() -> None:
    place = np.array([0.9, 1.0, 1.1, 1.9, 2.0, 2.1, 2.9, 3.0, 3.1])
    found = fit_boundaries(place, np.repeat([0, 1, 2], 3), steps=3)
    np.testing.assert_allclose(found, [1.5, 2.5], atol=0.03)


def test_plates_called_the_wrong_way_round_say_nothing() -> None:
    place = np.array([3.0, 3.1, 2.0, 2.1, 1.0, 1.1])
    np.testing.assert_array_equal(fit_boundaries(place, np.array([0, 0, 1, 1, 2, 2]), steps=3), [1.5, 2.5])


@given(st.integers(0, 2**32 - 1), st.integers(3, 7))
def test_boundaries_never_fall_and_lie_between_their_anchors(seed: int, steps: int) -> None:
    """Whatever the plates are called, the boundaries are in order."""
    rng = np.random.default_rng(seed)
    step = np.concatenate([np.arange(steps), rng.integers(0, steps, 2 * steps)])
    place = rng.uniform(0.5, steps + 0.5, len(step))
    found = fit_boundaries(place, step, steps=steps)
    assert np.all(np.diff(found) >= 0)
    assert np.all((found >= np.arange(1, steps)) & (found <= np.arange(2, steps + 1)))


@given(st.lists(st.floats(0.5, 5.5), min_size=2, max_size=20))
def test_darker_is_never_a_paler_step(places: list[float]) -> None:
    steps = step_at(np.array([1.5, 2.2, 2.2, 4.9]), np.sort(places))
    assert np.all(np.diff(steps) >= 0)


@pytest.mark.parametrize(("place", "step"), [(0.5, 0), (1.49, 0), (1.51, 1), (2.6, 2)])
def test_a_place_is_on_the_step_whose_boundaries_are_about_it(place: float, step: int) -> None:
    assert step_at(np.array([1.5, 2.5]), np.array([place])).tolist() == [step]

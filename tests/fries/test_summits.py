import cv2
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from skimage.morphology import h_maxima

from grader.fries.summits import summits


@given(seed=st.integers(0, 10_000), least=st.floats(0.05, 2.0))
def test_they_are_what_another_way_to_find_them_gives(seed: int, least: float) -> None:
    rough = np.random.default_rng(seed).normal(size=(40, 61)).astype(np.float32)
    heights = np.maximum(8 * cv2.GaussianBlur(rough, (0, 0), 2.5), 0)
    assert (summits(heights, least) == (h_maxima(heights, least) > 0)).all()


def test_of_two_summits_with_a_shallow_pass_between_only_the_higher_stands_out() -> None:
    ridge = np.array([[0, 5, 4.5, 4.8, 2, 3, 0]], np.float32)
    assert np.flatnonzero(summits(ridge, 0.7)).tolist() == [1, 5]
    assert np.flatnonzero(summits(ridge, 0.2)).tolist() == [1, 3, 5]


@pytest.mark.parametrize("level", [0.0, 5.0])
def test_a_plain_has_none(level: float) -> None:
    assert not summits(np.full((9, 9), level, np.float32), 0.7).any()

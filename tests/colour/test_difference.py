"""CIE 2000 against its published pairs, two libraries and its own symmetries."""

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from skimage.color import deltaE_ciede2000

from grader.colour import ciede2000

PAIRS = np.loadtxt(Path(__file__).with_name("sharma_2005.csv"), delimiter=",")
labs = st.tuples(st.floats(0, 100), st.floats(-120, 120), st.floats(-120, 120)).map(np.array)


def test_all_thirty_four_published_pairs_are_there() -> None:
    assert PAIRS.shape == (34, 7)


@pytest.mark.parametrize("pair", range(34))
def test_published_pair(pair: int) -> None:
    """Sharma, Wu & Dalal 2005, table 1: printed to four decimals."""
    row = PAIRS[pair]
    assert ciede2000(row[:3], row[3:6]) == pytest.approx(row[6], abs=6e-5)


def test_a_whole_array_at_once_agrees_with_one_by_one() -> None:
    assert ciede2000(PAIRS[:, :3], PAIRS[:, 3:6]) == pytest.approx(PAIRS[:, 6], abs=6e-5)


def test_scikit_image_agrees_all_over_the_space() -> None:
    rng = np.random.default_rng(3)
    one, other = rng.uniform([0, -110, -110], [100, 110, 110], (2, 4000, 3))
    assert ciede2000(one, other) == pytest.approx(deltaE_ciede2000(one, other), abs=1e-9)


@pytest.mark.filterwarnings("ignore")
def test_colour_science_agrees_on_a_worked_pair() -> None:
    import colour

    one, other = np.array([60.0, 5.0, 30.0]), np.array([58.0, 6.0, 33.0])
    assert ciede2000(one, other) == pytest.approx(colour.delta_E(one, other, method="CIE 2000"), abs=1e-9)
    assert ciede2000(one, other) == pytest.approx(2.2319, abs=5e-5)


@given(labs, labs)
def test_symmetric_and_never_negative(one: np.ndarray, other: np.ndarray) -> None:
    there, back = ciede2000(one, other), ciede2000(other, one)
    assert there >= 0
    assert there == pytest.approx(back, abs=1e-9)


@given(labs)
def test_no_difference_from_itself(lab: np.ndarray) -> None:
    assert ciede2000(lab, lab) == 0

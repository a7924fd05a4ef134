import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from grader.card.lens import bend, centre_px, straighten

SIZE = (4000, 3000)


def test_the_middle_stays_where_it_is() -> None:
    np.testing.assert_allclose(straighten(centre_px(SIZE), 0.02, SIZE), [1999.5, 1499.5])


def test_a_corner_moves_outwards_by_the_radial_term() -> None:
    corner = centre_px(SIZE) + np.array([2000, 1500])
    np.testing.assert_allclose(straighten(corner, 0.02, SIZE) - centre_px(SIZE), [2040, 1530])


@given(st.floats(-0.06, 0.06), st.floats(0, 3999), st.floats(0, 2999))
def test_bending_undoes_straightening(radial: float, x: float, y: float) -> None:
    point = np.array([x, y])
    assert bend(straighten(point, radial, SIZE), radial, SIZE) == pytest.approx(point, abs=1e-6)


def test_without_distortion_nothing_moves() -> None:
    points = np.random.default_rng(1).uniform(0, 3000, (20, 2))
    np.testing.assert_allclose(bend(points, 0.0, SIZE), points)

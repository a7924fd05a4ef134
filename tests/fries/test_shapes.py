import numpy as np
import pytest

from grader.fries.shapes import Bars, Shapes


def two_halves() -> np.ndarray[tuple[int, int], np.dtype[np.int64]]:
    labels = np.zeros((60, 200), np.int64)
    labels[20:40, 10:90], labels[20:40, 90:190] = 1, 2
    return labels


def test_what_is_known_of_pieces_adds_up() -> None:
    shapes, both = Shapes(two_halves()), frozenset({1, 2})
    assert shapes.area(both) == 20 * 180
    assert shapes.moments(both) == pytest.approx(shapes.moments(frozenset({1})) + shapes.moments(frozenset({2})))
    fit = shapes.fit(both)
    assert fit.length_px == pytest.approx(180, abs=3)
    assert fit.width_px == pytest.approx(20, abs=2)


def test_second_moments_tell_a_bar_from_a_corner() -> None:
    labels = two_halves()
    labels[40:, 10:30] = 3
    shapes = Shapes(labels)
    bar, corner = frozenset({1, 2}), frozenset({1, 3})
    assert shapes.may_be_strips([corner, bar], widest_px=30) == [bar]
    assert shapes.may_be_strips([corner, bar], widest_px=15) == []
    assert shapes.may_be_strips([], widest_px=30) == []
    square = np.zeros((130, 130), np.int64)
    square[10:110, 10:30], square[90:110, 30:110] = 1, 2
    assert Shapes(square).may_be_strips([frozenset({1, 2})], widest_px=200) == []


def test_the_bar_of_a_bar_is_the_bar() -> None:
    bars = Bars(Shapes(two_halves()).moments(frozenset({1, 2}))[None])
    assert bars.centre[0] == pytest.approx([99.5, 29.5])
    assert bars.length[0] == pytest.approx(180, abs=0.5)
    assert bars.width[0] == pytest.approx(20, abs=0.5)
    assert bars.extent(np.array([[1.0, 0.0]]))[0] == pytest.approx(180, abs=0.5)
    assert bars.extent(np.array([[0.0, 1.0]]))[0] == pytest.approx(20, abs=0.5)

import numpy as np

from grader.arrays import LabelArray
from grader.fries.rims import without_rims


def two_bars() -> LabelArray:
    """Two bars beside each other, the upper one shorter."""
    labels = np.zeros((40, 90), np.uint16)
    labels[8:20, 30:60] = 1
    labels[20:32, 5:85] = 2
    return labels


def test_a_rim_along_a_neighbour_goes_to_it() -> None:
    labels = two_bars()
    flooded = labels.copy()
    flooded[20:22, 5:85] = 1
    np.testing.assert_array_equal(without_rims(flooded)[20:22, 35:55], 1)
    np.testing.assert_array_equal(without_rims(flooded)[20:22, 5:28], 2)


def test_bars_stay_as_they_are() -> None:
    np.testing.assert_array_equal(without_rims(two_bars()), two_bars())


def test_what_is_narrow_all_over_stays() -> None:
    labels = two_bars()
    labels[20:32, 5:85] = 0
    labels[20:22, 5:85] = 2
    np.testing.assert_array_equal(without_rims(labels), labels)


def test_nothing_gains_or_loses_a_pixel_to_what_lies_outside() -> None:
    random = np.random.default_rng(3)
    labels = np.kron(random.integers(0, 5, (12, 15)), np.ones((5, 6))).astype(np.uint16)
    labels[random.random(labels.shape) < 0.1] = 4
    np.testing.assert_array_equal(without_rims(labels) > 0, labels > 0)


def test_thick_places_of_a_rim_go_with_it() -> None:
    flooded = two_bars()
    flooded[20:22, 5:85] = 1
    flooded[20:24, 8:14] = 1
    np.testing.assert_array_equal(without_rims(flooded)[20:24, 5:28], 2)

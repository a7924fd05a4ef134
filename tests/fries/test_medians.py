"""Against SciPy's medians by label, and NumPy's of one group at a time."""

from typing import Any

import numpy as np
import pytest
from scipy import ndimage

from grader.fries.medians import column_middles, medians_of


@pytest.mark.parametrize("kind", [np.float32, np.float64])
@pytest.mark.parametrize("groups", [3, 40, 700])
def test_the_medians_are_those_of_scipy(groups: int, kind: type[np.floating]) -> None:
    random = np.random.default_rng(groups)
    values, group = random.normal(size=5000).astype(kind), random.integers(0, groups, 5000)
    present = np.unique(group)
    medians = medians_of(values, group, groups)
    assert medians[present] == pytest.approx(ndimage.median(values, group, present), abs=0)
    assert medians[present[-1]] == np.median(values[group == present[-1]])


def test_a_group_without_values_has_no_median() -> None:
    medians = medians_of(np.array([3.0, 1.0, 8.0, 2.0]), np.array([0, 3, 3, 3]), 5)
    np.testing.assert_equal(medians, [3.0, np.nan, np.nan, 2.0, np.nan])


def test_nothing_has_no_median() -> None:
    np.testing.assert_equal(medians_of(np.zeros(0), np.zeros(0, np.int64), 2), [np.nan, np.nan])


@pytest.mark.parametrize("kind", [np.uint8, np.uint16])
def test_columns_have_their_medians_between_the_middle_ones_of_what_is_shown(
    kind: Any,
) -> None:
    random = np.random.default_rng(7)
    values = random.integers(0, 256, (31, 12)).astype(kind)
    shown = random.random((31, 12)) < 0.6
    expected = [np.median(column[seen]) for column, seen in zip(values.T, shown.T, strict=True)]
    np.testing.assert_array_equal(column_middles(values, shown).mean(axis=0), expected)

"""Factors of Shewhart charts against printed tables."""

import pytest

from grader.consistency.constants import c4, shewhart
from tests.consistency.published_charts import CONSTANTS, PISTON_RINGS

ROWS = [line.split() for line in CONSTANTS.strip().splitlines()]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"n = {row[0]}")
def test_factors_are_those_of_the_table(row: list[str]) -> None:
    told = shewhart(int(row[0]))
    ours = [told.a, told.a2, told.a3, told.c4, 1 / told.c4, *told.b3_b4, *told.b5_b6]
    ours += [told.d2, 1 / told.d2, told.d3, *told.d1_d2, *told.d3_d4]
    assert ours == pytest.approx([float(figure) for figure in row[1:]], abs=2e-4)


def test_two_readings_by_hand() -> None:
    assert c4(2) == pytest.approx((2 / 3.14159265358979) ** 0.5)
    assert shewhart(2).d2 == pytest.approx(2 / 3.14159265358979**0.5, abs=1e-9)


def test_one_reading_has_no_range() -> None:
    with pytest.raises(ValueError, match="no standard deviation"):
        shewhart(1)


def test_piston_rings_by_ranges_and_by_standard_deviations() -> None:
    """Montgomery's example, as `published_charts` names it; he prints 74.014, 73.988 and 0.049 from a rounded range."""
    first, factors = PISTON_RINGS[:25], shewhart(5)
    level = first.mean()
    mean_range = (first.max(axis=1) - first.min(axis=1)).mean()
    mean_sd = first.std(axis=1, ddof=1).mean()
    assert level == pytest.approx(74.001176, abs=5e-7)
    assert mean_range == pytest.approx(0.02276, abs=5e-6)
    assert mean_sd == pytest.approx(0.0092400, abs=5e-8)
    assert level + factors.a2 * mean_range == pytest.approx(74.01430, abs=6e-6)
    assert level - factors.a2 * mean_range == pytest.approx(73.98805, abs=6e-6)
    assert factors.d3_d4[1] * mean_range == pytest.approx(0.04813, abs=6e-6)
    assert level + factors.a3 * mean_sd == pytest.approx(74.01436, abs=6e-6)
    assert level - factors.a3 * mean_sd == pytest.approx(73.98799, abs=6e-6)
    assert factors.b3_b4[1] * mean_sd == pytest.approx(0.01930, abs=6e-6)

import numpy as np
import pytest
from scipy.stats import ttest_1samp

from grader.line.cartons import CartonError, hold_against_count, mean_tuber_g

OUNCE_G = 28.3495

# A trade buying guide's counts and mean tuber weights, ounces; 50 lb over the count, g, worked out by hand.
GUIDE = [(50, 16.0), (60, 13.0), (70, 11.5), (80, 10.0), (90, 9.0), (100, 8.0), (110, 7.3), (120, 6.5)]
BY_HAND = [(40, 567.0), (50, 453.6), (60, 378.0), (70, 324.0), (80, 283.5), (90, 252.0), (100, 226.8), (120, 189.0)]


@pytest.mark.parametrize(("count", "ounces"), GUIDE)
def test_a_carton_count_tells_about_what_buyers_are_told(count: int, ounces: float) -> None:
    assert mean_tuber_g(count) == pytest.approx(ounces * OUNCE_G, rel=0.03)


@pytest.mark.parametrize(("count", "grams"), BY_HAND)
def test_fifty_pounds_over_the_count(count: int, grams: float) -> None:
    assert mean_tuber_g(count) == pytest.approx(grams, abs=0.1)


def test_tubers_are_held_against_the_count_as_scipy_does() -> None:
    masses = np.random.default_rng(2).normal(240, 40, 20)
    told, by_scipy = hold_against_count(masses.tolist(), 80), ttest_1samp(masses, mean_tuber_g(80), alternative="less")
    both_ways = ttest_1samp(masses, mean_tuber_g(80)).confidence_interval(0.95)
    assert told.as_light_p == pytest.approx(by_scipy.pvalue)
    assert (told.low_g, told.high_g) == pytest.approx((both_ways.low, both_ways.high))
    assert told.count_as_weighed == pytest.approx(22680 / masses.mean())


def test_five_equal_tubers_do_not_divide_by_nothing() -> None:
    assert hold_against_count([200.0] * 5, 100).as_light_p == 0.0


@pytest.mark.parametrize("masses", [[200.0] * 4, [200.0] * 5 + [0.0], [200.0] * 5 + [float("nan")]])
def test_too_few_tubers_are_refused(masses: list[float]) -> None:
    with pytest.raises(CartonError, match="too few"):
        hold_against_count(masses, 80)
    with pytest.raises(CartonError, match="carton of 5 tubers"):
        mean_tuber_g(5)

"""The place of a change: the flow of the Nile, how often the interval holds the truth, how often it cries wolf."""

import numpy as np
import pytest
from scipy import stats
from statsmodels.datasets import nile

from grader.arrays import FloatArray
from grader.consistency.change_point import ChangePoint, change_point


def found(values: FloatArray, relative_variance: FloatArray | None = None) -> ChangePoint:
    return change_point(values, np.random.default_rng(0), relative_variance=relative_variance)


def test_the_nile_fell_after_1898() -> None:
    """Yearly flow at Aswan, 1871 to 1970.

    Cobb, G. W. (1978): The problem of the Nile. Biometrika 65. Data as statsmodels ships them, which says "an apparent
    changepoint near 1898"; the documentation of strucchange (CRAN, `breakdates`): "the annual flows drop in 1898", a
    breakpoint being the last observation before the change.
    """
    data = nile.load_pandas().data
    change = found(data["volume"].to_numpy(float))
    years = data["year"].to_numpy(int)
    assert years[change.after - 1] == 1898
    assert 1894 <= years[change.first - 1] <= 1898 < years[change.last - 1] <= 1903
    assert change.chance < 0.001
    before, later = data["volume"][years <= 1898], data["volume"][years > 1898]
    assert (change.before, change.later) == pytest.approx((before.mean(), later.mean()))
    t = stats.ttest_ind(later, before)
    assert change.step / change.step_u == pytest.approx(t.statistic)


def test_the_posterior_is_that_of_the_textbook_integral() -> None:
    """Against the integral over both means and the standard deviation, done by brute force on a grid."""
    values = np.array([0.1, -0.4, 0.3, 1.2, 0.9, 1.6])
    change = found(values)
    means, sds = np.linspace(-6, 7, 400), np.exp(np.linspace(-4, 3, 300))
    told = []
    for k in range(1, len(values)):
        both: FloatArray = np.ones(300)
        for side in (values[:k], values[k:]):
            density = np.asarray(stats.norm.logpdf(side[:, None, None], means[:, None], sds)).sum(axis=0)
            both = np.asarray(both * np.exp(density).sum(axis=0), float)
        told.append(both.sum())  # flat in log sd: the grid is even in it
    assert change.posterior == pytest.approx(np.array(told) / sum(told), abs=0.002)


@pytest.mark.parametrize(("step", "n", "at"), [(1.5, 20, 10), (3.0, 12, 8), (1.0, 40, 30)])
def test_the_interval_holds_the_truth_as_often_as_it_says(step: float, n: int, at: int) -> None:
    rng = np.random.default_rng(7)
    held, wide = [], []
    for _ in range(300):
        values = rng.standard_normal(n) + step * (np.arange(n) >= at)
        change = change_point(values, rng)
        held.append(change.first <= at < change.last)
        wide.append(change.last - change.first)
    print(f"step {step} sd after {at} of {n}: held {np.mean(held):.3f}, {np.median(wide):.0f} places wide")
    assert np.mean(held) >= 0.86


def test_nothing_is_found_where_nothing_changed() -> None:
    rng = np.random.default_rng(8)
    chances = [change_point(rng.standard_normal(15), rng).chance for _ in range(400)]
    alarms = float(np.mean(np.array(chances) <= 0.05))
    print(f"no change: told at the 5 % level {alarms:.3f}")
    assert alarms == pytest.approx(0.05, abs=0.03)


def test_batches_of_few_plates_count_less() -> None:
    values = np.array([0.0, 0.1, -0.1, 0.0, 0.1, 2.0])
    light = np.array([1.0, 1.0, 1.0, 1.0, 1.0, 100.0])
    assert found(values, relative_variance=light).chance > found(values).chance
    equal = found(values, relative_variance=np.full(6, 7.0))
    assert equal.posterior == pytest.approx(found(values).posterior)


def test_a_change_without_any_scatter_is_found_exactly() -> None:
    change = found(np.array([1.0, 1.0, 1.0, 2.0, 2.0, 2.0]))
    assert (change.first, change.after, change.last) == (3, 3, 4)


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ([1.0, 2.0, 3.0], "at least 4"),
        ([1.0, 1.0, 1.0, 1.0], "equal"),
        ([1.0, np.nan, 2.0, 3.0], "finite"),
    ],
)
def test_what_tells_nothing_is_refused(values: list[float], words: str) -> None:
    with pytest.raises(ValueError, match=words):
        found(np.array(values))
    with pytest.raises(ValueError, match="variance"):
        found(np.array([1.0, 2.0, 1.0, 2.0]), relative_variance=np.zeros(4))

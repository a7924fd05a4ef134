import numpy as np
import pytest
from scipy.optimize import minimize
from scipy.special import ndtr

from grader.line.floating import FloatTestError, fit_float_test

BATHS = (1.070, 1.080, 1.090)


def counted(mean: float, spread: float, tubers: int, rng: np.random.Generator) -> list[int]:
    groups = np.digitize(rng.normal(mean, spread, tubers), BATHS)
    return [int(n) for n in np.bincount(groups, minlength=4)]


@pytest.mark.parametrize("tubers", [10, 20, 60])
def test_intervals_hold_over_all_lots_that_there_may_be(tubers: int) -> None:
    """Lots drawn from what is deemed possible beforehand: so drawn, intervals of 95 % hold 95 times in 100."""
    rng, held = np.random.default_rng(tubers), []
    for _ in range(600):
        mean, spread = rng.uniform(1.05, 1.11), 0.002 * 10 ** rng.uniform(0, 1)
        told = fit_float_test(BATHS, counted(mean, spread, tubers, rng), bath_u=0.0)
        held.append((told.mean_low <= mean <= told.mean_high, told.spread_low <= spread <= told.spread_high))
    assert np.mean(held, axis=0) == pytest.approx([0.95, 0.95], abs=0.027)


@pytest.mark.parametrize("tubers", [10, 20, 60])
@pytest.mark.parametrize(("mean", "spread"), [(1.082, 0.006), (1.078, 0.008), (1.080, 0.012)])
def test_intervals_hold_a_lot_that_the_baths_enclose(mean: float, spread: float, tubers: int) -> None:
    rng = np.random.default_rng(tubers)
    told = [fit_float_test(BATHS, counted(mean, spread, tubers, rng), bath_u=0.0) for _ in range(300)]
    by_chance = 3 * np.sqrt(0.95 * 0.05 / len(told))
    assert np.mean([one.mean_low <= mean <= one.mean_high for one in told]) >= 0.95 - by_chance
    assert np.mean([one.spread_low <= spread <= one.spread_high for one in told]) >= 0.95 - by_chance


def test_many_tubers_agree_with_the_greatest_likelihood() -> None:
    """That of interval-censored normal values, found by SciPy's `minimize`."""
    counts = np.array([180, 520, 410, 90])

    def unlikely(at: np.ndarray) -> float:
        below = np.concatenate([[0], ndtr((np.array(BATHS) - at[0]) / np.exp(at[1])), [1]])
        return -float(counts @ np.log(np.maximum(np.diff(below), 1e-300)))

    best = minimize(unlikely, [1.08, np.log(0.007)], method="Nelder-Mead", options={"xatol": 1e-7, "fatol": 1e-7}).x
    told = fit_float_test(BATHS, counts.tolist(), bath_u=0.0)
    assert told.mean == pytest.approx(best[0], abs=1e-4)
    assert told.spread == pytest.approx(np.exp(best[1]), rel=0.02)


def test_all_afloat_is_told_and_leaves_much_open() -> None:
    told = fit_float_test(BATHS, [12, 0, 0, 0], bath_u=0.0)
    assert told.outside
    assert told.mean_high < 1.070
    assert told.mean_high - told.mean_low > 0.01
    assert not fit_float_test(BATHS, [6, 6, 0, 0], bath_u=0.0).outside


def test_what_the_baths_are_off_by_does_not_shrink_with_tubers() -> None:
    sure, unsure = (fit_float_test(BATHS, [180, 520, 410, 90], bath_u=u) for u in (0.0, 0.002))
    assert unsure.mean_u == pytest.approx(np.hypot(sure.mean_u, 0.002))
    assert unsure.mean_high - unsure.mean_low > 2 * 1.9 * 0.002


@pytest.mark.parametrize(
    ("baths", "counts", "says"),
    [
        ((1.08, 1.07), (5, 5, 5), "from the lightest to the densest"),
        ((1.07, 1.08), (5, 5), "into 3 groups, not 2"),
        ((1.07, 1.08), (3, 3, 3), "Too few tubers: 9"),
        ((1.07, 1.08), (13, -1, 3), "fewer than no tuber"),
        ((1.01, 1.08), (5, 5, 5), "Baths lie between"),
        ((), (10,), "from the lightest"),
    ],
)
def test_counts_that_can_not_be_are_refused(baths: tuple[float, ...], counts: tuple[int, ...], says: str) -> None:
    with pytest.raises(FloatTestError, match=says):
        fit_float_test(baths, counts, bath_u=0.0)

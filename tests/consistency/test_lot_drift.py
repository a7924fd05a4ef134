"""Drift inside a lot: against a line fitted elsewhere, how often it cries wolf, and that new lots don't hide it."""

import numpy as np
import pytest
import statsmodels.api as sm
from scipy import stats

from grader.consistency.lot_drift import LotDrift, lot_drift
from grader.consistency.segments import Segment


def parts(*lengths: int) -> list[Segment]:
    stops = np.cumsum(lengths)
    return [Segment(start=int(stop - n), stop=int(stop)) for n, stop in zip(lengths, stops, strict=True)]


def test_one_stretch_is_a_plain_line() -> None:
    values = np.random.default_rng(1).standard_normal(12)
    told = lot_drift(values, parts(12), relative_variance=np.ones(12))
    slope, line = told.slopes[0], stats.linregress(np.arange(12), values)
    assert slope is not None
    assert (slope.per_batch, slope.per_batch_u, slope.p) == pytest.approx((line.slope, line.stderr, line.pvalue))
    assert told.common is None


def test_the_shared_slope_is_that_of_an_analysis_of_covariance() -> None:
    """One level a stretch, one slope, weights: statsmodels' weighted least squares."""
    rng = np.random.default_rng(2)
    lengths, values = (5, 2, 7), rng.standard_normal(14)
    variance = rng.uniform(0.5, 2, 14)
    at = np.concatenate([np.arange(n) for n in lengths])
    levels = np.repeat(np.eye(3), lengths, axis=0)
    fit = sm.WLS(values, np.column_stack([at, levels]), weights=1 / variance).fit()
    told = lot_drift(values, parts(*lengths), relative_variance=variance).common
    assert told is not None
    assert (told.per_batch, told.per_batch_u, told.p) == pytest.approx((fit.params[0], fit.bse[0], fit.pvalues[0]))
    assert (told.low, told.high) == pytest.approx(tuple(fit.conf_int()[0]))


def test_a_new_level_with_each_lot_is_no_drift_and_hides_none() -> None:
    rng = np.random.default_rng(3)
    levels = np.repeat(rng.normal(0, 3, 8), 6)
    still = levels + rng.normal(0, 0.2, 48)
    moving = still + np.tile(np.arange(6) * 0.2, 8)
    lengths = (6,) * 8

    def told(values: np.ndarray[tuple[int], np.dtype[np.float64]]) -> LotDrift:
        return lot_drift(values, parts(*lengths), relative_variance=np.ones(48))

    quiet, loud = told(still).common, told(moving).common
    assert quiet is not None
    assert loud is not None
    assert not quiet.shown
    assert loud.shown
    assert loud.per_batch == pytest.approx(0.2, abs=0.05)
    assert loud.over_all == pytest.approx(5 * loud.per_batch)


def test_without_drift_one_is_told_as_seldom_as_said() -> None:
    """Ten stretches at once: in at most one series of a hundred is any of them said to drift."""
    rng = np.random.default_rng(4)
    wolf = 0
    for _ in range(1000):
        told = lot_drift(rng.standard_normal(60), parts(*(6,) * 10), relative_variance=np.ones(60))
        wolf += any(slope is not None and slope.shown for slope in told.slopes)
    print(f"any of ten stretches said to drift: {wolf / 1000:.3f} (0.01 asked for)")
    assert wolf <= 20


def test_short_stretches_are_said_to_tell_nothing() -> None:
    told = lot_drift(np.arange(7.0), parts(3, 1, 3), relative_variance=np.ones(7))
    assert told.slopes == (None, None, None)
    assert told.unseen == 7
    assert told.common is not None
    assert lot_drift(np.arange(3.0), parts(1, 1, 1), relative_variance=np.ones(3)).common is None

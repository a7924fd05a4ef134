"""Counts and shares against scipy, and against simulation."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from scipy.special import stdtrit
from scipy.stats import beta, binom, norm, poisson_binom

from grader.arrays import FloatArray
from grader.decision.counting import (
    _normal_counts,
    _product,
    count_distribution,
    effective_number,
    effective_of_own_plates,
    share_belief,
)
from grader.decision.terms import WITHIN_PLATE_CORRELATION

PROBABILITIES = arrays(float, st.integers(1, 40), elements=st.floats(0, 1))


@given(PROBABILITIES)
def test_counts_are_poisson_binomial(p: FloatArray) -> None:
    counts = count_distribution(p)
    np.testing.assert_allclose(counts, poisson_binom.pmf(np.arange(len(p) + 1), p), atol=1e-12)


def test_equal_probabilities_are_binomial() -> None:
    np.testing.assert_allclose(count_distribution(np.full(300, 0.3)), binom.pmf(np.arange(301), 300, 0.3), atol=1e-13)


def test_a_published_operating_characteristic() -> None:
    """7 CFR 42.140: of lots sampled with n = 500 and accepted up to 3 defects, about 26 % pass at 1.0 defects in a
    hundred and about 99 % at 0.10."""
    assert count_distribution(np.full(500, 0.01))[:4].sum() == pytest.approx(0.26, abs=0.005)
    assert count_distribution(np.full(500, 0.001))[:4].sum() == pytest.approx(0.99, abs=0.01)


def test_certain_fries_only_shift_the_count() -> None:
    counts = count_distribution(np.array([1.0, 0.0, 1.0, 0.5]))
    np.testing.assert_allclose(counts, [0, 0, 0.5, 0.5, 0])


def test_many_fries_are_counted_by_the_normal_curve_closely() -> None:
    p = np.random.default_rng(2).uniform(0.02, 0.98, 600)
    assert np.abs(np.cumsum(_normal_counts(p, np.ones(len(p), int))) - np.cumsum(_product(p))).max() < 5e-4
    np.testing.assert_allclose(count_distribution(p), _normal_counts(p, np.ones(len(p), int)))
    assert count_distribution(p).sum() == pytest.approx(1)


def test_effective_number() -> None:
    """Kish's design effect 1 + (m - 1) r for plates of one size."""
    r = 0.01
    assert effective_number(np.array([36]), r) == pytest.approx(36 / 1.35)
    assert effective_number(np.array([36, 36, 36]), r) == pytest.approx(3 * effective_number(np.array([36]), r))
    assert effective_number(np.array([1] * 50), r) == pytest.approx(50)
    assert effective_number(np.array([100_000]), r) < 1 / r
    assert effective_number(np.array([0]), r) == 0
    assert effective_number(np.array([36, 36]), 0.0) == pytest.approx(72)
    assert effective_number(np.array([36, 36]), 1.0) == pytest.approx(2)


def test_plates_that_scatter_hold_their_unequal_masses_already() -> None:
    """Unequal masses are a bound to what plates can tell, never a second factor."""
    hits, per_plate = np.array([12.0, 18.0, 15.0, 20.0]), np.full(4, 30)
    plain, uneven, very = (
        effective_of_own_plates(hits, per_plate, level=0.025, even=even) for even in (1.0, 0.9, 0.05)
    )
    assert plain is not None
    assert very is not None
    assert uneven == plain < 0.9 * 120
    assert very == pytest.approx(0.05 * 120 * (stdtrit(119, 0.025) / stdtrit(3, 0.025)) ** 2)


def test_known_counts_give_jeffreys_interval() -> None:
    """Against scipy's beta, at fries that lie one to a plate and far from the threshold."""
    belief = share_belief([(1.0, np.r_[np.ones(12), np.zeros(68)])], 80.0)
    posterior = beta(12.5, 68.5)
    assert belief.below(0.2) == pytest.approx(posterior.cdf(0.2))
    assert belief.quantile(0.95) == pytest.approx(posterior.ppf(0.95), abs=2e-6)
    assert belief.quantile(0.05) == pytest.approx(posterior.ppf(0.05), abs=2e-6)
    assert belief.mean == pytest.approx(posterior.mean())
    assert belief.sd == pytest.approx(posterior.std())


def test_no_hits_and_half_of_them() -> None:
    """0 of 10 and 5 of 10: bounds of beta(0.5, 10.5) and of beta(5.5, 5.5), the latter symmetric about a half."""
    none = share_belief([(1.0, np.zeros(10))], 10.0)
    half = share_belief([(1.0, np.r_[np.ones(5), np.zeros(5)])], 10.0)
    assert none.quantile(0.975) == pytest.approx(beta.ppf(0.975, 0.5, 10.5), abs=2e-6)
    assert half.quantile(0.025) + half.quantile(0.975) == pytest.approx(1, abs=1e-5)


@given(PROBABILITIES, st.data(), st.floats(0.02, 0.98))
def test_a_worse_fry_never_raises_the_chance_of_few(p: FloatArray, data: st.DataObject, limit: float) -> None:
    """For every limit: more probability of a defect on any fry, less probability that the share is below the limit."""
    at = data.draw(st.integers(0, len(p) - 1))
    worse = p.copy()
    worse[at] = data.draw(st.floats(float(p[at]), 1))
    effective = effective_number(np.array([len(p)]), WITHIN_PLATE_CORRELATION)
    before, after = (share_belief([(1.0, q)], effective).below(limit) for q in (p, worse))
    assert after <= before + 1e-9


def test_what_is_stated_of_a_share_holds_when_simulated() -> None:
    """Batches of 3 plates, lengths measured with an error of 1.5 mm: the true share lies beyond each one-sided bound of
    90 % one time in ten or a little less: doubt near the threshold is added to that of sampling, on the safe side.

    Lengths of one plate are correlated twice as much as assumed for the property: cutting a normal length in two at
    this threshold halves the correlation (phi^2 / (p q) = 0.50).
    """
    rng = np.random.default_rng(11)
    n, runs, mean, sd, threshold, u = 36, 1500, 72.0, 15.0, 60.0, 1.5
    correlation = 2 * WITHIN_PLATE_CORRELATION
    share = float(norm.cdf(threshold, mean, sd))
    too_high = too_low = 0
    effective = effective_number(np.full(3, n), WITHIN_PLATE_CORRELATION)
    for _ in range(runs):
        plates = rng.normal(mean, sd * np.sqrt(correlation), (3, 1))
        true = plates + rng.normal(0, sd * np.sqrt(1 - correlation), (3, n))
        measured = true + rng.normal(0, u, (3, n))
        belief = share_belief([(1.0, norm.cdf((threshold - measured.ravel()) / u))], effective)
        too_high += belief.below(share) < 0.1
        too_low += belief.below(share) > 0.9
    assert 0.05 < too_high / runs < 0.12
    assert 0.05 < too_low / runs < 0.12


def test_an_error_that_all_fries_share_widens_what_is_known() -> None:
    few, many = np.r_[np.ones(10), np.zeros(90)], np.r_[np.ones(30), np.zeros(70)]
    alone = share_belief([(1.0, np.r_[np.ones(20), np.zeros(80)])], 67.0)
    both = share_belief([(0.5, few), (0.5, many)], 67.0)
    assert both.mean == pytest.approx(alone.mean)
    assert both.sd > 2 * alone.sd

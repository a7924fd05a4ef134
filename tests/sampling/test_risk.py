"""Operating characteristics and outgoing quality against printed figures, scipy, closed forms and simulated lots."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binom, hypergeom, poisson

from grader.sampling.model import Plan
from grader.sampling.risk import (
    RisksContradictError,
    TooManyUnitsError,
    accepted,
    accepted_of_lot,
    operating_curve,
    outgoing,
    outgoing_limit,
    quality_at,
    risks,
    smallest_plan,
)

PROBABILITIES = (0.99, 0.95, 0.90, 0.75, 0.50, 0.25, 0.10, 0.05)
PLANS = st.integers(1, 300).flatmap(lambda n: st.tuples(st.just(n), st.integers(0, n - 1)))


def plan(n: int, accept: int) -> Plan:
    return Plan(n=n, accept=accept, reject=accept + 1)


@pytest.mark.parametrize(
    ("n", "accept", "percent"),
    [
        (50, 1, (0.300, 0.715, 1.069, 1.923, 3.334, 5.295, 7.558, 9.140)),
        (50, 3, (1.684, 2.779, 3.535, 5.095, 7.295, 10.004, 12.876, 14.784)),
        (80, 2, (0.550, 1.030, 1.385, 2.163, 3.329, 4.842, 6.516, 7.661)),
        (80, 5, (2.278, 3.317, 3.987, 5.301, 7.058, 9.138, 11.285, 12.693)),
        (20, 3, (4.362, 7.135, 9.021, 12.840, 18.055, 24.211, 30.419, 34.366)),
        (200, 10, (2.418, 3.115, 3.537, 4.325, 5.325, 6.460, 7.599, 8.334)),
    ],
)
def test_qualities_at_which_a_plan_accepts(n: int, accept: int, percent: tuple[float, ...]) -> None:
    """Per cent nonconforming at which 99, 95, ... 5 % of lots pass, worked out elsewhere with the binomial distribution
    for plans of MIL-STD-105E (letters H, H, J, J, F, L)."""
    assert [100 * quality_at(plan(n, accept), p) for p in PROBABILITIES] == pytest.approx(list(percent), abs=6e-4)


def test_a_published_point_of_an_operating_characteristic() -> None:
    """7 CFR 42.140: 500 drawn, up to 3 defects: about 26 % pass at 1.0 defects in a hundred, about 99 % at 0.10."""
    passed = accepted(plan(500, 3), np.array([0.01, 0.001]))
    assert passed == pytest.approx([0.26, 0.99], abs=0.01)


@given(PLANS, st.floats(0, 1))
def test_a_process_is_scipy_s_binomial(plan_of: tuple[int, int], share: float) -> None:
    n, accept = plan_of
    assert accepted(plan(n, accept), np.array([share]))[0] == pytest.approx(binom.cdf(accept, n, share), abs=1e-12)


@given(PLANS, st.integers(300, 2000), st.floats(0, 1))
def test_a_lot_is_scipy_s_hypergeometric(plan_of: tuple[int, int], lot: int, share: float) -> None:
    n, accept = plan_of
    count = round(share * lot)
    told = accepted_of_lot(plan(n, accept), np.array([count]), lot)[0]
    assert told == pytest.approx(hypergeom(lot, count, n).cdf(accept), abs=1e-12)


def test_a_reduced_plan_lets_through_what_lies_between() -> None:
    told = accepted(Plan(n=32, accept=2, reject=5), np.array([0.1]))[0]
    assert told == pytest.approx(binom.cdf(4, 32, 0.1))


@pytest.mark.parametrize("n", [5, 13, 80])
def test_the_outgoing_limit_of_a_plan_that_allows_nothing(n: int) -> None:
    """p (1 - p)^n is greatest at p = 1 / (n + 1): (n / (n + 1))^n / (n + 1), of an endless lot."""
    told = outgoing_limit(plan(n, 0), 10**12)
    assert told.limit == pytest.approx((n / (n + 1)) ** n / (n + 1), rel=1e-6)
    assert told.at == pytest.approx(1 / (n + 1), rel=1e-3)


def test_the_outgoing_limit_of_a_large_sample() -> None:
    """In the limit x (1 + x) exp(-x) at the golden ratio, over n: where one may be found, 0.8400 (Poisson)."""
    golden = (1 + np.sqrt(5)) / 2
    told = outgoing_limit(plan(5000, 1), 10**12)
    assert told.limit * 5000 == pytest.approx(golden * poisson.cdf(1, golden), rel=1e-3)
    assert told.limit * 5000 == pytest.approx(0.8400, abs=1e-3)


def test_outgoing_quality_is_that_of_simulated_lots() -> None:
    """Lots of 400 of a process at 5 %: sampled, sorted through and mended where rejected, and counted."""
    rng, lots, lot, made = np.random.default_rng(4), 40_000, 400, 0.05
    drawn = rng.binomial(50, made, lots)
    unseen = rng.binomial(lot - 50, made, lots)
    left = np.where(drawn <= 3, unseen, 0) / lot
    told = float(outgoing(plan(50, 3), np.array([made]), lot)[0])
    assert told == pytest.approx(left.mean(), abs=4 * left.std() / np.sqrt(lots))


def test_where_every_unit_is_inspected_nothing_goes_out() -> None:
    assert outgoing_limit(plan(20, 1), 20).limit == 0


def test_risks_of_both_sides() -> None:
    """MIL-STD-105E letter J, AQL 2.5: 80 units, 5 allowed; 98.48 % of lots at the AQL pass."""
    told = risks(plan(80, 5), good_share=0.025, bad_share=0.11285)
    assert told.producer == pytest.approx(1 - 0.9848, abs=5e-5)
    assert told.consumer == pytest.approx(0.10, abs=1e-4)
    of_lot = risks(plan(80, 5), good_share=0.025, bad_share=0.1125, lot=1000)
    assert of_lot.producer == pytest.approx(1 - hypergeom.cdf(5, 1000, 25, 80))
    assert of_lot.consumer == pytest.approx(hypergeom.cdf(5, 1000, 112, 80))
    assert of_lot.producer < told.producer  # drawing without putting back scatters less


@pytest.mark.parametrize("lot", [None, 90])
def test_a_curve_falls_from_one_to_nothing(lot: int | None) -> None:
    curve = operating_curve(plan(13, 2), lot)
    assert curve.accepted[0] == 1
    assert curve.accepted[-1] < 0.01
    assert np.all(np.diff(curve.accepted) <= 1e-12)
    assert np.all(np.diff(curve.quality) > 0)
    if lot is not None:
        np.testing.assert_allclose(curve.quality * lot, np.round(curve.quality * lot))


@pytest.mark.parametrize(("good", "bad"), [(0.01, 0.10), (0.02, 0.08), (0.0, 0.3), (0.065, 0.3)])
def test_no_smaller_plan_keeps_both_risks(good: float, bad: float) -> None:
    found = smallest_plan(good_share=good, producer=0.05, bad_share=bad, consumer=0.10)
    kept = [
        (n, c)
        for n in range(1, found.n + 1)
        for c in range(n)
        if binom.cdf(c, n, good) >= 0.95 and binom.cdf(c, n, bad) <= 0.10
    ]
    assert min(kept)[0] == found.n
    assert (found.n, found.accept) in kept


def test_two_points_that_no_plan_goes_through() -> None:
    for good, bad in ((0.1, 0.1), (0.2, 0.1)):
        with pytest.raises(RisksContradictError, match="below the bad one"):
            smallest_plan(good_share=good, producer=0.05, bad_share=bad, consumer=0.1)
    with pytest.raises(TooManyUnitsError, match="5000 units"):
        smallest_plan(good_share=0.1, producer=0.05, bad_share=0.1001, consumer=0.1)
    with pytest.raises(TooManyUnitsError, match="5000 units"):
        smallest_plan(good_share=1e-12, producer=0.05, bad_share=1e-11, consumer=0.1)
    with pytest.raises(RisksContradictError, match=r"below 0\.5"):
        smallest_plan(good_share=0.01, producer=0.5, bad_share=0.1, consumer=0.1)

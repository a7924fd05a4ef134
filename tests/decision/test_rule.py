"""The decision rule against the guard bands of JCGM 106:2012."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import norm

from grader.decision import Outcome
from grader.decision.rule import COVERAGE, FAIL_TO, PASS_FROM, conformity, outcome_of


def test_simple_acceptance_shares_the_risk() -> None:
    """Without a guard band, an item measured at the limit is as likely bad as good (ILAC-G8:09/2019: up to 50 %)."""
    assert conformity(10.0, 1.0, lower=None, upper=10.0) == pytest.approx(0.5)


@pytest.mark.parametrize(
    ("probability", "in_u"),
    [(0.80, 0.842), (0.90, 1.282), (0.95, 1.645), (0.975, 1.960), (0.99, 2.326), (0.999, 3.090)],
)
def test_guard_bands_of_a_normal_figure(probability: float, in_u: float) -> None:
    """Distance from the limit for a wanted one-sided probability: quantiles of the normal distribution, to the three
    decimals that handbooks print."""
    assert conformity(10 - in_u, 1.0, lower=None, upper=10.0) == pytest.approx(probability, abs=2e-4)
    assert conformity(10 + in_u, 1.0, lower=10.0, upper=None) == pytest.approx(probability, abs=2e-4)


@pytest.mark.parametrize(
    ("guard_factor", "risk"), [(0.0, 0.50), (0.5, 0.159), (0.83, 0.0485), (1.0, 0.0228), (1.5, 0.00135)]
)
def test_risk_of_the_worst_item_accepted(guard_factor: float, risk: float) -> None:
    """Guard band w = r U with U = 2 u: the risk of an item measured just inside it."""
    assert 1 - conformity(10 - guard_factor * 2, 1.0, lower=None, upper=10.0) == pytest.approx(risk, rel=3e-3)


@given(st.floats(-20, 20), st.floats(0.01, 5), st.floats(-5, 0), st.floats(0, 5))
def test_two_sided_as_scipy_has_it(value: float, u: float, lower: float, upper: float) -> None:
    expected = norm.cdf(upper, value, u) - norm.cdf(lower, value, u)
    assert conformity(value, u, lower=lower, upper=upper) == pytest.approx(expected, abs=1e-12)


def test_the_probability_is_that_of_simulated_truths() -> None:
    """Truths drawn about what was measured, as a flat prior has them."""
    truths = np.random.default_rng(8).normal(9.2, 0.9, 100_000)
    stated = conformity(9.2, 0.9, lower=8.0, upper=10.0)
    assert float(((truths >= 8) & (truths <= 10)).mean()) == pytest.approx(stated, abs=0.006)


def test_outcomes_and_the_guard_band_agree() -> None:
    just = 1e-6
    for side, sign in (("upper", -1), ("lower", 1)):
        limits = {"lower": None, "upper": None, side: 10.0}
        inside, outside = 10 + sign * COVERAGE, 10 - sign * COVERAGE
        assert outcome_of(conformity(inside + sign * just, 1.0, **limits)) is Outcome.PASS
        assert outcome_of(conformity(inside - sign * just, 1.0, **limits)) is Outcome.UNDECIDED
        assert outcome_of(conformity(outside - sign * just, 1.0, **limits)) is Outcome.FAIL
        assert outcome_of(conformity(outside + sign * just, 1.0, **limits)) is Outcome.UNDECIDED
    assert outcome_of(PASS_FROM) is Outcome.PASS
    assert outcome_of(FAIL_TO) is Outcome.FAIL
    assert outcome_of(float("nan")) is Outcome.UNDECIDED

"""The decision rule against the guard bands of JCGM 106:2012."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import norm

from grader.decision import Outcome
from grader.decision.doubt import Doubt
from grader.decision.rule import conformity, guard_band, outcome_of
from grader.decision.terms import LEVELS, Question


def test_simple_acceptance_shares_the_risk() -> None:
    """Without a guard band, an item measured at the limit is as likely bad as good (ILAC-G8:09/2019: up to 50 %)."""
    assert conformity(10.0, Doubt(known_u=1.0), lower=None, upper=10.0) == pytest.approx(0.5)


@pytest.mark.parametrize(
    ("probability", "in_u"),
    [(0.80, 0.842), (0.90, 1.282), (0.95, 1.645), (0.975, 1.960), (0.99, 2.326), (0.999, 3.090)],
)
def test_guard_bands_of_a_normal_figure(probability: float, in_u: float) -> None:
    """Distance from the limit for a wanted one-sided probability: quantiles of the normal distribution, to the three
    decimals that handbooks print."""
    assert conformity(10 - in_u, Doubt(known_u=1.0), lower=None, upper=10.0) == pytest.approx(probability, abs=2e-4)
    assert conformity(10 + in_u, Doubt(known_u=1.0), lower=10.0, upper=None) == pytest.approx(probability, abs=2e-4)


@pytest.mark.parametrize(
    ("guard_factor", "risk"), [(0.0, 0.50), (0.5, 0.159), (0.83, 0.0485), (1.0, 0.0228), (1.5, 0.00135)]
)
def test_risk_of_the_worst_item_accepted(guard_factor: float, risk: float) -> None:
    """Guard band w = r U with U = 2 u: the risk of an item measured just inside it."""
    assert 1 - conformity(10 - guard_factor * 2, Doubt(known_u=1.0), lower=None, upper=10.0) == pytest.approx(
        risk, rel=3e-3
    )


@given(st.floats(-20, 20), st.floats(0.01, 5), st.floats(-5, 0), st.floats(0, 5))
def test_two_sided_as_scipy_has_it(value: float, u: float, lower: float, upper: float) -> None:
    expected = norm.cdf(upper, value, u) - norm.cdf(lower, value, u)
    assert conformity(value, Doubt(known_u=u), lower=lower, upper=upper) == pytest.approx(expected, abs=1e-12)


def test_the_probability_is_that_of_simulated_truths() -> None:
    """Truths drawn about what was measured, as a flat prior has them."""
    truths = np.random.default_rng(8).normal(9.2, 0.9, 100_000)
    stated = conformity(9.2, Doubt(known_u=0.9), lower=8.0, upper=10.0)
    assert float(((truths >= 8) & (truths <= 10)).mean()) == pytest.approx(stated, abs=0.006)


@pytest.mark.parametrize("question", Question)
@pytest.mark.parametrize("freedom", [2.0, 9.5, np.inf])
def test_outcomes_and_the_guard_band_agree(question: Question, freedom: float) -> None:
    just, levels = 1e-6, LEVELS[question]
    doubt = Doubt(known_u=0.6, estimated_u=0.8, freedom=freedom)
    band = guard_band(doubt, levels)

    def judged(value: float, side: str) -> Outcome:
        lower, upper = (10.0, None) if side == "lower" else (None, 10.0)
        return outcome_of(conformity(value, doubt, lower=lower, upper=upper), levels)

    for side, sign in (("upper", -1), ("lower", 1)):
        inside, outside = 10 + sign * band, 10 - sign * band
        assert judged(inside + sign * just, side) is Outcome.PASS
        assert judged(inside - sign * just, side) is Outcome.UNDECIDED
        assert judged(outside - sign * just, side) is Outcome.FAIL
        assert judged(outside + sign * just, side) is Outcome.UNDECIDED
    assert outcome_of(levels.pass_from, levels) is Outcome.PASS
    assert outcome_of(levels.fail_to, levels) is Outcome.FAIL
    assert outcome_of(float("nan"), levels) is Outcome.UNDECIDED


def test_a_claim_asks_for_more_than_a_release_on_both_sides() -> None:
    release, claim = LEVELS[Question.RELEASE], LEVELS[Question.CLAIM]
    assert claim.fail_to < release.fail_to < release.pass_from < claim.pass_from

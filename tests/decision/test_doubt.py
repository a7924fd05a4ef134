"""A doubt of two parts against printed t tables, scipy, and draws."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.stats import norm, t

from grader.decision.doubt import Doubt


@pytest.mark.parametrize(
    ("freedom", "quantile"), [(1, 12.706), (2, 4.303), (4, 2.776), (9, 2.262), (20, 2.086), (1e9, 1.960)]
)
def test_what_few_plates_estimated_takes_student_s_t(freedom: float, quantile: float) -> None:
    """97.5 % quantiles as every printed t table has them; where the doubt is known for sure, the normal one."""
    doubt = Doubt(known_u=0.0, estimated_u=1.0, freedom=freedom)
    assert doubt.reach(0.975) == pytest.approx(quantile, abs=6e-4)
    assert doubt.below(quantile) == pytest.approx(0.975, abs=1e-4)


@pytest.mark.parametrize("freedom", [1.0, 2.0, 5.0, 30.0])
@pytest.mark.parametrize("known", [0.02, 0.3, 1.0, 5.0])
def test_the_two_parts_add_as_scipy_integrates_them(freedom: float, known: float) -> None:
    doubt = Doubt(known_u=known, estimated_u=1.0, freedom=freedom)
    for error in (-6.0, -2.0, -0.3, 0.0, 1.0, 4.0):
        whole, _ = quad(
            lambda z, at=error: norm.pdf(z) * t.cdf(at - known * z, freedom), -9, 9, limit=400, points=[0.0]
        )
        assert doubt.below(error) == pytest.approx(whole, abs=1e-6)


@given(st.floats(0, 3), st.floats(0, 3), st.floats(0.3, 500), st.floats(0.01, 0.99))
def test_reach_undoes_below_and_both_sides_are_alike(known: float, estimated: float, freedom: float, p: float) -> None:
    doubt = Doubt(known_u=known, estimated_u=estimated, freedom=freedom)
    assert doubt.below(doubt.reach(p)) == pytest.approx(p, abs=1e-6)
    assert doubt.reach(1 - p) == pytest.approx(-doubt.reach(p), abs=1e-6 * max(1.0, abs(doubt.reach(p))))


def test_a_doubt_surely_known_is_normal() -> None:
    doubt = Doubt(known_u=3.0, estimated_u=4.0)
    assert doubt.u == pytest.approx(5)
    assert doubt.reach(0.9) == pytest.approx(5 * norm.ppf(0.9))


@pytest.mark.parametrize("plates", [2, 3, 5])
@pytest.mark.parametrize("ratio", [0.3, 1.0, 3.0])
def test_few_plates_are_not_wrong_more_often_than_stated(plates: int, ratio: float) -> None:
    """Means of plates drawn about a truth that a normal error of known size shifts as a whole."""
    rng, runs = np.random.default_rng(plates), 4000
    means = rng.normal(0, 1, (runs, plates)) + ratio / np.sqrt(plates) * rng.normal(0, 1, (runs, 1))
    wrong = 0
    for mean, spread in zip(means.mean(1), means.std(1, ddof=1), strict=True):
        doubt = Doubt(known_u=ratio / np.sqrt(plates), estimated_u=spread / np.sqrt(plates), freedom=plates - 1.0)
        wrong += doubt.below(-mean) < 0.025
    assert wrong / runs < 0.025 + 3 * np.sqrt(0.025 * 0.975 / runs)

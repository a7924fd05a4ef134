"""Charts held against what is published: factors, worked examples, run lengths, the beta-binomial."""

import numpy as np
import pytest
from scipy import stats

from grader.consistency.constants import c4, shewhart
from grader.consistency.ewma import Away, ewma
from grader.consistency.individuals import individuals
from grader.consistency.shares import log_beta_binomial

FACTORS = """\
2 2.1213 1.8800 2.6587 0.7979 0.0000 3.2665 0.0000 2.6063
3 1.7321 1.0233 1.9544 0.8862 0.0000 2.5682 0.0000 2.2760
4 1.5000 0.7286 1.6281 0.9213 0.0000 2.2660 0.0000 2.0877
5 1.3416 0.5768 1.4273 0.9400 0.0000 2.0890 0.0000 1.9636
6 1.2247 0.4832 1.2871 0.9515 0.0304 1.9696 0.0289 1.8742
8 1.0607 0.3725 1.0991 0.9650 0.1851 1.8149 0.1786 1.7514
10 0.9487 0.3083 0.9754 0.9727 0.2837 1.7163 0.2759 1.6694
15 0.7746 0.2231 0.7885 0.9823 0.4282 1.5718 0.4206 1.5440
20 0.6708 0.1796 0.6797 0.9869 0.5102 1.4898 0.5036 1.4703
25 0.6000 0.1526 0.6063 0.9896 0.5648 1.4352 0.5589 1.4203
"""
"""n, A, A2, A3, c4, B3, B4, B5, B6 as printed to three or four figures in the Handbook for Quality Management (2nd ed.,
page 414), to which these agree; the fourth figure is computed from the normal distribution."""
_EWMA_DATA = """52.0 47.0 53.0 49.3 50.1 47.0 51.0 50.1 51.2 50.5
49.6 47.6 49.9 51.3 47.8 51.2 52.6 52.4 53.6 52.1"""
_EWMA_PRINTED = """50.60 49.52 50.56 50.18 50.16 49.21 49.75 49.85 50.26 50.33
50.11 49.36 49.52 50.05 49.38 49.92 50.73 51.23 51.94 51.99"""
RANGES = {2: (1.1284, 0.8525, 3.2666), 3: (1.6926, 0.8884, 2.5746), 4: (2.0588, 0.8798, 2.2821)}
"""n: d2, d3, D4, as the R package SixSigma tabulates them ("Shewhart constants", table A.1)."""


@pytest.mark.parametrize("row", FACTORS.splitlines())
def test_factors_are_those_of_the_tables(row: str) -> None:
    n, *printed = map(float, row.split())
    factors = shewhart(int(n))
    computed = (factors.a, factors.a2, factors.a3, factors.c4, *factors.b3_b4, *factors.b5_b6)
    assert computed == pytest.approx(tuple(printed), abs=6e-5)


@pytest.mark.parametrize("n", RANGES)
def test_ranges_are_those_of_the_table(n: int) -> None:
    d2, d3, upper = RANGES[n]
    factors = shewhart(n)
    assert (factors.d2, factors.d3, factors.d3_d4[1]) == pytest.approx((d2, d3, upper), abs=1e-4)


def test_one_reading_has_no_factor_and_many_have_those_of_the_limit() -> None:
    with pytest.raises(ValueError, match="subgroup of 1"):
        shewhart(1)
    assert c4(1e6) == pytest.approx(1, abs=1e-6)


def test_limits_of_the_piston_rings() -> None:
    """25 samples of 5 (D. C. Montgomery, Introduction to Statistical Quality Control, pages 206 to 213).

    Their grand mean, mean range and mean standard deviation were computed of the data that the R package qcc ships.
    The book prints 74.014 and 73.988 for the limits of means by ranges, 0.049 (of a rounded range) for the range's.
    """
    mean, mean_range, mean_sd = 74.001176, 0.02276, 0.0092400
    factors = shewhart(5)
    by_range = (mean - factors.a2 * mean_range, mean + factors.a2 * mean_range)
    by_sd = (mean - factors.a3 * mean_sd, mean + factors.a3 * mean_sd)
    assert by_range == pytest.approx((73.98805, 74.01430), abs=2e-5)
    assert by_range == pytest.approx((73.988, 74.014), abs=6e-4)
    assert by_sd == pytest.approx((73.98799, 74.01436), abs=2e-5)
    assert factors.d3_d4[1] * mean_range == pytest.approx(0.04813, abs=2e-5)
    assert factors.b3_b4[1] * mean_sd == pytest.approx(0.01930, abs=2e-5)


def test_the_weighted_mean_of_the_handbooks_example() -> None:
    """NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.4: weight 0.3, target 50, s 2.0539, each z as printed."""
    data = np.array(_EWMA_DATA.split(), float)
    printed = np.array(_EWMA_PRINTED.split(), float)
    told = ewma([Away(value=value - 50, own=2.0539**2) for value in data], weight=0.3, sigmas=3.0)
    assert [50 + one.value for one in told] == pytest.approx(printed, abs=0.0051)
    assert told[-1].reach == pytest.approx(2.5884, abs=0.002)  # after twenty batches as good as the limit for many
    assert not any(one.beyond for one in told)
    factor = 0.3 / 1.7 * (1 - 0.7 ** (2 * np.arange(1, 21)))
    assert [one.reach for one in told] == pytest.approx(3 * 2.0539 * np.sqrt(factor))


def test_individuals_and_moving_ranges() -> None:
    """NIST/SEMATECH e-Handbook, 6.3.2.2, which rounds d2 to 1.128. The data are from memory; what is made of them was
    computed apart, and the factor in it is that of the table above."""
    told = individuals(np.array([49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1]))
    assert (told.level, told.range_mean) == pytest.approx((50.81, 1.8778), abs=5e-5)
    assert (told.low, told.high) == pytest.approx((45.8159, 55.8041), abs=2e-3)


def test_one_rule_at_three_sigma_cries_wolf_once_in_370() -> None:
    """1 / 0.0026998 = 370.4: by the normal distribution, by simulation of run lengths."""
    assert 1 / (2 * stats.norm.sf(3)) == pytest.approx(370.4, abs=0.05)
    runs = np.diff(np.flatnonzero(np.abs(np.random.default_rng(1).standard_normal(4_000_000)) > 3))
    print(f"run length {runs.mean():.1f} from {len(runs)} runs")
    assert runs.mean() == pytest.approx(370.4, abs=4 * 370.4 / np.sqrt(len(runs)))


def test_run_length_of_the_weighted_mean_by_a_markov_chain() -> None:
    """Weight 0.3, limits for many batches: D. Brook and D. A. Evans, Biometrika 59 (1972) 539-549 (from memory)."""
    weight, sigmas, cells = 0.3, 2.75, 301
    reach = sigmas * np.sqrt(weight / (2 - weight))
    edges = np.linspace(-reach, reach, cells + 1)
    middles = (edges[:-1] + edges[1:]) / 2
    within = stats.norm.cdf((edges[None, :] - (1 - weight) * middles[:, None]) / weight)
    expected = float(np.linalg.solve(np.eye(cells) - np.diff(within, axis=1), np.ones(cells))[cells // 2])
    rng, drawn = np.random.default_rng(2), []
    for _ in range(600):
        away = rng.standard_normal(2500)
        told = ewma((Away(value=float(value), own=1.0) for value in away), weight=weight, sigmas=sigmas, restart=False)
        drawn.append(next((at for at, one in enumerate(told, 1) if one.beyond), len(told)))
    print(f"run length of the weighted mean: {np.mean(drawn):.0f} drawn, {expected:.0f} by a Markov chain")
    # Exact limits are narrower at the start, so the drawn ones come a little sooner.
    assert np.mean(drawn) == pytest.approx(expected, rel=0.12)


def test_the_beta_binomial_is_scipys() -> None:
    k = np.arange(41)
    for share, correlation in ((0.1, 0.05), (0.5, 0.3), (0.02, 0.001)):
        total = 1 / correlation - 1
        ours = np.exp(log_beta_binomial(k, np.array(40), np.array(share), np.array(correlation)))
        assert ours == pytest.approx(stats.betabinom(40, share * total, (1 - share) * total).pmf(k), rel=1e-7)

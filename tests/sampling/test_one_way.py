"""Plates as random effects: against a published worked example, statsmodels, and draws of which the truth is known."""

import numpy as np
import pandas as pd
import pytest
from statsmodels.regression.mixed_linear_model import MixedLM

from grader.arrays import FloatArray, IntArray
from grader.sampling.one_way import Apart, mean_of_plates, one_way, one_way_of_shares
from grader.trueness.components import fit_components

DYESTUFF = np.array([
    [1545, 1440, 1440, 1520, 1580],
    [1540, 1555, 1490, 1560, 1495],
    [1595, 1550, 1605, 1510, 1560],
    [1445, 1440, 1595, 1465, 1545],
    [1595, 1630, 1515, 1635, 1625],
    [1520, 1455, 1450, 1480, 1445],
], float)  # fmt: skip
"""Yield of dyestuff, six batches of five preparations: O. L. Davies, P. L. Goldsmith (eds), Statistical Methods in
Research and Production, 4th ed. (1972), section 6.4; figures as the README of MixedModels.jl prints them."""


def random_effects(
    rng: np.random.Generator, sizes: list[int], between: float, within: float
) -> tuple[FloatArray, IntArray]:
    """Values of plates of these sizes, and the plate of each."""
    plate = np.repeat(np.arange(len(sizes)), sizes)
    return rng.normal(0, between, len(sizes))[plate] + rng.normal(0, within, len(plate)), plate


def estimated(values: FloatArray, plate: IntArray, batch: IntArray | None = None) -> Apart:
    apart = one_way(values, plate, batch)
    assert apart is not None
    return apart


def test_the_dyestuff_batches_come_out_as_published() -> None:
    """lme4's fit by restricted maximum likelihood, which for batches of one size is the analysis of variance: standard
    deviations 42.001 and 49.510, mean 1527.5 with a standard error of 19.38341 (R, lme4 2.0.1). By maximum likelihood
    MixedModels.jl's README prints the same residual variance, 2451.25."""
    plate = np.repeat(np.arange(6), 5)
    apart = estimated(DYESTUFF.ravel(), plate)
    assert np.sqrt(apart.between) == pytest.approx(42.001, abs=5e-4)
    assert np.sqrt(apart.within) == pytest.approx(49.510, abs=5e-4)
    assert apart.within == pytest.approx(2451.25)
    mean = mean_of_plates(DYESTUFF.mean(1), np.full(6, 5))
    assert mean is not None
    assert mean.mean == pytest.approx(1527.5)
    assert np.sqrt(mean.variance) == pytest.approx(19.38341, abs=5e-6)
    assert mean.freedom == pytest.approx(5)


def test_the_dyestuff_batches_come_out_as_statsmodels_has_them() -> None:
    table = pd.DataFrame({"place": DYESTUFF.ravel(), "plate": np.repeat(np.arange(6), 5)})
    fit = MixedLM.from_formula("place ~ 1", groups="plate", data=table).fit(reml=True)
    apart = estimated(DYESTUFF.ravel(), np.repeat(np.arange(6), 5))
    assert apart.between == pytest.approx(float(fit.cov_re.iloc[0, 0]), rel=1e-3)
    assert apart.within == pytest.approx(float(fit.scale), rel=1e-4)


def test_plates_of_unequal_size_come_out_nearly_as_statsmodels_has_them() -> None:
    """Unequal sizes part the two estimators, by far less than either scatters about the truth."""
    rng = np.random.default_rng(3)
    values, plate = random_effects(rng, [int(size) for size in rng.integers(20, 60, 40)], 0.3, 0.5)
    table = pd.DataFrame({"place": values, "plate": plate})
    fit = MixedLM.from_formula("place ~ 1", groups="plate", data=table).fit(reml=True)
    apart = estimated(values, plate)
    scatter = apart.between * np.sqrt(2 / 39)  # of 40 plates; fries add little to it
    assert apart.between == pytest.approx(float(fit.cov_re.iloc[0, 0]), abs=scatter / 3)
    assert apart.within == pytest.approx(float(fit.scale), rel=0.003)


@pytest.mark.parametrize("sizes", [[5] * 6, [3, 9, 4, 12, 7], [2, 40], [1, 1, 30]])
def test_one_factor_comes_out_as_from_the_matrix_of_all_factors(sizes: list[int]) -> None:
    values, plate = random_effects(np.random.default_rng(len(sizes)), sizes, 2.0, 0.5)
    apart, components = estimated(values, plate), fit_components(values, [plate])
    (part,) = components.parts
    assert apart.between == pytest.approx(part.variance)
    assert apart.mean_square_between == pytest.approx(part.mean_square)
    assert apart.freedom_between == part.freedom
    assert apart.within == pytest.approx(components.rest)


def test_the_estimate_is_unbiased_over_batches_of_all_sizes() -> None:
    """Between 0.4 squared, within 0.8 squared; batches differ by far more and leave no trace."""
    rng = np.random.default_rng(5)
    batch = np.repeat(np.arange(4), [2, 3, 5, 4])
    sizes = [int(size) for size in rng.integers(3, 40, len(batch))]
    told = []
    for _ in range(3000):
        values, plate = random_effects(rng, sizes, 0.4, 0.8)
        told.append(estimated(values + rng.normal(0, 5, 4)[batch][plate], plate, batch))
    between, within = np.array([one.raw_between for one in told]), np.array([one.within for one in told])
    assert between.mean() == pytest.approx(0.16, abs=4 * between.std() / np.sqrt(3000))
    assert within.mean() == pytest.approx(0.64, abs=4 * within.std() / np.sqrt(3000))
    assert told[0].freedom_between == 10


def test_shares_come_out_as_the_noughts_and_ones_that_they_are_of() -> None:
    rng = np.random.default_rng(7)
    plate = np.repeat(np.arange(8), [30, 25, 40, 36, 36, 12, 30, 50])
    hit = (rng.random(len(plate)) < rng.uniform(0.1, 0.5, 8)[plate]).astype(float)
    counted = np.bincount(plate)
    apart, alike = estimated(hit, plate), one_way_of_shares(np.bincount(plate, hit) / counted, counted)
    assert alike is not None
    assert alike.correlation == pytest.approx(apart.correlation)
    assert alike.within == pytest.approx(apart.within)


def test_plates_that_are_all_alike_have_nothing_between_them() -> None:
    apart = estimated(np.tile([1.0, 2.0, 3.0], 4), np.repeat(np.arange(4), 3))
    assert apart.between == 0 > apart.raw_between
    assert apart.correlation < 0
    assert apart.within == pytest.approx(1)


def test_too_little_to_tell_from() -> None:
    one_plate, one_a_plate = (np.arange(5.0), np.zeros(5, int)), (np.arange(5.0), np.arange(5))
    assert one_way(*one_plate) is None
    assert one_way(*one_a_plate) is None
    assert one_way(np.zeros(0), np.zeros(0, int)) is None
    assert mean_of_plates(np.array([1.0, 0.0]), np.array([9, 0])) is None


@pytest.mark.parametrize("sizes", [[36, 36], [36, 1], [400, 1]])
def test_two_plates_however_unequal_have_one_degree_of_freedom(sizes: list[int]) -> None:
    """Their variance is a multiple of one squared difference: chi square with one degree of freedom, exactly."""
    mean = mean_of_plates(np.array([4.0, 3.6]), np.array(sizes))
    assert mean is not None
    assert mean.freedom == 1


@pytest.mark.parametrize("sizes", [[36, 36, 36], [20, 60, 36], [10, 90]])
def test_the_variance_of_a_mean_of_plates_is_what_it_scatters_by(sizes: list[int]) -> None:
    rng = np.random.default_rng(8)
    counted = np.array(sizes)
    means = rng.normal(0, 1, (20_000, len(sizes)))
    told = [mean_of_plates(one, counted) for one in means]
    stated = np.mean([one.variance for one in told if one is not None])
    scatter = float(np.var([one.mean for one in told if one is not None]))
    assert stated == pytest.approx(scatter, rel=0.05)

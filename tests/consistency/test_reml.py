"""Variances that add: against the analysis of variance where data are balanced, and statsmodels where they aren't."""

import warnings

import numpy as np
import pytest
from scipy import stats

from grader.arrays import FloatArray, IntArray
from grader.consistency.reml import Blocks, MixedFit, TooLittleToTellError, fit_reml

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    import statsmodels.api as sm


def fitted(y: FloatArray, group: IntArray, batch: IntArray, known: FloatArray | None = None) -> MixedFit:
    """Groups fixed; batches and plates as parts."""
    blocks = []
    members = [np.flatnonzero(batch == one) for one in np.unique(batch)]
    for size in sorted({len(indices) for indices in members}):
        at = np.array([indices for indices in members if len(indices) == size])
        blocks.append(
            Blocks(
                readings=y[at],
                design=np.asarray(group[at][..., None] == np.arange(group.max() + 1), float),
                known=np.zeros(at.shape) if known is None else known[at],
                parts=np.stack([np.ones((size, size)), np.eye(size)]),
            )
        )
    return fit_reml(blocks)


def nested(rng: np.random.Generator, sd_batch: float) -> tuple[FloatArray, IntArray, IntArray]:
    """3 groups of 6 batches of 3."""
    group, batch = np.repeat([0, 1, 2], 18), np.repeat(np.arange(18), 3)
    return rng.normal(0, sd_batch, 18)[batch] + rng.normal(0, 0.2, 54), group, batch


@pytest.mark.parametrize("sd_batch", [0.3, 0.0])
def test_balanced_data_give_the_analysis_of_variance(sd_batch: float) -> None:
    """Searle, Casella and McCulloch: on balanced data both are the same, below zero too; t has batches less groups."""
    y, group, batch = nested(np.random.default_rng(5), sd_batch)
    means = y.reshape(3, 6, 3).mean(axis=2)
    between = 3 * float(((means - means.mean(axis=1, keepdims=True)) ** 2).sum()) / 15
    within = float(((y.reshape(3, 6, 3) - means[..., None]) ** 2).sum()) / 36
    fit = fitted(y, group, batch)
    assert fit.variances == pytest.approx([(between - within) / 3, within], rel=1e-6)
    told = fit.contrast(np.array([1.0, -1.0, 0.0]))
    assert told.value == pytest.approx(means[0].mean() - means[1].mean())
    assert told.variance == pytest.approx(2 * between / 18, rel=1e-6)
    assert told.freedom == pytest.approx(15, rel=1e-6)


def test_unequal_batches_give_what_a_reference_library_gives() -> None:
    rng = np.random.default_rng(1)
    y, group, batch = nested(rng, 0.3)
    keep = rng.random(54) > 0.3
    y, group, batch = y[keep], group[keep], batch[keep]
    fit = fitted(y, group, batch)
    design = np.asarray(group[:, None] == np.arange(3), float)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        reference = sm.MixedLM(y, design, groups=batch).fit(reml=True)
    assert fit.fixed == pytest.approx(reference.fe_params, abs=1e-5)
    assert fit.variances == pytest.approx([float(reference.cov_re[0, 0]), reference.scale], rel=1e-3)


def test_one_group_alone_is_the_t_test_of_its_mean() -> None:
    y = np.random.default_rng(2).normal(3, 0.5, 12)
    design, known = np.ones((12, 1, 1)), np.zeros((12, 1))
    fit = fit_reml([Blocks(readings=y[:, None], design=design, known=known, parts=np.ones((1, 1, 1)))])
    told = fit.contrast(np.ones(1))
    assert (told.value, told.u, told.freedom) == pytest.approx((y.mean(), stats.sem(y), 11))


def test_a_variance_that_is_known_is_taken_off() -> None:
    y, group, batch = nested(np.random.default_rng(7), 0.3)
    without = fitted(y, group, batch)
    fit = fitted(y, group, batch, known=np.full(54, 0.01))
    assert fit.variances == pytest.approx(without.variances - [0, 0.01], rel=1e-5)
    weights = np.array([1.0, 0.0, -1.0])
    assert fit.contrast(weights).variance == pytest.approx(without.contrast(weights).variance, rel=1e-5)


def test_batches_that_tell_nothing_are_refused() -> None:
    group, batch = np.repeat([0, 1], 4), np.repeat([0, 1], 4)
    with pytest.raises(TooLittleToTellError, match="too few"):
        fitted(np.random.default_rng(3).normal(size=8), group, batch)


def test_readings_that_scatter_less_than_is_known_are_fitted_by_what_is_known() -> None:
    _, group, batch = nested(np.random.default_rng(3), 0.0)
    fit = fitted(np.full(54, 2.0), group, batch, known=np.full(54, 0.09))
    assert list(fit.variances) == [0, 0]
    assert fit.contrast(np.array([1.0, 0.0, 0.0])).u == pytest.approx(0.3 / np.sqrt(18))


def test_readings_all_alike_are_refused() -> None:
    group, batch = np.repeat([0, 1], 6), np.repeat(np.arange(4), 3)
    with pytest.raises(TooLittleToTellError):
        fitted(np.full(12, 2.0), group, batch)


def test_unlucky_data_are_fitted_with_a_part_held_at_nothing() -> None:
    """Few unequal batches that happen to agree: the likelihood has no highest point below zero."""
    held = 0
    for start in range(60):
        rng = np.random.default_rng(start)
        sizes = rng.integers(1, 4, 12)
        batch = np.repeat(np.arange(12), sizes)
        y = rng.normal(0, 0.2, len(batch))
        fit = fitted(y, batch // 4, batch)
        assert np.isfinite(fit.covariance).all()
        assert fit.contrast(np.array([1.0, -1.0, 0.0])).freedom > 1
        held += bool((fit.variances == 0).any())
    assert 0 < held < 30


def test_batches_whose_plates_are_all_alike_are_refused_in_words() -> None:
    """Their plates' variance belongs at zero, where readings that differ within no batch have no likelihood."""
    group, batch = np.repeat([0, 1], 6), np.repeat(np.arange(6), 2)
    for seed in range(20):
        y = np.random.default_rng(seed).normal(4, 0.3, 6)[batch]
        with pytest.raises(TooLittleToTellError, match="too few"):
            fitted(y, group, batch)

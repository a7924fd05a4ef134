"""Weighted kappa against scikit-learn, statsmodels and a published printout."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binomtest
from sklearn.metrics import cohen_kappa_score
from statsmodels.stats.inter_rater import cohens_kappa

from grader.arrays import FloatArray
from grader.consistency.kappa import agreement, weighted_kappa

WORDS = ("pale", "right", "dark")
# SAS's own printout of an example of PROC FREQ's AGREE option, as statsmodels 0.14 holds itself against it
# (statsmodels/stats/tests/test_inter_rater.py, TestWeightedCohens; read there).
PRINTED = np.array([[0.0, 4.0, 1.0], [0.0, 8.0, 0.0], [0.0, 1.0, 5.0]])


def test_a_published_printout() -> None:
    found = weighted_kappa(PRINTED)
    assert found is not None
    kappa, u = found
    assert (round(kappa, 4), round(u, 4)) == (0.4701, 0.1457)
    told = agreement(*_calls(PRINTED), WORDS)
    assert told.low is not None
    assert told.high is not None
    assert (round(told.low, 4), round(told.high, 4)) == (0.1845, 0.7558)
    assert (told.plates, told.same) == (19, 13)


@given(st.lists(st.tuples(st.sampled_from(WORDS), st.sampled_from(WORDS)), min_size=10, max_size=60))
def test_two_libraries_agree(calls: list[tuple[str, str]]) -> None:
    first, second = zip(*calls, strict=True)
    if len(set(first) | set(second)) == 1:
        return
    told = agreement(first, second, WORDS)
    place = [[WORDS.index(word) for word in person] for person in (first, second)]
    assert told.kappa == pytest.approx(cohen_kappa_score(*place, labels=[0, 1, 2], weights="linear"), abs=1e-12)
    table = np.zeros((3, 3))
    np.add.at(table, tuple(place), 1)
    with np.errstate(all="ignore"):  # theirs takes the root of rounding below zero, and divides by it
        theirs = cohens_kappa(table, wt="linear")
    assert told.kappa == pytest.approx(theirs.kappa, abs=1e-12)
    assert told.u == pytest.approx(np.nan_to_num(theirs.std_kappa), abs=1e-7)


def test_who_always_says_the_same_word_tells_nothing() -> None:
    told = agreement(["right"] * 20, ["right"] * 20, WORDS)
    assert (told.plates, told.same, told.kappa) == (20, 20, None)


@pytest.mark.parametrize(("plates", "lowest"), [(12, 0.40), (120, 0.93)])
def test_who_agrees_on_every_plate_may_yet_agree_less_in_the_long_run(plates: int, lowest: float) -> None:
    """Of thirds by chance 5/9; SciPy's exact lower limit of a share of n in n is 0.025 ** (1 / n)."""
    calls = list(WORDS) * (plates // 3)
    told = agreement(calls, calls, WORDS)
    assert (told.kappa, told.high) == (1.0, 1.0)
    lower = binomtest(plates, plates).proportion_ci(0.95, method="exact").low
    assert told.low == pytest.approx((lower - 5 / 9) / (1 - 5 / 9))
    assert told.low == pytest.approx(lowest, abs=0.01)


def test_no_agreement_is_less_than_none_at_all() -> None:
    told = agreement(["right"] * 9 + ["dark"], ["right"] * 9 + ["dark"], WORDS)
    assert (told.kappa, told.low, told.high) == (1.0, -1.0, 1.0)


def test_few_plates_give_no_figure() -> None:
    told = agreement(["pale", "dark"], ["pale", "right"], WORDS)
    assert (told.plates, told.same, told.kappa, told.low) == (2, 1, None, None)


def _calls(table: FloatArray) -> tuple[list[str], list[str]]:
    pairs = [(WORDS[i], WORDS[j]) for i in range(3) for j in range(3) for _ in range(int(table[i, j]))]
    return [one for one, _ in pairs], [other for _, other in pairs]

"""Capability: the handbook's arithmetic, its intervals for a plain sample, and drawn kitchens of known capability."""

import numpy as np
import pytest
from scipy import stats

from grader.consistency.capability import (
    Capability,
    Index,
    SpreadPlate,
    both_sides,
    capability_of,
    nearest_side,
    plain_spread,
)
from grader.consistency.reml import Contrast, TooLittleToTellError
from tests.consistency.drawn_plates import spread

LOW, HIGH = 2.0, 4.0


def plain(value: float, sd: float, n: int) -> Contrast:
    return Contrast(value=value, variance=sd**2 / n, freedom=float("inf"))


def test_the_handbooks_example() -> None:
    """NIST/SEMATECH e-Handbook 6.1.6: limits 8 and 20, mean 16, s 2: Cp 1.0, Cpk 0.6667 (memory; arithmetic checks)."""
    sample = plain_spread(2.0, 49)
    cp, cpk = both_sides(sample, 8, 20), nearest_side(plain(16, 2, 50), sample, 8, 20)
    assert cp is not None
    assert (cp.value, cpk.value) == pytest.approx((1.0, 2 / 3))
    assert nearest_side(plain(16, 2, 50), sample, 8, None).value == pytest.approx(4 / 3)


@pytest.mark.parametrize("n", [50, 200, 1000])
def test_intervals_of_a_plain_sample_are_the_handbooks(n: int) -> None:
    """Handbook 6.1.6: Cp by chi-square; Cpk +- z sqrt(1/(9 n) + Cpk^2/(2 (n - 1))), which holds for large n."""
    sample = plain_spread(2.0, n - 1)
    cp, cpk = both_sides(sample, 8, 20), nearest_side(plain(16, 2, n), sample, 8, 20)
    assert cp is not None
    chi = np.sqrt(stats.chi2.ppf([0.025, 0.975], n - 1) / (n - 1))
    assert (cp.low, cp.high) == pytest.approx(tuple(chi))
    half = 1.96 * np.sqrt(1 / (9 * n) + (2 / 3) ** 2 / (2 * (n - 1)))
    assert (cpk.low, cpk.high) == pytest.approx((2 / 3 - half, 2 / 3 + half), abs=0.06 / np.sqrt(n))


def test_one_sides_interval_is_the_noncentral_t() -> None:
    """Exact for a plain sample: the lower limit is the index with which so much is seen once in forty samples."""
    low = nearest_side(plain(16, 2, 20), plain_spread(2.0, 19), None, 20).low
    assert stats.nct.sf(4 / 2 * np.sqrt(20), 19, 3 * low * np.sqrt(20)) == pytest.approx(0.025, abs=2e-4)


def inside(found: Index | None, truth: float) -> bool:
    return found is not None and found.low <= truth <= found.high


def test_intervals_of_drawn_kitchens_hold_as_often_as_they_say() -> None:
    """60 draws of 8 batches of up to 3 plates; the bar counts more."""
    sds, mean, draws = (0.2, 0.15, 0.4), 3.3, 60
    within, whole = np.hypot(sds[1], sds[2]), np.sqrt(np.sum(np.square(sds)))
    truth = {
        "cp": (HIGH - LOW) / 6 / within,
        "cpk": (HIGH - mean) / 3 / within,
        "pp": (HIGH - LOW) / 6 / whole,
        "ppk": (HIGH - mean) / 3 / whole,
        "expected_outside": float(stats.norm.sf((HIGH - mean) / whole) + stats.norm.cdf((LOW - mean) / whole)),
    }
    held = dict.fromkeys(truth, 0)
    for start in range(draws):
        plates = spread(np.random.default_rng([5, start]), mean, batches=8, plates=3, sds=sds)
        found = capability_of(plates, low=LOW, high=HIGH)
        for key, value in truth.items():
            held[key] += inside(getattr(found, key), value)
    assert min(held.values()) / draws >= 0.85, held


@pytest.fixture(scope="module")
def kitchen() -> Capability:
    plates = spread(np.random.default_rng(3), 3.2, batches=60, plates=3, sds=(0.2, 0.15, 0.4))
    return capability_of(plates, low=LOW, high=HIGH, method_sd=0.1)


def test_what_makes_the_spread_is_told_apart(kitchen: Capability) -> None:
    assert kitchen.sd_fries == pytest.approx(0.4, rel=0.05)
    assert kitchen.sd_plates == pytest.approx(0.15, rel=0.2)
    assert kitchen.sd_batches == pytest.approx(0.2, rel=0.25)
    assert kitchen.cp is not None
    assert kitchen.pp is not None
    assert kitchen.pp.value < kitchen.cp.value


def test_the_methods_own_doubt_makes_more_look_outside(kitchen: Capability) -> None:
    assert kitchen.without_method is not None
    assert 0 < kitchen.without_method < kitchen.expected_outside.value
    assert kitchen.counted_outside is None


def test_fries_counted_outside_stand_beside_those_expected() -> None:
    plates = [
        SpreadPlate(batch=str(number // 2), mean=3.0, sd=0.5, fries=40, outside=number % 3) for number in range(6)
    ]
    assert capability_of(plates, low=LOW, high=HIGH).counted_outside == pytest.approx(6 / 240)


def test_a_range_open_on_one_side_has_no_cp() -> None:
    plates = spread(np.random.default_rng(1), 3.0, batches=5, plates=2, sds=(0.1, 0.1, 0.4))
    found = capability_of(plates, low=None, high=HIGH)
    assert (found.cp, found.pp) == (None, None)
    assert found.cpk is not None
    assert found.cpk.value == pytest.approx((HIGH - found.mean.value) / 3 / (found.within.sd if found.within else 0))


def test_what_cant_be_told_is_left_out() -> None:
    rng = np.random.default_rng(2)
    alone = capability_of(spread(rng, 3.0, batches=6, plates=1, sds=(0.1, 0.1, 0.4)), low=LOW, high=HIGH)
    assert (alone.within, alone.cp, alone.sd_plates) == (None, None, None)
    assert alone.pp is not None
    one = capability_of(spread(rng, 3.0, batches=1, plates=6, sds=(0.1, 0.1, 0.4)), low=LOW, high=HIGH)
    assert (one.pp, one.ppk, one.sd_batches) == (None, None, None)
    assert one.cp is not None
    with pytest.raises(TooLittleToTellError, match="One plate"):
        capability_of(spread(rng, 3.0, batches=1, plates=1, sds=(0.1, 0.1, 0.4)), low=LOW, high=HIGH)
    with pytest.raises(ValueError, match="needs a limit"):
        capability_of([], low=None, high=None)


def test_two_batches_still_give_intervals() -> None:
    for start in range(20):
        rng = np.random.default_rng(start)
        found = capability_of(spread(rng, 3.0, batches=2, plates=2, sds=(0.3, 0.1, 0.3)), low=LOW, high=HIGH)
        assert found.ppk is not None
        assert found.ppk.low < found.ppk.value < found.ppk.high


def test_a_mean_outside_the_range_gives_an_index_below_zero() -> None:
    plates = spread(np.random.default_rng(1), 4.5, batches=6, plates=2, sds=(0.1, 0.1, 0.3))
    found = capability_of(plates, low=LOW, high=HIGH)
    assert found.ppk is not None
    assert found.ppk.high < 0
    assert found.expected_outside.value > 0.8

from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import binomtest

from grader.line.lot_fry import Lot, LotTestError, TestStrip, compare_lots, plan_lot_fry
from grader.sampling.exact import share_interval
from tests.line.simulated_lots import Lots, fry_lots


@pytest.mark.parametrize(("found", "of"), [(0, 20), (1, 20), (7, 20), (20, 20)])
def test_shares_are_those_of_scipys_exact_interval(found: int, of: int) -> None:
    by_scipy = binomtest(found, of).proportion_ci(0.95, method="exact")
    assert share_interval(found, of) == pytest.approx((by_scipy.low, by_scipy.high))


def test_what_the_oil_did_cancels() -> None:
    strips = fry_lots(Lots(difference=0.5), np.random.default_rng(1))
    darker = [replace(one, place=one.place + 2.0 * (one.basket == 3)) for one in strips]
    told, then = compare_lots(strips), compare_lots(darker)
    assert then.difference == pytest.approx(told.difference, abs=1e-6)
    assert then.u == pytest.approx(told.u, rel=1e-4)


def test_agrees_with_statsmodels() -> None:
    """Its mixed model by restricted likelihood: baskets and lot fixed, cartons and tubers within them random."""
    import pandas as pd
    import statsmodels.formula.api as smf

    strips = fry_lots(Lots(difference=0.3, carton_sd=0.4), np.random.default_rng(2))
    data = pd.DataFrame(
        {
            "place": [one.place for one in strips],
            "new": [float(one.lot is Lot.NEW) for one in strips],
            "basket": [f"b{one.basket}" for one in strips],
            "carton": [f"{one.lot} {one.carton}" for one in strips],
            "tuber": [f"t{one.tuber}" for one in strips],
        }
    )
    tubers = {"tuber": "0 + C(tuber)"}
    model = smf.mixedlm("place ~ new + C(basket)", data, groups="carton", re_formula="1", vc_formula=tubers)
    by_them, told = model.fit(reml=True), compare_lots(strips)
    assert told.difference == pytest.approx(by_them.params["new"], abs=1e-3)
    assert told.carton_sd is not None
    assert told.tuber_sd is not None
    assert told.carton_sd**2 == pytest.approx(float(by_them.cov_re.iloc[0, 0]), rel=0.02)
    assert told.tuber_sd**2 == pytest.approx(float(by_them.vcomp[0]), rel=0.02)
    assert told.strip_sd**2 == pytest.approx(by_them.scale, rel=0.02)


def test_more_strips_of_the_same_tubers_make_nothing_much_surer() -> None:
    few, many = (compare_lots(fry_lots(Lots(strips=n), np.random.default_rng(3))).u for n in (2, 20))
    assert many > 0.6 * few


def test_a_tuber_counts_once_however_many_strips_it_gives() -> None:
    strips = fry_lots(Lots(ends=0.5, strips=4), np.random.default_rng(4))
    told = compare_lots(strips).new_ends
    assert told is not None
    assert told.tubers == 20
    ended = {one.tuber for one in strips if one.lot is Lot.NEW and one.sugar_end}
    assert told.found == len(ended)


def test_strips_that_can_not_be_told_count_nowhere() -> None:
    strips = [replace(one, sugar_end=None) for one in fry_lots(Lots(), np.random.default_rng(5))]
    assert compare_lots(strips).new_ends is None


def test_all_faults_are_told_at_once() -> None:
    strips = fry_lots(Lots(), np.random.default_rng(6))
    few = [one for one in strips if one.lot is Lot.KEPT or one.tuber in {0, 1, 2}]
    with pytest.raises(LotTestError, match=r"Too few tubers of the new lot: 3.*Basket 3 holds strips of one lot only"):
        compare_lots(few)
    with pytest.raises(LotTestError, match="no colour"):
        compare_lots([replace(strips[0], place=float("nan")), *strips[1:]])


@pytest.mark.parametrize("strips", [1, 2])
@pytest.mark.parametrize("cartons", [1, 2, 4, 10, 20])
@pytest.mark.parametrize("baskets", [1, 5, 20])
def test_whatever_can_be_planned_can_be_read(cartons: int, baskets: int, strips: int) -> None:
    planned = plan_lot_fry(tubers=20, cartons=cartons, baskets=baskets, strips=strips, seed=1)
    assert {basket for _, _, _, basket in planned} == set(range(1, baskets + 1))
    rng = np.random.default_rng(7)
    tubers = {(lot, tuber): rng.normal(4, 0.3) for lot in Lot for tuber in range(1, 21)}
    told = compare_lots(
        [
            TestStrip(
                lot=lot,
                carton=carton,
                tuber=tuber,
                basket=basket,
                place=tubers[lot, tuber] + 0.6 * (lot is Lot.NEW) + rng.normal(0, 0.1),
                sugar_end=None,
            )
            for lot, carton, tuber, basket in planned
        ]
    )
    assert 0 < told.u < 0.35
    assert told.low < 0.6 < told.high
    assert (told.carton_sd is None) == (cartons in {1, 20})
    assert (told.tuber_sd is None) == (strips == 1)


def test_a_single_strip_of_each_tuber_says_what_the_mean_of_two_alike_would() -> None:
    """One strip a tuber, one carton, one basket: then it is the two-sample t test, as scipy has it."""
    from scipy.stats import ttest_ind

    strips = fry_lots(Lots(cartons=1, baskets=1, strips=1, difference=0.4), np.random.default_rng(8))
    new, kept = ([one.place for one in strips if one.lot is lot] for lot in (Lot.NEW, Lot.KEPT))
    told, by_scipy = compare_lots(strips), ttest_ind(new, kept).confidence_interval(0.95)
    assert (told.low, told.high) == pytest.approx((by_scipy.low, by_scipy.high), abs=1e-3)


def test_strips_of_a_tuber_may_all_be_entered_alike() -> None:
    strips = fry_lots(Lots(strip_sd=0.0), np.random.default_rng(9))
    rounded = [replace(one, place=round(one.place, 1)) for one in strips]
    assert compare_lots(rounded).strip_sd < 0.01
    same = compare_lots([replace(one, place=4.0) for one in strips])
    assert same.difference == pytest.approx(0)
    assert not same.differ

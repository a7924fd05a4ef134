from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import binomtest

from grader.line.lot_fry import Lot, LotTestError, compare_lots
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

from dataclasses import replace

import numpy as np
import pytest

from grader.line.browning import Browning, place_after, time_to
from grader.line.browning_fit import fit_browning
from grader.line.lot_answer import Can, HouseTime, answer_of, today_time
from grader.line.lot_fry import LotTest, SugarEnds, compare_lots
from grader.line.trial import TrialError
from grader.sampling.exact import share_interval
from grader.standard import load_shipped
from tests.line.simulated import NOISE, STEPS, draw_kitchen, trial
from tests.line.simulated_lots import Lots, fry_lots

STANDARD = load_shipped()["strips-9.5mm-skin-on"]


def outcome(difference: float = 0.0, ends: int = 0) -> LotTest:
    low, high = share_interval(ends, 20)
    found = SugarEnds(found=ends, tubers=20, low=low, high=high)
    return LotTest(
        difference=difference, u=0.1, low=difference - 0.2, high=difference + 0.2, freedom=30,
        carton_sd=0.1, tuber_sd=0.3, strip_sd=0.1, new_ends=found, kept_ends=found,
    )  # fmt: skip


def test_what_no_time_can_mend_is_told() -> None:
    strips = fry_lots(Lots(), np.random.default_rng(1))
    assert answer_of(strips, outcome(), STANDARD).can is Can.NOTHING_AGAINST
    assert answer_of(strips, outcome(ends=3), STANDARD).can is Can.DOUBTFUL
    told = answer_of(strips, outcome(ends=9), STANDARD)
    assert told.can is Can.NO
    assert "No time mends them" in told.reasons[0]
    wide = replace(outcome(), tuber_sd=1.2)
    assert answer_of(strips, wide, STANDARD).can is Can.DOUBTFUL
    assert answer_of(strips, replace(outcome(), new_ends=None), STANDARD).can is Can.DOUBTFUL


def test_what_so_few_cartons_or_strips_can_not_tell_is_told_beside_the_answer() -> None:
    strips = fry_lots(Lots(cartons=1, strips=1), np.random.default_rng(1))
    answer = answer_of(strips, compare_lots(strips), STANDARD)
    assert answer.can is Can.NOTHING_AGAINST
    assert "of one carton" in answer.reasons[-2]
    assert "one strip was fried" in answer.reasons[-1]
    usual = fry_lots(Lots(), np.random.default_rng(1))
    assert len(answer_of(usual, compare_lots(usual), STANDARD).reasons) == 1


def test_a_lot_out_of_the_target_wants_another_time() -> None:
    dark = fry_lots(Lots(difference=2.0), np.random.default_rng(2))
    assert any("a shorter time" in one for one in answer_of(dark, compare_lots(dark), STANDARD).reasons)
    pale = fry_lots(Lots(difference=-2.0), np.random.default_rng(2))
    assert any("a longer time" in one for one in answer_of(pale, compare_lots(pale), STANDARD).reasons)


def test_todays_time_is_that_of_a_lot_that_browns_faster() -> None:
    """A lot that browns 1.25 times as fast wants 1 / 1.25 of the time: by the constants themselves, no fit."""
    rng, held = np.random.default_rng(3), []
    middle, factor = 3.8, 1.25
    for _ in range(150):
        kitchen = draw_kitchen(rng)
        fit = fit_browning(trial(kitchen, rng), NOISE, steps=STEPS)
        known: Browning = kitchen.browning
        good_s = time_to(known, middle, kitchen.celsius)
        faster = replace(known, log_rate=known.log_rate + float(np.log(factor)))
        difference = _place(faster, good_s, kitchen.celsius) - middle
        told = replace(outcome(difference + 0.08 * rng.normal()), u=0.08)
        today = today_time(HouseTime(fit=fit, seconds=good_s, celsius=kitchen.celsius), told, middle=middle)
        held.append(abs(today.value - good_s / factor) <= 2 * today.u)
    print(f"today's time: held {np.mean(held):.0%} at nominal 95 %")
    assert np.mean(held) >= 0.93


def _place(known: Browning, time_s: float, celsius: float) -> float:
    return float(place_after(known, np.array(time_s), np.array(celsius)))


def test_no_time_is_told_for_a_temperature_that_was_not_tried() -> None:
    rng = np.random.default_rng(4)
    kitchen = draw_kitchen(rng)
    fit = fit_browning(trial(kitchen, rng), NOISE, steps=STEPS)
    with pytest.raises(TrialError, match="was not tried"):
        today_time(HouseTime(fit=fit, seconds=150, celsius=219), outcome(), middle=3.8)

from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from grader.line.browning import Browning, gradient, hotter, place_after, time_to
from grader.line.browning_fit import fit_browning
from grader.line.surface import fit_surface
from grader.line.trial import Fitted, Noise, TrialError, TrialPlate, Window, window_at, windows_over
from grader.line.trial_choice import choose_curve
from grader.line.trial_plan import Setting, candidate_plates, log_time_u_after, next_plate, plan_trial
from grader.line.trial_table import plan_text, read_plates
from tests.line.simulated import MIDDLE, NOISE, STEPS, TARGET, draw_kitchen, trial

KNOWN = Browning(start=1.0, end=9.0, log_rate=-5.7, energy_kj=94.85)


def window(fit: Fitted, celsius: float) -> Window:
    return window_at(fit, celsius, target_from=TARGET[0], target_to=TARGET[1])


def test_ten_degrees_quicken_browning_as_published_energies_say() -> None:
    """S. Sahin, Eur. Food Res. Technol. (2000): 94.85 kJ/mol; from 170 to 180 C the rate grows 1.765 times, by hand."""
    assert np.exp(94.85 * (hotter(180.0) - hotter(170.0))) == pytest.approx(1.765, abs=0.001)


@pytest.mark.parametrize("energy_kj", [94.85, 71.67])
def test_published_energies_are_found_again_in_data_made_with_them(energy_kj: float) -> None:
    """Without noise, and from many plates, so that what is known beforehand weighs nothing."""
    true = replace(KNOWN, energy_kj=energy_kj)
    plates = [
        TrialPlate(time_s=t, celsius=c, place=float(place_after(true, t, c)))
        for c in (150.0, 160.0, 170.0, 180.0)
        for t in (60.0, 120.0, 240.0, 480.0, 900.0)
    ]
    found = fit_browning(plates, Noise(time_s=0.01, celsius=0.01, place=0.001), steps=STEPS).browning
    assert found.energy_kj == pytest.approx(energy_kj, rel=1e-3)
    assert found.values == pytest.approx(true.values, rel=2e-3)


def test_a_gradient_is_what_small_steps_give() -> None:
    time_s, celsius = np.array([100.0, 200.0]), np.array([165.0, 182.0])
    by_constants, by_settings = gradient(KNOWN, time_s, celsius)
    for column, name in enumerate(("start", "end", "log_rate", "energy_kj")):
        more = replace(KNOWN, **{name: getattr(KNOWN, name) + 1e-5})
        steps = (place_after(more, time_s, celsius) - place_after(KNOWN, time_s, celsius)) / 1e-5
        assert by_constants[:, column] == pytest.approx(steps, rel=1e-3)
    steps = (place_after(KNOWN, time_s + 1e-4, celsius) - place_after(KNOWN, time_s, celsius)) / 1e-4
    assert by_settings[:, 0] == pytest.approx(steps, rel=1e-3)
    steps = (place_after(KNOWN, time_s, celsius + 1e-4) - place_after(KNOWN, time_s, celsius)) / 1e-4
    assert by_settings[:, 1] == pytest.approx(steps, rel=1e-3)


def test_the_time_to_a_place_leads_there() -> None:
    assert float(place_after(KNOWN, time_to(KNOWN, 3.8, 172.0), 172.0)) == pytest.approx(3.8)
    assert np.isnan(time_to(KNOWN, 9.5, 172.0))
    assert np.isnan(time_to(KNOWN, 0.5, 172.0))


def test_a_window_never_lies_beyond_the_temperatures_tried() -> None:
    kitchen = draw_kitchen(np.random.default_rng(1))
    fit = fit_browning(trial(kitchen, np.random.default_rng(2)), NOISE, steps=STEPS)
    with pytest.raises(TrialError, match="was not tried"):
        window(fit, kitchen.celsius + 11)
    inside = window(fit, kitchen.celsius)
    assert inside.low_s < inside.centre_s < inside.high_s
    assert inside.from_s < inside.centre_s < inside.to_s
    assert not inside.beyond


def test_a_window_beyond_the_times_tried_says_so() -> None:
    kitchen = draw_kitchen(np.random.default_rng(1))
    plates = [one for one in trial(kitchen, np.random.default_rng(2)) if one.time_s < 1.1 * kitchen.time_s]
    assert window(fit_browning(plates, NOISE, steps=STEPS), kitchen.celsius).beyond


def test_more_scatter_than_stated_widens_the_window() -> None:
    kitchen = draw_kitchen(np.random.default_rng(1))
    plates = trial(kitchen, np.random.default_rng(2))
    wild = [replace(one, place=one.place + (0.8 if turn % 2 else -0.8)) for turn, one in enumerate(plates)]
    quiet, loud = (fit_browning(some, NOISE, steps=STEPS) for some in (plates, wild))
    assert loud.noise_times > 2 * quiet.noise_times
    assert window(loud, kitchen.celsius).half_width > 1.5 * window(quiet, kitchen.celsius).half_width


def test_a_surface_agrees_with_theory_where_theory_holds() -> None:
    rng = np.random.default_rng(5)
    for _ in range(10):
        kitchen = draw_kitchen(rng)
        plates = trial(kitchen, rng)
        theory, surface = fit_browning(plates, NOISE, steps=STEPS), fit_surface(plates, NOISE)
        (one, one_u), (other, other_u) = (fit.log_time(MIDDLE, kitchen.celsius) for fit in (theory, surface))
        assert abs(one - other) < 2.5 * np.hypot(one_u, other_u)


def test_theory_stands_where_it_holds_and_a_surface_where_it_does_not() -> None:
    rng = np.random.default_rng(6)
    chosen = [choose_curve(trial(draw_kitchen(rng), rng), NOISE, steps=STEPS).by_theory for _ in range(30)]
    assert np.mean(chosen) >= 0.8
    settings = plan_trial(guess_s=150, celsius=175, apart_c=10, seed=1)
    # Paler the hotter the oil, as no browning goes: a thermometer read backwards, say.
    odd = [
        TrialPlate(
            time_s=s.time_s, celsius=s.celsius, place=3.8 + 2 * np.log(s.time_s / 150) - 0.12 * (s.celsius - 175)
        )
        for s in settings
    ]
    assert not choose_curve(odd, NOISE, steps=STEPS).by_theory


def test_few_plates_are_left_to_theory() -> None:
    plates = trial(draw_kitchen(np.random.default_rng(1)), np.random.default_rng(2))[:6]
    assert choose_curve(plates, NOISE, steps=STEPS).by_theory


def test_a_plan_repeats_its_middle_and_keeps_near_the_target() -> None:
    plan = plan_trial(guess_s=150, celsius=175, apart_c=10, seed=1)
    assert len(plan) == 12
    assert plan.count(Setting(time_s=150, celsius=175)) == 4
    assert {one.celsius for one in plan} == {165, 175, 185}
    hot, cold = (np.mean([one.time_s for one in plan if one.celsius == celsius]) for celsius in (185, 165))
    assert hot < 150 < cold
    assert plan != plan_trial(guess_s=150, celsius=175, apart_c=10, seed=2)
    assert plan == plan_trial(guess_s=150, celsius=175, apart_c=10, seed=1)


@pytest.mark.parametrize(
    ("guess_s", "celsius", "apart_c", "says"),
    [
        (5, 175, 10, "no trial can be planned"),
        (150, 175, 1, "no trial"),
        (150, 190, 10, "ask for 200 C"),
        (150, 105, 10, "ask for 95 C"),
        (1800, 170, 25, "s in the oil"),
    ],
)
def test_a_plan_that_can_not_be_is_refused(guess_s: float, celsius: float, apart_c: float, says: str) -> None:
    with pytest.raises(TrialError, match=says):
        plan_trial(guess_s=guess_s, celsius=celsius, apart_c=apart_c, seed=1)


def test_whatever_is_planned_can_be_read(tmp_path: Path) -> None:
    for guess_s, celsius, apart_c in ((10, 170, 25), (1000, 125, 5), (400, 126, 25)):
        planned = plan_trial(guess_s=guess_s, celsius=celsius, apart_c=apart_c, seed=1)
        filled = plan_text(planned).replace(",\r\n", ",3.1\r\n").replace(",\n", ",3.1\n")
        (tmp_path / "trial.csv").write_text(filled, encoding="utf-8")
        assert len(read_plates(tmp_path / "trial.csv")) == 12


@pytest.mark.parametrize("fit_to", ["browning", "surface"])
def test_the_next_plate_is_the_most_telling_of_all_offered(fit_to: str) -> None:
    kitchen = draw_kitchen(np.random.default_rng(1))
    plates = trial(kitchen, np.random.default_rng(2))
    fit = fit_browning(plates, NOISE, steps=STEPS) if fit_to == "browning" else fit_surface(plates, NOISE)
    after = log_time_u_after(fit, candidate_plates(fit.tried), place=MIDDLE, celsius=kitchen.celsius)
    chosen = next_plate(fit, place=MIDDLE, celsius=kitchen.celsius)
    now = fit.log_time(MIDDLE, kitchen.celsius)[1]
    assert log_time_u_after(fit, [chosen], place=MIDDLE, celsius=kitchen.celsius)[0] == min(after) < now
    assert max(after) <= now * (1 + 1e-9)


@pytest.mark.parametrize(
    ("plates", "says"),
    [
        ([], "Too few plates: 0"),
        ([TrialPlate(time_s=100.0 + i, celsius=175.0, place=3.0) for i in range(7)], "two temperatures"),
        ([TrialPlate(time_s=100.0, celsius=170.0 + i, place=3.0) for i in range(7)], "two times"),
        ([TrialPlate(time_s=100.0 + i, celsius=350.0 + i, place=3.0) for i in range(7)], "can't be"),
        ([TrialPlate(time_s=100.0 + i, celsius=170.0 + i, place=np.nan) for i in range(7)], "can't be"),
    ],
)
def test_plates_that_tell_nothing_are_refused(plates: list[TrialPlate], says: str) -> None:
    for fit in (lambda: fit_browning(plates, NOISE, steps=STEPS), lambda: fit_surface(plates, NOISE)):
        with pytest.raises(TrialError, match=says):
            fit()


def test_a_surface_on_which_fries_grow_paler_leads_to_no_time() -> None:
    plates = [
        TrialPlate(time_s=one.time_s, celsius=one.celsius, place=5.0 - np.log(one.time_s / 150))
        for one in plan_trial(guess_s=150, celsius=175, apart_c=10, seed=1)
    ]
    with pytest.raises(TrialError, match="don't grow darker"):
        fit_surface(plates, NOISE).log_time(MIDDLE, 175.0)


def test_a_surface_is_what_statsmodels_fits() -> None:
    """Its ordinary least squares, on the same five terms."""
    import statsmodels.api as sm

    plates = trial(draw_kitchen(np.random.default_rng(1)), np.random.default_rng(2))
    fit = fit_surface(plates, NOISE)
    x = np.log([one.time_s for one in plates]) - fit.middle_log_s
    y = (np.array([one.celsius for one in plates]) - fit.middle_c) / 10
    by_them = sm.OLS([one.place for one in plates], np.column_stack([np.ones(12), x, y, x * y, y**2])).fit()
    assert fit.constants == pytest.approx(by_them.params)
    scale = fit.place_u**2 / by_them.scale
    assert fit.covariance == pytest.approx(by_them.cov_params() * scale)


def test_windows_are_drawn_between_the_temperatures_tried_and_no_further() -> None:
    fit = fit_browning(trial(draw_kitchen(rng := np.random.default_rng(6)), rng), NOISE, steps=STEPS)
    found = windows_over(fit, target_from=TARGET[0], target_to=TARGET[1])
    assert [one.celsius for one in found] == pytest.approx(np.linspace(fit.tried.coldest_c, fit.tried.hottest_c, 9))
    assert all(before.centre_s > after.centre_s for before, after in pairwise(found))
    assert windows_over(fit, target_from=50.0, target_to=60.0) == ()

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from grader.errors import GraderError
from grader.line.cut_time import time_for_cut
from grader.line.load import Fryer, Load, LoadError, fall_of, heat_wanted, largest_load_kg, specific_heat, with_doubt

FRYER = Fryer(oil_kg=18.0, power_kw=14.0, oil_c=177.0)
LOAD = Load(kg=1.5, celsius=4.0, water=0.75, lost=0.25)


def test_the_heat_of_a_kilogram_is_as_worked_out_by_hand() -> None:
    """A kilogram of strips of 21 % solids, from 20 C, that loses 0.617 kg of water: 279 kJ sensible, 1392 latent."""
    warm, boil = heat_wanted(Load(kg=1.0, celsius=20.0, water=0.79, lost=0.617))
    assert warm == pytest.approx(279, abs=1)
    assert boil == pytest.approx(1392, abs=1)
    assert specific_heat(0.79) == pytest.approx(3.48, abs=0.005)


def test_the_fall_is_what_a_differential_equation_gives() -> None:
    """SciPy's `solve_ivp` on the heat balance itself, heater full on."""
    wanted = sum(heat_wanted(LOAD))

    def falls(t: float, _: np.ndarray) -> list[float]:
        drawn = wanted / LOAD.draws_s * math.exp(-t / LOAD.draws_s)
        return [(drawn - FRYER.power_kw) / (FRYER.oil_kg * FRYER.oil_heat_kj_kg_c)]

    told = fall_of(FRYER, LOAD)
    course = solve_ivp(falls, (0, 400), [0.0], max_step=0.5, rtol=1e-9)
    assert told.fall_c == pytest.approx(course.y[0].max(), rel=1e-4)
    assert told.lowest_s == pytest.approx(course.t[course.y[0].argmax()], abs=1)
    after = course.t > told.lowest_s
    assert told.back_s == pytest.approx(np.interp(0, -course.y[0][after], course.t[after]), abs=1)


def test_more_food_falls_farther_and_more_oil_less() -> None:
    fall = fall_of(FRYER, LOAD).fall_c
    assert fall_of(FRYER, replace(LOAD, kg=3.0)).fall_c > 2 * fall
    assert fall_of(replace(FRYER, oil_kg=36.0), LOAD).fall_c == pytest.approx(fall / 2)
    assert fall_of(replace(FRYER, power_kw=100.0), LOAD).fall_c == 0.0


def test_the_largest_load_falls_just_so_far() -> None:
    kg = largest_load_kg(FRYER, LOAD, fall_at_most_c=10.0)
    assert fall_of(FRYER, replace(LOAD, kg=kg)).fall_c == pytest.approx(10.0, abs=1e-3)


def test_doubt_is_what_drawing_the_inputs_gives_where_it_is_small() -> None:
    told = with_doubt(lambda fryer, load: fall_of(fryer, load).fall_c, FRYER, replace(LOAD, kg=4.0))
    assert 0.1 * told.value < told.u < 0.6 * told.value


@pytest.mark.parametrize("load", [replace(LOAD, water=1.0), replace(LOAD, lost=0.75), replace(LOAD, lost=0.0)])
def test_doubt_is_told_at_the_edge_of_what_can_be_as_beside_it(load: Load) -> None:
    def fall(fryer: Fryer, load: Load) -> float:
        return fall_of(fryer, load).fall_c

    beside = replace(load, water=min(load.water, 0.97), lost=min(load.lost, 0.64))
    assert with_doubt(fall, FRYER, load).u == pytest.approx(with_doubt(fall, FRYER, beside).u, rel=0.2)


def test_oil_colder_than_boiling_water_is_told() -> None:
    assert fall_of(FRYER, LOAD).boils
    assert not fall_of(replace(FRYER, oil_kg=3.0, power_kw=3.0), replace(LOAD, kg=8.0)).boils


@pytest.mark.parametrize(
    ("fryer", "load"),
    [
        (replace(FRYER, oil_kg=0.0), LOAD),
        (replace(FRYER, oil_c=90.0), LOAD),
        (FRYER, replace(LOAD, lost=0.9)),
        (FRYER, replace(LOAD, celsius=120.0)),
    ],
)
def test_what_can_not_be_is_refused(fryer: Fryer, load: Load) -> None:
    with pytest.raises(LoadError, match="can't be"):
        fall_of(fryer, load)


def test_no_fall_at_all_is_refused() -> None:
    with pytest.raises(LoadError, match="always falls"):
        largest_load_kg(FRYER, LOAD, fall_at_most_c=0.0)
    with pytest.raises(LoadError, match="50 kg"):
        largest_load_kg(replace(FRYER, oil_kg=1e6), LOAD, fall_at_most_c=10.0)


def test_a_thicker_cut_takes_longer_and_nobody_knows_how_much() -> None:
    told = time_for_cut(150.0, cut_mm=9.5, new_cut_mm=12.7)
    by_powers = [150 * (12.7 / 9.5) ** power for power in np.linspace(1, 2, 2001)]
    assert told.value == pytest.approx(np.mean(by_powers), rel=0.01)
    assert told.u == pytest.approx(np.std(by_powers), rel=0.02)
    assert time_for_cut(150.0, cut_mm=9.5, new_cut_mm=9.5).u == 0.0
    with pytest.raises(GraderError, match="nothing can be foretold"):
        time_for_cut(150.0, cut_mm=6.0, new_cut_mm=19.0)

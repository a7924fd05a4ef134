import numpy as np
import pytest

from grader.fries.model import Measured
from grader.line.fry_yield import YieldError, fry_yield


def exactly(value: float) -> Measured:
    return Measured(value=value, u=0.0)


def test_a_kilogram_of_strips_becomes_what_the_composition_tables_say() -> None:
    """21 % solids into fries of 38.6 % water and 14.7 % fat (USDA FoodData Central 170698): worked out by hand, a
    kilogram leaves 0.449 kg, 0.617 kg of water go and 0.066 kg of oil come."""
    told = fry_yield(exactly(0.21), water=exactly(0.386), oil=exactly(0.147))
    assert told.finished.value == pytest.approx(0.449, abs=0.001)
    assert told.water_lost.value == pytest.approx(0.617, abs=0.001)
    assert told.oil_taken.value == pytest.approx(0.066, abs=0.001)


def test_what_goes_in_comes_out() -> None:
    told = fry_yield(exactly(0.2))
    assert 1 + told.oil_taken.value == pytest.approx(told.finished.value + told.water_lost.value)


def test_doubts_are_those_of_the_shares() -> None:
    """Against a hundred thousand draws of the three shares."""
    rng = np.random.default_rng(3)
    solids, water, oil = (
        mean + u * rng.normal(size=100_000) for mean, u in ((0.21, 0.01), (0.4, 0.02), (0.147, 0.015))
    )
    finished = solids / (1 - water - oil)
    told = fry_yield(
        Measured(value=0.21, u=0.01), water=Measured(value=0.4, u=0.02), oil=Measured(value=0.147, u=0.015)
    )
    for one, drawn in (
        (told.finished, finished),
        (told.water_lost, 1 - solids - water * finished),
        (told.oil_taken, oil * finished),
    ):
        assert one.u == pytest.approx(drawn.std(), rel=0.03)
        assert one.value == pytest.approx(drawn.mean(), rel=0.01)


@pytest.mark.parametrize(("solids", "water", "oil"), [(0.0, 0.4, 0.1), (0.2, 0.9, 0.2), (0.6, 0.4, 0.1)])
def test_shares_that_leave_nothing_are_refused(solids: float, water: float, oil: float) -> None:
    with pytest.raises(YieldError, match="no fries"):
        fry_yield(exactly(solids), water=exactly(water), oil=exactly(oil))

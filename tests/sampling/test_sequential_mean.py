"""Plates one by one for their mean colour: Wald's identities, and tests played many times."""

import math

import numpy as np
import pytest

from grader.sampling.model import CameOut
from grader.sampling.sequential_mean import PlacesContradictError, SequentialMean, mean_exactly, sequential_mean

RUNS = 4000
PLACES = [(4.0, 4.7), (3.0, 2.2)]


def between(good: float, bad: float) -> SequentialMean:
    return sequential_mean(good=good, bad=bad, plate_sd=0.6, producer=0.05, consumer=0.10)


def played(test: SequentialMean, place: float, shared: float = 0.0) -> tuple[float, float]:
    """Share of tests that accepted, and the mean number of plates."""
    rng = np.random.default_rng(8)
    plates = place + shared * rng.normal(size=(RUNS, 1)) + test.plate_sd * rng.normal(size=(RUNS, test.end))
    ends = []
    for run in plates:
        states = ((n, test.state(run[:n])) for n in range(1, test.end + 1))
        ends.append(next((n, state) for n, state in states if state is not None))
    return np.mean([state is CameOut.ACCEPTED for _, state in ends]).item(), np.mean([n for n, _ in ends]).item()


@pytest.mark.parametrize(("good", "bad"), PLACES)
@pytest.mark.parametrize("at", [0.0, 0.5, 1.0, 1.5])
@pytest.mark.parametrize("shared", [0.0, 0.2])
def test_what_is_worked_out_is_what_happens(good: float, bad: float, at: float, shared: float) -> None:
    test, place = between(good, bad), good + at * (bad - good)
    accepted, plates = played(test, place, shared)
    told = mean_exactly(test, place, shared=shared)
    assert told.accepted == pytest.approx(accepted, abs=4 * math.sqrt(0.25 / RUNS))
    assert told.units == pytest.approx(plates, rel=0.05)


@pytest.mark.parametrize(("good", "bad"), PLACES)
def test_both_risks_are_kept_and_plates_are_spared(good: float, bad: float) -> None:
    test = between(good, bad)
    at_good, at_bad = mean_exactly(test, good), mean_exactly(test, bad)
    assert 1 - at_good.accepted <= 0.05
    assert at_bad.accepted <= 0.10
    assert max(at_good.units, at_bad.units) < test.end / 3


def test_what_an_early_end_costs() -> None:
    whole = between(4.0, 4.3)
    short = SequentialMean(good=4.0, bad=4.3, plate_sd=0.6, producer=0.05, consumer=0.10, end=3)
    assert mean_exactly(short, 4.3).accepted > 2 * mean_exactly(whole, 4.3).accepted
    assert mean_exactly(short, 4.15).units <= 3


def test_what_all_photos_share_is_paid_for() -> None:
    """As far off as good and bad lie apart, it undoes the test; no number of plates helps."""
    test = between(4.0, 4.3)
    assert mean_exactly(test, 4.3, shared=0.3).accepted > 0.2 > mean_exactly(test, 4.3, shared=0.01).accepted


@pytest.mark.parametrize(("good", "bad"), PLACES)
def test_wald_s_formulas_at_the_points_that_he_gives(good: float, bad: float) -> None:
    """1 - alpha, beta, and log A / (log A - log B) in the middle; his averages leave out what is overstepped."""
    test = between(good, bad)
    one, other, middle = (test.as_wald_has_it(place) for place in (good, bad, (good + bad) / 2))
    assert [one.accepted, other.accepted] == pytest.approx([0.95, 0.10])
    assert middle.accepted == pytest.approx(test.reject_from / (test.reject_from - test.accept_to))
    assert middle.units == pytest.approx(test.as_wald_has_it((good + bad) / 2 + 1e-4).units, rel=1e-3)
    for wald in (one, other):
        assert wald.units < mean_exactly(test, wald.quality).units < wald.units + 2


def test_a_place_farther_from_good_is_never_accepted_more_often() -> None:
    told = [mean_exactly(between(4.0, 4.7), place).accepted for place in np.linspace(3.5, 5.5, 21)]
    assert np.all(np.diff(told) <= 1e-9)


def test_no_plate_yet_decides_nothing() -> None:
    assert between(4.0, 4.7).state(np.zeros(0)) is None


@pytest.mark.parametrize("given", [{"bad": 4.0}, {"plate_sd": 0.0}, {"producer": 0.6}, {"consumer": 0.0}])
def test_nothing_to_tell_apart(given: dict[str, float]) -> None:
    asked = {"good": 4.0, "bad": 4.7, "plate_sd": 0.3, "producer": 0.05, "consumer": 0.1} | given
    with pytest.raises(PlacesContradictError, match="No plates tell"):
        sequential_mean(**asked)


def test_places_that_lie_too_near_are_refused_before_they_are_followed() -> None:
    with pytest.raises(PlacesContradictError, match="It takes 30830 plates"):
        sequential_mean(good=4.0, bad=4.005, plate_sd=0.3, producer=0.05, consumer=0.1)

"""Units one by one: against the handbook's worked example, Wald's identities, and tests played many times."""

import math

import numpy as np
import pytest

from grader.sampling.model import CameOut
from grader.sampling.risk import RisksContradictError
from grader.sampling.sequential import Sequential, as_wald_has_it, exactly, sequential

TESTS = [(0.01, 0.10, 0.05, 0.10), (0.05, 0.30, 0.05, 0.10), (0.1, 0.5, 0.1, 0.1)]
RUNS = 20_000


def test_the_handbook_s_example() -> None:
    """NIST/SEMATECH e-Handbook, 6.2.6: between 1 % and 10 % with risks of 5 and 10 %, after 24 units accept with none
    found and reject with three; 24 is the first at which it can be accepted, and one unit is never enough."""
    test = sequential(good=0.01, bad=0.10, producer=0.05, consumer=0.10)
    assert (test.accept_number(24), test.reject_number(24)) == (0, 3)
    assert test.accept_number(23) is None
    assert test.reject_number(1) is None
    assert test.reject_number(2) == 2
    assert test.end == 3 * 52  # n = 52, c = 2 is the single plan between the same points


@pytest.mark.parametrize("given", TESTS)
def test_the_lines_are_those_of_the_likelihood_ratio(given: tuple[float, float, float, float]) -> None:
    good, bad, producer, consumer = given
    test = sequential(good=good, bad=bad, producer=producer, consumer=consumer)
    for drawn in range(1, test.end):
        for found in range(drawn + 1):
            ratio = found * math.log(bad / good) + (drawn - found) * math.log((1 - bad) / (1 - good))
            low, high = math.log(consumer / (1 - producer)), math.log((1 - consumer) / producer)
            wanted = CameOut.ACCEPTED if ratio <= low else CameOut.REJECTED if ratio >= high else None
            if min(abs(ratio - low), abs(ratio - high)) > 1e-6:
                assert test.state(drawn, found) is wanted


def test_at_its_end_it_is_decided_come_what_may() -> None:
    test = sequential(good=0.05, bad=0.30, producer=0.05, consumer=0.10)
    told = [test.state(test.end, found) for found in range(test.end + 1)]
    accepted = told.count(CameOut.ACCEPTED)
    assert told == [CameOut.ACCEPTED] * accepted + [CameOut.REJECTED] * (len(told) - accepted)


def played(test: Sequential, share: float, rng: np.random.Generator) -> tuple[float, float]:
    """Share of tests that accepted, and the mean number of units, over many of them."""
    found = np.cumsum(rng.random((RUNS, test.end)) < share, axis=1)
    numbers = range(1, test.end + 1)
    accept = np.array([-1 if (at := test.accept_number(n)) is None else at for n in numbers])
    reject = np.array([n + 1 if (at := test.reject_number(n)) is None else at for n in numbers])
    over = (found <= accept) | (found >= reject)
    last = over.argmax(axis=1)
    return float((found[np.arange(RUNS), last] <= accept[last]).mean()), float(last.mean() + 1)


@pytest.mark.parametrize("given", TESTS)
@pytest.mark.parametrize("at", ["good", "between", "bad"])
def test_what_is_worked_out_is_what_happens(given: tuple[float, float, float, float], at: str) -> None:
    good, bad, producer, consumer = given
    test = sequential(good=good, bad=bad, producer=producer, consumer=consumer)
    share = {"good": good, "between": (good + bad) / 2, "bad": bad}[at]
    told = exactly(test, share)
    accepted, units = played(test, share, np.random.default_rng(7))
    assert told.accepted == pytest.approx(accepted, abs=4 * math.sqrt(0.25 / RUNS))
    assert told.units == pytest.approx(units, rel=0.03)


@pytest.mark.parametrize("given", TESTS)
def test_both_risks_are_kept_with_the_end_and_units_are_spared(given: tuple[float, float, float, float]) -> None:
    """Wald: the sum of both risks is never above that asked for; the end, at three times the single plan, adds nothing
    that shows. On the average fewer units than the single plan's are drawn from good lots and bad ones."""
    good, bad, producer, consumer = given
    test = sequential(good=good, bad=bad, producer=producer, consumer=consumer)
    from_good, from_bad = exactly(test, good), exactly(test, bad)
    assert (1 - from_good.accepted) + from_bad.accepted <= producer + consumer
    assert 1 - from_good.accepted <= producer / (1 - consumer) + 1e-3
    assert from_bad.accepted <= consumer / (1 - producer) + 1e-3
    assert max(from_good.units, from_bad.units) < test.end / 3


def test_what_an_early_end_costs() -> None:
    """Cut off long before its time, it errs more often."""
    whole = sequential(good=0.05, bad=0.30, producer=0.05, consumer=0.10)
    short = Sequential(good=0.05, bad=0.30, producer=0.05, consumer=0.10, end=6)
    erring = [(1 - exactly(test, 0.05).accepted) + exactly(test, 0.30).accepted for test in (whole, short)]
    assert erring[1] > 1.5 * erring[0]
    assert exactly(short, 0.1).units <= 6


@pytest.mark.parametrize("given", TESTS)
def test_wald_s_formulas_at_the_points_that_he_gives(given: tuple[float, float, float, float]) -> None:
    """At the good share 1 - alpha, at the bad one beta, at the slope of the lines log A / (log A - log B)."""
    good, bad, producer, consumer = given
    test = sequential(good=good, bad=bad, producer=producer, consumer=consumer)
    up, down = math.log((1 - consumer) / producer), math.log(consumer / (1 - producer))
    one, none, other = as_wald_has_it(test, 1), as_wald_has_it(test, 0), as_wald_has_it(test, -1)
    assert [one.quality, one.accepted] == pytest.approx([good, 1 - producer])
    assert [other.quality, other.accepted] == pytest.approx([bad, consumer])
    assert [none.quality, none.accepted] == pytest.approx([test.slope, up / (up - down)])
    assert none.units == pytest.approx(as_wald_has_it(test, 1e-4).units, rel=1e-3)


def test_wald_s_average_leaves_out_what_is_overstepped() -> None:
    """No test oversteps a line by more than its last unit's own ratio."""
    test = sequential(good=0.02, bad=0.03, producer=0.05, consumer=0.05)
    last = math.log(0.03 / 0.02) / math.log(0.95 / 0.05)
    for h in (1.0, -1.0):
        wald = as_wald_has_it(test, h)
        told = exactly(test, wald.quality)
        assert wald.units < told.units < (1 + last) * wald.units
        assert told.accepted == pytest.approx(wald.accepted, abs=0.02)


def test_a_worse_lot_is_never_accepted_more_often() -> None:
    test = sequential(good=0.05, bad=0.30, producer=0.05, consumer=0.10)
    told = [exactly(test, share).accepted for share in np.linspace(0, 1, 41)]
    assert np.all(np.diff(told) <= 1e-12)


def test_nothing_to_tell_apart() -> None:
    for good, bad, risk in ((0.1, 0.1, 0.05), (0.0, 0.1, 0.05), (0.1, 0.2, 0.6)):
        with pytest.raises(RisksContradictError, match="below the bad one"):
            sequential(good=good, bad=bad, producer=risk, consumer=0.1)

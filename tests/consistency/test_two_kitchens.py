"""Plates measured twice: a published comparison of two instruments, and drawn kitchens whose difference is known."""

from dataclasses import replace

import numpy as np
import pytest

from grader.consistency.comparing import Found
from grader.consistency.reml import TooLittleToTellError
from grader.consistency.two_kitchens import PairedPlate, compare_kitchens


def paired(first: list[float], second: list[float], u: float = 0.1) -> list[PairedPlate]:
    return [
        PairedPlate(plate=str(number), first=one, first_u=u, second=other, second_u=u)
        for number, (one, other) in enumerate(zip(first, second, strict=True))
    ]


PEAK_FLOW_WRIGHT = [494, 395, 516, 434, 476, 557, 413, 442, 650, 433, 417, 656, 267, 478, 178, 423, 427]
PEAK_FLOW_MINI = [512, 430, 520, 428, 500, 600, 364, 380, 658, 445, 432, 626, 260, 477, 259, 350, 451]


def test_the_published_comparison_of_two_peak_flow_meters() -> None:
    """J. M. Bland, D. G. Altman, Lancet 327 (1986) 307-310: mean difference -2.1, s.d. 38.8, limits -79.7 and 75.5.

    Readings and results are both from memory; that the ones give the others checks both.
    """
    found = compare_kitchens(
        paired([float(v) for v in PEAK_FLOW_MINI], [float(v) for v in PEAK_FLOW_WRIGHT]), worth_acting_on=10.0
    )
    assert found.bias.value == pytest.approx(-2.1, abs=0.05)
    assert found.sd == pytest.approx(38.8, abs=0.05)
    assert found.bias.value - 2 * found.sd == pytest.approx(-79.7, abs=0.1)
    assert found.bias.value + 2 * found.sd == pytest.approx(75.5, abs=0.1)
    assert found.bias.low == pytest.approx(-22.0, abs=0.1)
    assert found.bias.high == pytest.approx(17.8, abs=0.1)
    assert found.found is Found.CANT_TELL


def test_e_n_is_the_difference_over_both_expanded_doubts() -> None:
    """The formula of ISO 13528 as NIST's Dataplot manual gives it, k = 2."""
    plates = [replace(plate, first_u=0.3, second_u=0.4) for plate in paired([1.0, 2.0, 3.0], [1.5, 3.1, 2.0])]
    found = compare_kitchens(plates, worth_acting_on=0.5)
    assert found.e_n == pytest.approx((0.5, 1.1, -1.0))
    assert found.beyond == 1


def drawn(rng: np.random.Generator, n: int, bias: float, u: float) -> list[PairedPlate]:
    truth = rng.uniform(2, 4, n)
    first, second = truth + rng.normal(0, u, n), truth + bias + rng.normal(0, u, n)
    return paired(first.tolist(), second.tolist(), u)


def test_limits_and_bias_hold_as_often_as_they_say() -> None:
    held, lower = 0, 0
    for start in range(200):
        found = compare_kitchens(drawn(np.random.default_rng(start), 10, 0.2, 0.15), worth_acting_on=0.3)
        held += found.bias.low <= 0.2 <= found.bias.high
        lower += found.lower.low <= 0.2 - 1.96 * 0.15 * np.sqrt(2) <= found.lower.high
    assert 0.90 <= held / 200 <= 0.99
    assert lower / 200 >= 0.90


def test_doubts_stated_right_hold_and_too_small_ones_do_not() -> None:
    rng = np.random.default_rng(1)
    honest = drawn(rng, 30, 0.0, 0.2)
    assert compare_kitchens(honest, worth_acting_on=0.3).doubts_hold
    boast = [replace(plate, first_u=0.05, second_u=0.05) for plate in honest]
    assert not compare_kitchens(boast, worth_acting_on=0.3).doubts_hold


def test_verdicts_against_what_is_worth_acting_on() -> None:
    rng = np.random.default_rng(2)
    assert compare_kitchens(drawn(rng, 20, 0.0, 0.1), worth_acting_on=0.3).found is Found.ALIKE
    assert compare_kitchens(drawn(rng, 20, 0.6, 0.1), worth_acting_on=0.3).found is Found.DIFFER
    few = compare_kitchens(drawn(rng, 4, 0.05, 0.3), worth_acting_on=0.2)
    assert few.found is Found.CANT_TELL
    assert few.more_plates is not None
    assert few.more_plates >= 1


def test_a_difference_that_grows_with_darkness_is_told() -> None:
    rng = np.random.default_rng(3)
    truth = rng.uniform(1, 5, 20)
    plates = paired((truth + rng.normal(0, 0.05, 20)).tolist(), (1.2 * truth + rng.normal(0, 0.05, 20)).tolist())
    slope = compare_kitchens(plates, worth_acting_on=0.3).slope
    assert slope is not None
    assert 0 < slope.low < 0.2 / 1.1 < slope.high


def test_fewer_than_three_plates_are_refused() -> None:
    with pytest.raises(TooLittleToTellError, match="2 plate"):
        compare_kitchens(paired([1.0, 2.0], [1.0, 2.0]), worth_acting_on=0.3)

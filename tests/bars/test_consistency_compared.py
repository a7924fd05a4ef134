"""How often intervals between shifts, and of capability, hold what was put in; each prints its figure."""

from collections.abc import Sequence

import numpy as np
import pytest
from scipy import stats

from grader.consistency.capability import capability_of
from grader.consistency.comparing import Found, compare_groups
from tests.consistency.drawn_plates import grouped, spread

pytestmark = [pytest.mark.bar, pytest.mark.slow]

DRAWS = 400
LOW, HIGH = 2.0, 4.0
Sds = tuple[float, float, float]


@pytest.mark.parametrize(
    ("batches", "sds", "plates"),
    [
        ((3, 6, 4), (0.2, 0.15, 0.6), (1, 3)),
        ((5, 5, 5), (0.1, 0.1, 0.6), (1, 3)),
        ((2, 2, 2), (0.1, 0.1, 0.6), (1, 3)),
        ((8, 4, 10, 6, 3), (0.1, 0.15, 0.6), (1, 3)),
        ((4, 4, 4), (0.0, 0.15, 0.6), (1, 5)),
    ],
    ids=["unequal", "equal", "two batches each", "five shifts", "batches alike"],
)
def test_all_differences_between_shifts_hold_at_once(batches: Sequence[int], sds: Sds, plates: tuple[int, int]) -> None:
    held = 0
    for start in range(DRAWS):
        drawn = grouped(np.random.default_rng([1, start]), [3.0] * len(batches), batches, sds=sds, plates=plates)
        held += all(one.low <= 0 <= one.high for one in compare_groups(drawn, worth_acting_on=0.3).differences)
    print(f"all differences of {len(batches)} shifts hold at once in {held / DRAWS:.1%} of {DRAWS} draws; 95 % stated")
    assert held / DRAWS >= 0.93


def test_what_is_said_of_differences_is_right() -> None:
    """Two shifts 0.6 steps apart and two alike, against 0.3 worth acting on: wrong words in at most 1 draw of 40."""
    told = {truth: dict.fromkeys(Found, 0) for truth in (0.0, 0.6)}
    for truth, counts in told.items():
        for start in range(DRAWS):
            drawn = grouped(np.random.default_rng([2, start]), (3.0, 3.0 + truth), (8, 8), sds=(0.15, 0.15, 0.6))
            counts[compare_groups(drawn, worth_acting_on=0.3).differences[0].found] += 1
    for truth, counts in told.items():
        shares = ", ".join(f"{found.value} {count / DRAWS:.1%}" for found, count in counts.items())
        print(f"two shifts of 8 batches truly {truth:g} steps apart, 0.3 worth acting on: {shares}")
    # Alike ones are called different only where the interval lies off zero, which is stated for 1 in 20.
    assert told[0.0][Found.DIFFER] / DRAWS <= 0.065
    assert told[0.6][Found.ALIKE] / DRAWS <= 0.025


@pytest.mark.parametrize(
    ("batches", "plates", "sds", "mean"),
    [
        (10, 3, (0.2, 0.15, 0.5), 3.6),
        (5, 2, (0.3, 0.1, 0.4), 3.3),
        (20, 3, (0.0, 0.1, 0.4), 2.5),
        (4, 2, (0.3, 0.1, 0.3), 3.3),
        (10, 3, (0.2, 0.15, 0.5), 3.0),
    ],
    ids=["off centre", "few batches", "batches alike", "very few", "centred"],
)
def test_capability_holds_as_often_as_stated(batches: int, plates: int, sds: Sds, mean: float) -> None:
    within, whole = float(np.hypot(sds[1], sds[2])), float(np.sqrt(np.sum(np.square(sds))))
    room = min(mean - LOW, HIGH - mean) / 3
    truth = {
        "cp": (HIGH - LOW) / 6 / within,
        "cpk": room / within,
        "pp": (HIGH - LOW) / 6 / whole,
        "ppk": room / whole,
        "expected_outside": float(stats.norm.cdf((LOW - mean) / whole) + stats.norm.sf((HIGH - mean) / whole)),
    }
    held = dict.fromkeys(truth, 0)
    for start in range(DRAWS):
        drawn = spread(np.random.default_rng([3, start]), mean, batches=batches, plates=plates, sds=sds)
        found = capability_of(drawn, low=LOW, high=HIGH)
        for key, value in truth.items():
            interval = getattr(found, key)
            held[key] += interval.low <= value <= interval.high
    print(f"{batches} batches: " + ", ".join(f"{key} {count / DRAWS:.1%}" for key, count in held.items()))
    assert min(held.values()) / DRAWS >= 0.91

"""What charts over time are held to: how soon a change is found, how seldom they cry wolf, each printed.

Three plates of 40 fries a batch; fries of a plate scatter by 1, plates of a batch by 0.35 of that. Limits are estimated
anew from a baseline of its own in every simulation, as they are in a kitchen.
"""

from collections.abc import Sequence

import numpy as np
import pytest

from grader.arrays import FloatArray
from grader.consistency.baseline import freeze
from grader.consistency.batches import batches_of
from grader.consistency.rules import USUAL, RuleKey
from grader.consistency.watching import watch
from tests.consistency.weeks import moment, new_lot, plates_of

pytestmark = [pytest.mark.bar, pytest.mark.slow]

BASELINE = 30
"""Batches: two weeks with two a day."""
A_WEEK = 14
BOTH = frozenset({RuleKey.BEYOND, RuleKey.SLOW})


def alarms(
    rng: np.random.Generator,
    later: Sequence[float] | FloatArray,
    *,
    baseline: int = BASELINE,
    lots: Sequence[int] = (),
    rules: frozenset[RuleKey] = USUAL,
) -> np.ndarray[tuple[int, ...], np.dtype[np.bool_]]:
    """Which of the batches after a baseline stand out; `lots` are those before which a lot begins, said so."""
    plates = plates_of(np.concatenate([np.zeros(baseline), later]), rng)
    events = [new_lot(baseline + lot) for lot in lots]
    frozen = freeze(plates, "place", from_at=moment(0), to_at=moment(baseline - 1), events=events)
    starts = [baseline + lot for lot in lots]
    out = np.zeros(len(later), bool)
    for seen in watch(batches_of(plates, "place"), frozen, starts=starts, rules=rules).seen:
        if seen.at >= baseline:
            out[seen.at - baseline] = True
    return out


def weekly(rng: np.random.Generator, weeks: int) -> tuple[FloatArray, list[int]]:
    """Levels of lots that change every week, by half a standard deviation of a plate's fries, and where they begin."""
    levels = np.repeat(rng.normal(0, 0.5, weeks), A_WEEK)
    return levels, list(range(0, weeks * A_WEEK, A_WEEK))


@pytest.mark.parametrize("baseline", [20, 30, 60, 90])
def test_false_alarms_are_rare(baseline: int) -> None:
    rng = np.random.default_rng(baseline)
    told = np.concatenate([alarms(rng, np.zeros(100), baseline=baseline) for _ in range(250)])
    print(
        f"baseline of {baseline} batches: a false alarm in {1 / told.mean():.0f} batches ({told.sum()} of {told.size})"
    )
    assert told.mean() <= 1 / 200


def test_false_alarms_are_rare_where_lots_change_every_week() -> None:
    rng = np.random.default_rng(1)
    told = []
    for _ in range(250):
        levels, lots = weekly(rng, 7)
        told.append(alarms(rng, levels, lots=lots))
    out = np.concatenate(told)
    print(f"new lot every week: a false alarm in {1 / out.mean():.0f} batches ({out.sum()} of {out.size})")
    assert out.mean() <= 1 / 200


@pytest.mark.parametrize("side", [1.0, -1.0])
def test_a_step_is_found_within_two_batches(side: float) -> None:
    rng = np.random.default_rng(2)
    found = np.mean([alarms(rng, np.full(2, side), rules=BOTH).any() for _ in range(400)])
    print(f"step of {side:+.0f} within-plate sd: found within 2 batches in {100 * found:.1f} %")
    assert found >= 0.9


def test_a_step_inside_a_lot_is_found_within_two_batches() -> None:
    rng = np.random.default_rng(3)
    found = []
    for _ in range(400):
        levels, lots = weekly(rng, 2)
        levels[-2:] += 1.0
        found.append(alarms(rng, levels, lots=lots, rules=BOTH)[-2:].any())
    print(f"step of 1 within-plate sd late in a week's lot: found within 2 batches in {100 * np.mean(found):.1f} %")
    assert np.mean(found) >= 0.9


SHORT = pytest.mark.xfail(
    strict=True,
    reason="What isn't known of a short baseline costs more than the rest: with all known it would be 94 %. A lower "
    "limit would find it, and cry wolf more often than once in 200 batches; a longer baseline finds it.",
)
"""With 60 batches it is 89.5 % of 3000, too near to the bar for either a pass or a failure to mean anything."""


@pytest.mark.parametrize("baseline", [pytest.param(30, marks=SHORT), 90])
def test_a_ramp_is_found_within_six_batches(baseline: int) -> None:
    rng = np.random.default_rng(4)
    ramp = np.linspace(0.1, 0.6, 6)
    found = np.mean([alarms(rng, ramp, baseline=baseline, rules=BOTH).any() for _ in range(1500)])
    print(f"ramp of 1 sd over 10 batches, baseline of {baseline}: found within 6 in {100 * found:.1f} %")
    assert found >= 0.9

"""Run rules: what completes them, what ends a row, and how often each is wrong by chance alone."""

import numpy as np
import pytest
from scipy import stats

from grader.consistency.rules import BEYOND_SIGMAS, PLATES_APART_CHANCE, RULES, RuleKey, Seen, Side, rows_seen

ALL = frozenset(RuleKey)


def seen(away: list[float], *starts: int, on: frozenset[RuleKey] = ALL) -> list[Seen]:
    return list(rows_seen(np.array(away), starts, on))


def test_eight_on_one_side() -> None:
    (one,) = seen([0.2] * 8)
    assert (one.key, one.first, one.at, one.side) == (RuleKey.EIGHT, 0, 7, Side.HIGH)
    assert seen([0.2] * 7 + [-0.2]) == []
    assert [found.side for found in seen([-0.2] * 8)] == [Side.LOW]


def test_two_of_three_and_four_of_five() -> None:
    (one,) = seen([2.1, 0.0, 2.1])
    assert (one.key, one.first, one.at) == (RuleKey.TWO_OF_THREE, 0, 2)
    assert seen([2.1, 0.0, 0.0, 2.1]) == []
    assert seen([2.1, 0.0, -2.1]) == []
    (one,) = seen([1.1, 1.1, -0.5, 1.1, 1.1])
    assert (one.key, one.first, one.at) == (RuleKey.FOUR_OF_FIVE, 0, 4)


def test_six_rising() -> None:
    (one,) = seen([-0.5, -0.3, -0.1, 0.1, 0.3, 0.5])
    assert (one.key, one.first, one.at, one.side) == (RuleKey.SIX, 0, 5, Side.HIGH)
    assert seen([-0.5, -0.3, -0.1, 0.1, 0.1, 0.5]) == []


@pytest.mark.parametrize("start", [1, 4, 7])
def test_a_row_ends_where_a_segment_begins(start: int) -> None:
    assert seen([0.2] * 8, start) == []


def test_a_batch_without_a_level_ends_a_row() -> None:
    assert seen([0.2] * 4 + [np.nan] + [0.2] * 4) == []


def test_a_rule_that_is_off_sees_nothing() -> None:
    assert seen([0.2] * 8, on=ALL - {RuleKey.EIGHT}) == []


@pytest.mark.parametrize("key", [RuleKey.TWO_OF_THREE, RuleKey.FOUR_OF_FIVE, RuleKey.EIGHT, RuleKey.SIX])
def test_rows_come_by_chance_as_seldom_as_said(key: RuleKey) -> None:
    rng, runs = np.random.default_rng(6), []
    for _ in range(400):
        found = [one.at for one in rows_seen(rng.standard_normal(2500), (), frozenset({key}))]
        runs.append(min(found, default=2499) + 1)
    print(f"{key.value}: once in {np.mean(runs):.0f} batches, said {RULES[key].alone_once_in}")
    assert np.mean(runs) == pytest.approx(RULES[key].alone_once_in, rel=0.15)


def test_single_batches_come_by_chance_as_seldom_as_said() -> None:
    assert 1 / (2 * stats.norm.sf(BEYOND_SIGMAS)) == pytest.approx(RULES[RuleKey.BEYOND].alone_once_in, rel=0.01)
    assert RULES[RuleKey.PLATES_APART].alone_once_in == round(1 / PLATES_APART_CHANCE)

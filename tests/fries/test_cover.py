"""The cheapest cover, against trying every one."""

from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from grader.fries.cover import cheapest_cover, full_grown, worth_having
from grader.fries.shapes import Group

PIECES = 5


def every_group() -> list[Group]:
    return [frozenset(some) for size in range(1, PIECES + 1) for some in combinations(range(1, PIECES + 1), size)]


def least_by_trying(costs: dict[Group, float], left: Group) -> float:
    if not left:
        return 0.0
    first = min(left)
    return min(costs[g] + least_by_trying(costs, left - g) for g in costs if first in g and g <= left)


@settings(max_examples=25, deadline=None)
@given(st.lists(st.floats(-5, 10), min_size=2**PIECES - 1, max_size=2**PIECES - 1))
def test_nothing_is_cheaper_and_leaving_out_what_is_not_worth_having_changes_nothing(numbers: list[float]) -> None:
    costs = dict(zip(every_group(), numbers, strict=True))
    cover = cheapest_cover(costs)
    assert sorted(piece for group in cover for piece in group) == list(range(1, PIECES + 1))
    least = least_by_trying(costs, frozenset(range(1, PIECES + 1)))
    assert sum(costs[group] for group in cover) == pytest.approx(least, abs=1e-6)
    few = worth_having(costs)
    assert sum(costs[group] for group in cheapest_cover(few)) == pytest.approx(least, abs=1e-6)
    assert all(frozenset([piece]) in few for piece in range(1, PIECES + 1))


def test_a_group_that_one_more_piece_makes_cheaper_is_not_full_grown() -> None:
    one, two, both = frozenset([1]), frozenset([2]), frozenset([1, 2])
    assert full_grown({one: 6.0, two: 3.0, both: 4.0}) == [two, both]

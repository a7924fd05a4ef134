"""Of all ways to share pieces out among groups, the one that costs least: an exact cover problem, solved exactly."""

from collections.abc import Mapping

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csc_matrix

from grader.fries.shapes import Group

SECONDS = 2.0
"""As long as it is worth waiting for a plate."""
_PROFIT = 1.0
"""A group is not full grown where one more piece makes it cheaper by more than this."""


def worth_having(costs: Mapping[Group, float]) -> dict[Group, float]:
    """The groups that cost less than what is left without one of their pieces and that piece alone."""
    least: dict[Group, float] = {}
    for group in sorted(costs, key=len):
        singles = [(group - {piece}, frozenset([piece])) for piece in group]
        apart = [least[rest] + least[single] for rest, single in singles if rest in least and single in least]
        least[group] = min([costs[group], *apart])
    return {group: cost for group, cost in costs.items() if cost <= least[group]}


def full_grown(costs: Mapping[Group, float]) -> list[Group]:
    """The groups that no further piece makes cheaper."""
    short = {
        rest
        for group, cost in costs.items()
        for piece in group
        if (rest := group - {piece}) in costs and cost < costs[rest] - _PROFIT
    }
    return [group for group in costs if group not in short]


def cheapest_cover(costs: Mapping[Group, float], *, seconds: float = SECONDS) -> list[Group]:
    """Groups that hold every piece exactly once, at the least cost; the pieces themselves where time runs out."""
    groups = list(costs)
    pieces = sorted(frozenset().union(*groups))
    row = {piece: number for number, piece in enumerate(pieces)}
    rows = [row[member] for group in groups for member in group]
    columns = [column for column, group in enumerate(groups) for _ in group]
    holds = csc_matrix((np.ones(len(rows)), (rows, columns)), shape=(len(pieces), len(groups)))
    solution = milp(
        np.array([costs[group] for group in groups]),
        constraints=LinearConstraint(holds, 1, 1),
        integrality=np.ones(len(groups), np.int64),
        bounds=Bounds(0, 1),
        options={"time_limit": seconds},
    )
    if solution.x is None:
        return [frozenset([piece]) for piece in pieces]
    return [group for group, taken in zip(groups, solution.x, strict=True) if taken > 0.5]

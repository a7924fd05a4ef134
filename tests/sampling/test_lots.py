"""Which plan holds for a lot, against worked look-ups; how inspection switches, on rules that are made up."""

from collections.abc import Sequence

import pytest

from grader.sampling.lots import LotPlan, PlanNotFoundError, came_out, lettered_plan, listed_plans, next_lot
from grader.sampling.model import CameOut, Inspection, Plan, Read, Switch
from grader.sampling.reading import load_lettered, load_listed
from grader.sampling.risk import operating_curve, quality_at

A, B, R = CameOut.ACCEPTED, CameOut.BETWEEN, CameOut.REJECTED


def looked_up(lot: int, level: str, aql: float, inspection: Inspection = Inspection.NORMAL) -> LotPlan:
    return lettered_plan(load_lettered(), lot=lot, level=level, aql=aql, inspection=inspection)


@pytest.mark.parametrize(
    ("lot", "level", "aql", "letter", "n", "accept"),
    [
        (1000, "II", 2.5, "J", 80, 5),
        (1000, "II", 6.5, "J", 80, 10),
        (1000, "II", 1.0, "J", 80, 2),
        (200, "II", 4.0, "G", 32, 3),
        (200, "II", 1.0, "G", 50, 1),  # the arrow leads down to another sample
        (5000, "II", 2.5, "L", 200, 10),
        (40, "I", 6.5, "C", 8, 1),
    ],
)
def test_worked_look_ups(lot: int, level: str, aql: float, letter: str, n: int, accept: int) -> None:
    """MIL-STD-105E, Tables I and II-A, looked up by hand."""
    found = looked_up(lot, level, aql)
    assert found.plan == Plan(n=n, accept=accept, reject=accept + 1)
    assert f"letter {letter}," in found.found_at
    assert not found.whole


def test_where_the_plan_asks_for_more_than_the_lot_all_are_inspected() -> None:
    found = looked_up(10, "II", 1.0)
    assert found.whole
    assert found.plan == Plan(n=10, accept=0, reject=1)
    assert not looked_up(14, "II", 1.0).whole


def test_tightened_lets_less_through_and_reduced_draws_fewer() -> None:
    normal, tightened, reduced = (looked_up(1000, "II", 2.5, one).plan for one in list(Inspection)[:3])
    assert (tightened.n, tightened.accept) == (80, 3)
    assert (reduced.n, reduced.accept, reduced.reject) == (32, 2, 5)
    assert tightened.accept < normal.accept
    assert reduced.n < normal.n


def test_all_that_can_not_be_looked_up_is_said_at_once() -> None:
    with pytest.raises(PlanNotFoundError) as caught:
        looked_up(1, "IV", 3.0, Inspection.STOPPED)
    for said in ("lot of 1 units", "no level IV, but S-1", "no AQL 3, but 0.65", "has stopped"):
        assert said in caught.value.message


def test_a_lot_by_a_list() -> None:
    ((row, found),) = listed_plans(load_listed()["21-cfr-158-3"], lot=30_000)
    assert (row.aql, found.plan) == (6.5, Plan(n=29, accept=4, reject=5))
    assert "21 CFR 158.3" in found.found_at
    with pytest.raises(PlanNotFoundError, match="lot of 0 units"):
        listed_plans(load_listed()["21-cfr-158-3"], lot=0)


@pytest.mark.parametrize("standard", ["21-cfr-158-3", "7-cfr-42-109"])
def test_of_a_lot_smaller_than_its_plan_allows_all_are_accepted(standard: str) -> None:
    """Inspected whole, with as many allowed as it holds: no quality is rejected."""
    for _, found in listed_plans(load_listed()[standard], lot=2):
        assert found.whole
        assert found.plan.accept <= 2
        assert found.plan.reject <= 3
        assert quality_at(found.plan, 0.1) == 1 or found.plan.reject <= 2
        assert operating_curve(found.plan, 2).accepted[0] == 1


def test_what_becomes_of_a_lot() -> None:
    reduced = Plan(n=32, accept=2, reject=5)
    assert [came_out(reduced, found) for found in (0, 2, 3, 4, 5, 32)] == [A, A, B, B, R, R]
    for found in (-1, 33):
        with pytest.raises(PlanNotFoundError, match="can't be found among 32"):
            came_out(reduced, found)


_READ = Read(mark="MEMORY", source="made up")


def rule(leave: str, enter: str, came: CameOut | None, lots: int, of: int) -> Switch:
    return Switch(
        leave=Inspection(leave),
        enter=Inspection(enter),
        came_out=came or "any",
        lots=lots,
        of=of,
        also="",
        read=_READ,
    )


RULES = (
    rule("normal", "tightened", R, 2, 4),
    rule("normal", "reduced", A, 3, 3),
    rule("tightened", "normal", A, 2, 2),
    rule("tightened", "stopped", None, 4, 4),
    rule("reduced", "normal", R, 1, 1),
    rule("reduced", "normal", B, 1, 1),
)
"""Made up: the standard's own are from memory."""


@pytest.mark.parametrize(
    ("past", "agreed", "now"),
    [
        ([], False, "normal"),
        ([R, A, A, R], False, "tightened"),
        ([R, A, A, A, R], False, "normal"),  # the first has left the last four
        ([R, R, A, A], False, "normal"),
        ([R, R, A, R, A], False, "tightened"),
        ([R, R, A, R, A, R], False, "stopped"),
        ([R, R, A, R, A, A], False, "normal"),  # what lets go counts before what stops
        ([R, R, A, A, R], False, "normal"),  # rejections of before don't count again
        ([A, A, A], False, "normal"),
        ([A, A, A], True, "reduced"),
        ([A, A, A, A, A], True, "reduced"),
        ([A, A, A, B], True, "normal"),
        ([A, A, A, R], True, "normal"),
    ],
)
def test_inspection_switches(past: Sequence[CameOut], agreed: bool, now: str) -> None:
    assert next_lot(RULES, past, reduced_agreed=agreed).inspection == now


def test_reduced_inspection_is_offered_and_not_taken() -> None:
    offered = next_lot(RULES, [A, A, A])
    assert offered.offered is not None
    assert offered.offered.enter is Inspection.REDUCED
    assert next_lot(RULES, [A, A]).offered is None
    taken = next_lot(RULES, [A, A, A], reduced_agreed=True)
    assert taken.by is not None
    assert taken.by.enter is Inspection.REDUCED


def test_the_standard_s_rules_are_complete() -> None:
    """No check of their numbers, which are from memory: every inspection can be left, but for a stop."""
    rules = load_lettered().switching
    assert {one.leave for one in rules} == set(Inspection) - {Inspection.STOPPED}
    assert {one.enter for one in rules} == set(Inspection)

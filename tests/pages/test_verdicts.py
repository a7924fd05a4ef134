from dataclasses import replace

from grader.decision import by_gravity
from grader.decision.model import Outcome
from grader.drawing.signs import SIGNS, spoken
from grader.pages.components.verdicts import reasons_that_matter
from tests.records import made_up


def test_failures_come_first_and_the_surest_of_them_leads() -> None:
    sure = replace(made_up.limit("a", Outcome.FAIL), probability=0.01)
    less = replace(made_up.limit("b", Outcome.FAIL), probability=0.04)
    limits = (made_up.limit("c"), made_up.limit("d", Outcome.UNDECIDED), less, sure)
    assert [limit.key for limit in by_gravity(limits)] == ["a", "b", "d", "c"]


def test_what_could_not_be_measured_does_not_upset_the_order() -> None:
    blind = replace(made_up.limit("x", Outcome.UNDECIDED), probability=float("nan"))
    limits = (made_up.limit("c"), blind, made_up.limit("d", Outcome.UNDECIDED), made_up.limit("a", Outcome.FAIL))
    assert [limit.key for limit in by_gravity(limits)] == ["a", "x", "d", "c"]


def test_two_reasons_of_the_verdicts_own_kind() -> None:
    limits = (*(made_up.limit(key, Outcome.FAIL) for key in "abc"), made_up.limit("d", Outcome.UNDECIDED))
    verdict = replace(made_up.verdict(Outcome.FAIL), limits=limits)
    assert reasons_that_matter(verdict) == ["Why a came out as fail.", "Why b came out as fail."]
    assert reasons_that_matter(None) == []


def test_a_reason_that_limits_share_is_told_once() -> None:
    undecided = [made_up.limit(key, Outcome.UNDECIDED) for key in "abc"]
    alike = tuple(replace(limit, reason="Nothing could be counted.") for limit in undecided[:2])
    verdict = replace(made_up.verdict(Outcome.UNDECIDED), limits=(*alike, undecided[2]))
    assert reasons_that_matter(verdict) == ["Nothing could be counted.", undecided[2].reason]


def test_of_what_is_undecided_the_reason_that_the_advice_is_for_stands_first() -> None:
    stuck = [replace(made_up.limit(key, Outcome.UNDECIDED), probability=0.2, more_plates=None) for key in "ab"]
    helped = replace(made_up.limit("c", Outcome.UNDECIDED), probability=0.8, more_plates=3)
    verdict = replace(made_up.verdict(Outcome.UNDECIDED), limits=(*stuck, helped))
    assert reasons_that_matter(verdict) == [helped.reason, stuck[0].reason]


def test_a_pass_says_where_it_was_nearest_to_a_limit() -> None:
    near = replace(made_up.limit("near"), probability=0.955)
    verdict = replace(made_up.verdict(), limits=(made_up.limit("far"), near))
    assert reasons_that_matter(verdict) == ["Nearest to its limit: Why near came out as pass."]


def test_the_headline_does_not_repeat_the_word() -> None:
    assert spoken("Fail: too dark.", SIGNS[Outcome.FAIL]) == "Too dark."
    assert spoken("Can't tell yet about length: lay them flat.", SIGNS[Outcome.UNDECIDED]).startswith("Can't tell")

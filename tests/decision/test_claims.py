"""Release or claim: the same plates, another question."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from grader.decision import LimitDecision, Outcome, PlatesApart, Question, Terms, Verdict, judge_batch, judge_plate
from grader.fries.model import Fry
from grader.standard import Standard

Make = Callable[..., Fry]
CLAIM = Terms(question=Question.CLAIM)


def limit(verdict: Verdict, key: str) -> LimitDecision:
    return next(decision for decision in verdict.limits if decision.key == key)


def plates_at(make: Make, place: float, *, plates: int = 3, between: float = 0.1, number: int = 3) -> list[list[Fry]]:
    rng = np.random.default_rng(number)
    levels = place + between * rng.normal(size=plates)
    return [
        [make(place=float(rng.normal(level, 0.3)), shared_u=(0.3, 0.2, 0.3)) for _ in range(36)] for level in levels
    ]


def test_what_is_clearly_off_is_a_fault_for_both(make: Make, standard: Standard) -> None:
    plates = plates_at(make, standard.scale.target_to + 1.5)
    release, claim = judge_batch(plates, standard), judge_batch(plates, standard, CLAIM)
    assert limit(release, "colour").outcome is limit(claim, "colour").outcome is Outcome.FAIL
    assert release.headline.startswith("Fail: too dark")
    assert claim.headline.startswith("Fault proven: too dark")
    assert (release.terms.question, claim.terms.question) == (Question.RELEASE, Question.CLAIM)


def test_a_claim_leaves_open_what_a_kitchen_would_reject(make: Make, standard: Standard) -> None:
    """Four tenths of a step beyond the target, three plates: enough to hold a batch back, too little to blame."""
    plates = plates_at(make, standard.scale.target_to + 0.4)
    assert limit(judge_batch(plates, standard), "colour").outcome is Outcome.FAIL
    claim = judge_batch(plates, standard, CLAIM)
    assert limit(claim, "colour").outcome is Outcome.UNDECIDED
    assert "Not proven either way whether it is too dark" in limit(claim, "colour").reason
    assert "claim: pass from 0.975, fail to 0.025" in limit(claim, "colour").arithmetic


def test_a_claim_needs_two_plates_and_says_so(make: Make, standard: Standard) -> None:
    (plate,) = plates_at(make, standard.scale.target_to + 1.5, plates=1)
    verdict = judge_plate(plate, standard, CLAIM)
    colour = limit(verdict, "colour")
    assert verdict.outcome is Outcome.UNDECIDED
    assert {one.outcome for one in verdict.limits} == {Outcome.UNDECIDED}
    assert "one plate doesn't tell how far they differ" in colour.reason
    assert colour.remedy == "Photograph 1 more plate."
    assert colour.measured == pytest.approx(standard.scale.target_to + 1.5, abs=0.4)
    assert np.isnan(colour.u)
    assert verdict.headline.startswith("Not proven either way about colour")


def test_a_claim_asks_the_lots_own_plates_and_nothing_else(make: Make, standard: Standard) -> None:
    plates = plates_at(make, 3.8)
    wide = PlatesApart(colour_steps=2.0, correlation=0.5, freedom=50.0, plates=40)
    usual, apart = (judge_batch(plates, standard, replace(CLAIM, apart=one)) for one in (CLAIM.apart, wide))
    for key in ("colour", "length_50.8", "short"):
        assert limit(usual, key) == limit(apart, key)
    release = judge_batch(plates, standard, Terms(apart=wide))
    assert limit(release, "colour").u > 3 * limit(usual, "colour").u
    assert "from 40 plates of the house's own" in limit(release, "colour").arithmetic


def test_plates_that_differ_prove_less(make: Make, standard: Standard) -> None:
    place = standard.scale.target_to + 1.0
    alike, apart = (plates_at(make, place, between=between, number=5) for between in (0.02, 0.9))
    assert limit(judge_batch(alike, standard, CLAIM), "colour").outcome is Outcome.FAIL
    assert limit(judge_batch(apart, standard, CLAIM), "colour").outcome is Outcome.UNDECIDED


def test_a_plate_of_a_single_fry_proves_nothing_against_a_good_lot(make: Make, standard: Standard) -> None:
    middle = (standard.scale.target_from + standard.scale.target_to) / 2
    (plate,) = plates_at(make, middle, plates=1)
    colour = limit(judge_batch([plate, [make(place=middle + 0.3)]], standard, CLAIM), "colour")
    assert colour.outcome is not Outcome.FAIL
    assert colour.high - colour.low < 10
    assert "with 1.0 degrees of freedom" in colour.arithmetic


def test_short_pieces_on_few_plates_or_on_many(make: Make, standard: Standard) -> None:
    """More than twice the short pieces allowed: three plates alike prove it, three of which one holds most don't."""

    def plate(short: int) -> list[Fry]:
        return [make(length_mm=30.0) for _ in range(short)] + [make() for _ in range(36 - short)]

    alike, lopsided = ([plate(n) for n in counts] for counts in ((21, 20, 19), (12, 36, 12)))
    assert limit(judge_batch(alike, standard, CLAIM), "short").outcome is Outcome.FAIL
    assert limit(judge_batch(lopsided, standard, CLAIM), "short").outcome is Outcome.UNDECIDED
    assert "Korn and Graubard" in limit(judge_batch(alike, standard, CLAIM), "short").arithmetic


def test_more_plates_are_asked_for_where_they_would_prove_it(make: Make, standard: Standard) -> None:
    plates = plates_at(make, standard.scale.target_to + 0.4)
    more = limit(judge_batch(plates, standard, CLAIM), "colour").more_plates
    assert more is not None
    assert more > 0
    assert f"Photograph {more} more plate" in limit(judge_batch(plates, standard, CLAIM), "colour").remedy


def test_a_good_lot_of_three_plates_can_be_cleared_of_a_claim(make: Make, standard: Standard) -> None:
    verdict = judge_batch(plates_at(make, 3.8, between=0.02), standard, CLAIM)
    assert limit(verdict, "colour").outcome is Outcome.PASS
    assert Outcome.FAIL not in {one.outcome for one in verdict.limits}


@pytest.mark.parametrize("question", Question)
def test_the_interval_holds_what_was_measured_and_narrows_with_plates(
    make: Make, standard: Standard, question: Question
) -> None:
    terms = Terms(question=question)
    few, many = (judge_batch(plates_at(make, 3.8, plates=plates), standard, terms) for plates in (3, 9))
    for key in ("colour", "spread", "out_of_target", "length_76.2"):
        one, other = limit(few, key), limit(many, key)
        assert one.low <= one.measured <= one.high, key
        assert other.high - other.low < one.high - one.low, key

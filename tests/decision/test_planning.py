"""How many plates are needed: what the calculator says against batches that are drawn and judged."""

import numpy as np
import pytest
from scipy.stats import norm

from grader.decision import USUAL, Outcome, Question, Terms
from grader.decision.colour import judge_mean_colour
from grader.decision.limits import length_question
from grader.decision.planning import PLATES_AT_MOST, ColourCase, plates_needed
from grader.decision.share_planning import ShareCase
from grader.decision.shares import judge_share
from grader.standard import Standard
from tests.decision.drawn import Drawn, draw

CLAIM = Terms(question=Question.CLAIM)
RUNS = 500


def colour(terms: Terms = USUAL, **given: float) -> ColourCase:
    known = {"target_from": 2.9, "target_to": 4.7, "between": 0.15, "within": 0.4, "shared": 0.1} | given
    return ColourCase(fries=36, terms=terms, **known)


def shares(terms: Terms = USUAL, *, correlation: float = 0.01) -> ShareCase:
    return ShareCase(sense="at least", limit=0.8, fries=36, correlation=correlation, terms=terms)


def at(case: ColourCase, plates: int, place: float) -> tuple[float, float]:
    told = case.chances(plates, np.array([place]))
    return float(told.passes[0]), float(told.fails[0])


def near(share: float, told: float) -> bool:
    return bool(abs(share - told) < 3.5 * np.sqrt(max(told * (1 - told), 0.01) / RUNS) + 0.01)


@pytest.mark.parametrize(("terms", "plates"), [(USUAL, 1), (USUAL, 3), (CLAIM, 3), (CLAIM, 6)])
@pytest.mark.parametrize("place", [4.35, 4.7, 5.2])
def test_batches_that_are_judged_come_out_as_often(standard: Standard, terms: Terms, plates: int, place: float) -> None:
    drawn, rng = Drawn(plates=plates, place=place, own_u=0.0), np.random.default_rng(plates)
    came = [judge_mean_colour(draw(drawn, rng), standard, terms).outcome for _ in range(RUNS)]
    passes, fails = at(colour(terms), plates, place)
    assert near(came.count(Outcome.PASS) / RUNS, passes)
    assert near(came.count(Outcome.FAIL) / RUNS, fails)


@pytest.mark.parametrize(("terms", "plates"), [(USUAL, 2), (USUAL, 4), (CLAIM, 4), (CLAIM, 8)])
@pytest.mark.parametrize("share", [0.6, 0.8, 0.9])
def test_shares_that_are_judged_come_out_as_often(terms: Terms, plates: int, share: float) -> None:
    drawn, rng = Drawn(plates=plates, long_share=share), np.random.default_rng(plates)
    told = shares(terms).chances(plates, np.array([share]), rng)
    came = []
    for _ in range(RUNS):
        pieces = draw(drawn, rng)
        question = length_question(pieces, 60.0, sense="at least", limit=0.8)
        came.append(judge_share(question, pieces, terms).outcome)
    assert near(came.count(Outcome.PASS) / RUNS, float(told.passes[0]))
    assert near(came.count(Outcome.FAIL) / RUNS, float(told.fails[0]))


def test_of_one_normal_doubt_it_is_the_textbook_s() -> None:
    """All is known for sure, and the other limit far away: it passes where measured 1.2816 u inside."""
    case = colour(shared=0.2, between=0.0, within=0.0, target_from=-50.0)
    for off in (-2.0, 0.0, 1.0):
        passes, fails = at(case, 3, 4.7 + 0.2 * off)
        assert passes == pytest.approx(norm.cdf(-off - 1.2816), abs=1e-4)
        assert fails == pytest.approx(norm.sf(1.2816 - off), abs=1e-4)


@pytest.mark.parametrize("terms", [USUAL, CLAIM])
def test_a_lot_right_on_the_limit_is_decided_wrongly_no_more_often_than_the_levels_say(terms: Terms) -> None:
    for plates in (2, 3, 5, 12):
        passes, fails = at(colour(terms), plates, 4.7)
        assert passes <= 1 - terms.levels.pass_from + 1e-6
        assert fails <= terms.levels.fail_to + 1e-6


def test_more_plates_decide_more_and_the_shared_doubt_stays() -> None:
    few, many, endless = (at(colour(), plates, 4.4)[0] for plates in (1, 5, 10_000))
    assert few < many < endless
    sure = at(colour(between=0.0, within=0.0), 1, 4.4)[0]
    assert endless == pytest.approx(sure, abs=0.01)


def test_plates_needed_are_the_fewest() -> None:
    needed = plates_needed(lambda plates: at(colour(), plates, 4.4)[0], 0.8)
    assert needed.plates is not None
    assert at(colour(), needed.plates, 4.4)[0] == needed.chance >= 0.8
    assert at(colour(), needed.plates - 1, 4.4)[0] < 0.8


def test_what_no_number_of_plates_reaches_is_told() -> None:
    needed = plates_needed(lambda plates: at(colour(shared=0.4), plates, 4.4)[0], 0.9)
    assert needed.plates is None
    assert needed.chance == at(colour(shared=0.4), PLATES_AT_MOST, 4.4)[0]


def test_a_target_too_narrow_for_the_doubt_never_passes() -> None:
    assert at(colour(target_from=4.0, target_to=4.1), 3, 4.05)[0] == 0


def test_one_plate_decides_no_claim() -> None:
    assert at(colour(CLAIM), 1, 9.0) == (0, 0)
    told = shares(CLAIM).chances(1, np.array([0.1]), np.random.default_rng(1))
    assert (told.passes[0], told.fails[0]) == (0, 0)


def test_fries_that_are_more_alike_than_taken_for_pass_wrongly_more_often() -> None:
    """What the rule doesn't know of it pays for."""
    rng, limit = np.random.default_rng(2), np.array([0.8])
    alone, alike = (float(shares(correlation=r).chances(6, limit, rng).passes[0]) for r in (0.0, 0.2))
    assert alike > 2 * alone


def test_a_better_lot_passes_more_often() -> None:
    told = shares().chances(3, np.linspace(0, 1, 21), np.random.default_rng(3))
    assert np.all(np.diff(told.passes) >= -1e-12)
    assert np.all(np.diff(told.fails) <= 1e-12)
    assert (told.passes[-1], told.fails[0]) == (pytest.approx(1), pytest.approx(1))


def test_where_nothing_scatters_a_lot_on_the_limit_is_decided_as_rarely_wrong_as_ever() -> None:
    case = ColourCase(target_from=3, target_to=4, between=0, within=0, shared=0, fries=36, terms=Terms())
    told = case.chances(1, np.array([3.5, 4.0, 4.5]))
    assert told.passes == pytest.approx([1, 0.1, 0], abs=0.002)
    assert told.fails == pytest.approx([0, 0.1, 1], abs=0.002)

"""An error that all sizes of a photo share doesn't average out over its fries."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.special import ndtr
from scipy.stats import norm

from grader.decision import USUAL
from grader.decision.limits import length_question
from grader.decision.pieces import Pieces
from grader.decision.shares import expected_share, known_share
from grader.decision.sizes import Sizes, size_columns
from grader.fries.model import Measured
from tests.decision.drawn import Drawn, columns

LIMIT_MM = 50.8
MEAN_MM, SD_MM, SHARED = 60.0, 10.0, 0.02


def test_own_and_shared_make_up_the_whole() -> None:
    sizes = size_columns([Measured(value=50.0, u=0.5, shared_u=0.3), None, Measured(value=70.0, u=0.6)])
    assert sizes.own_u == pytest.approx([0.4, np.nan, 0.6], nan_ok=True)
    assert sizes.shared_u == pytest.approx([0.3, np.nan, 0.0], nan_ok=True)
    assert sizes.known.tolist() == [True, False, True]


def test_a_doubt_that_is_all_shared_leaves_a_little_of_its_own() -> None:
    """Else a fry right at a limit would divide nothing by nothing."""
    assert size_columns([Measured(value=50.0, u=0.3, shared_u=0.3)]).below(50.0) == pytest.approx([0.5])


@pytest.mark.parametrize("shared_u", [0.2, 0.6, 2.0])
def test_cases_add_up_to_what_an_integral_over_the_error_gives(shared_u: float) -> None:
    """The share of many lengths, and its square: mean and variance of what the error does to it. SciPy's `quad`."""
    mm = np.linspace(30.0, 90.0, 241)
    sizes = Sizes(mm=mm, own_u=np.full(241, 0.5), shared_u=np.full(241, shared_u))

    def share(error: float) -> float:
        return float(sizes.below(LIMIT_MM, error).mean())

    cases = sizes.scenarios(lambda error: sizes.below(LIMIT_MM, error))
    assert sum(weight for weight, _ in cases) == pytest.approx(1)
    for power in (1, 2):
        by_quad = quad(lambda error, power=power: norm.pdf(error) * share(error) ** power, -8, 8)[0]
        assert sum(weight * chances.mean() ** power for weight, chances in cases) == pytest.approx(by_quad, rel=1e-4)


def test_one_case_where_nothing_is_shared() -> None:
    sizes = size_columns([Measured(value=50.0, u=0.5)])
    assert len(sizes.scenarios(lambda error: sizes.below(LIMIT_MM, error))) == 1


def drawn_lengths(rng: np.random.Generator) -> Pieces:
    """Ten plates of forty fries, all of them measured too long, or too short, by one factor."""
    batch = Drawn(plates=10, fries=40, length_u=0.5, length_shared=SHARED)
    true_mm = rng.normal(MEAN_MM, SD_MM, 400)
    read_mm = true_mm * (1 + SHARED * rng.normal()) + 0.5 * rng.normal(size=400)
    return columns(np.repeat(np.arange(10), 40), place=np.full(400, 3.8), length_mm=read_mm, drawn=batch)


def held(batches: list[Pieces], true_share: float) -> float:
    inside = []
    for pieces in batches:
        known = known_share(length_question(pieces, LIMIT_MM, sense="at least", limit=0.5), pieces, USUAL)
        assert known is not None
        inside.append(known.quantile(0.025) <= true_share <= known.quantile(0.975))
    return float(np.mean(inside))


def taken_as_own(pieces: Pieces) -> Pieces:
    length = pieces.length
    both = np.hypot(length.own_u, length.shared_u)
    return replace(pieces, length=Sizes(mm=length.mm, own_u=both, shared_u=np.zeros(len(both))))


def test_intervals_of_shares_hold_where_a_whole_batch_reads_long_or_short() -> None:
    """400 simulated batches: with the error taken as each fry's own, as if it averaged out, they would not."""
    rng = np.random.default_rng(8)
    batches = [drawn_lengths(rng) for _ in range(400)]
    true_share = float(ndtr((MEAN_MM - LIMIT_MM) / SD_MM))
    assert held(batches, true_share) >= 0.93
    assert held([taken_as_own(pieces) for pieces in batches], true_share) < 0.93


def test_the_expected_share_stays_as_it_was() -> None:
    pieces = drawn_lengths(np.random.default_rng(1))
    shares = [
        expected_share(length_question(one, LIMIT_MM, sense="at least", limit=0.5), one)
        for one in (pieces, taken_as_own(pieces))
    ]
    assert shares[0] == pytest.approx(shares[1], abs=0.003)

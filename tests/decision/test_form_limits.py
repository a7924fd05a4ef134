"""Limits that a standard may leave out: scraps, crumbs, curved fries, torn ends; and length shares of mass."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from scipy.stats import binom

from grader.decision import LimitDecision, Outcome, Verdict, judge_batch, judge_plate
from grader.decision.counting import evenness, mass_distribution
from grader.decision.words import LAY_FLAT
from grader.fries.model import Fry
from grader.standard import LengthShare, Standard

Make = Callable[..., Fry]


def limit(verdict: Verdict, key: str) -> LimitDecision:
    return next(decision for decision in verdict.limits if decision.key == key)


@pytest.fixture
def asking(standard: Standard) -> Standard:
    """A standard that states every limit that may be left out."""
    limits = replace(
        standard.limits,
        length_shares=(
            LengthShare(length_mm=50.8, at_least_share=0.6),
            LengthShare(length_mm=50.8, length_in=2.0, at_least_share=0.6, by="mass"),
        ),
        curved_share_at_most=0.2,
        torn_end_share_at_most=0.2,
        crumb_share_at_most=0.2,
    )
    return replace(standard, limits=limits)


def test_what_a_standard_leaves_out_is_not_judged(make: Make, standard: Standard, asking: Standard) -> None:
    plate = [make() for _ in range(20)]
    bare = replace(standard, limits=replace(standard.limits, scrap_share_at_most=None))
    more = {"scrap", "crumb", "curved", "torn_end", "length_50.8_by_mass"}
    assert not {d.key for d in judge_plate(plate, bare).limits} & more
    assert {d.key for d in judge_plate(plate, asking).limits} >= more
    assert judge_batch([plate] * 3, asking).outcome is Outcome.PASS


def test_each_is_counted_by_its_definition(make: Make, asking: Standard) -> None:
    plate = [
        *(make() for _ in range(20)),
        *(make(length_mm=20.0) for _ in range(3)),
        *(make(bow_share=0.15) for _ in range(4)),
        *(make(end_gaps_mm=(0.1, 4.0)) for _ in range(2)),
        *(make(end_gaps_mm=(4.0, 0.3)) for _ in range(3)),
        *(make(end_gaps_mm=(None, 4.0)) for _ in range(2)),
        *(make(bow_share=None) for _ in range(2)),
        *(make(length_mm=7.0) for _ in range(5)),
    ]
    verdict = judge_plate(plate, asking)
    for key, count, of in (("scrap", 3, 36), ("curved", 4, 34), ("torn_end", 5, 34), ("crumb", 5, 41)):
        decision = limit(verdict, key)
        assert decision.counted == of, key
        assert decision.measured * of == pytest.approx(count, abs=0.02), key
    assert limit(verdict, "short").measured * 36 == pytest.approx(3, abs=0.01)
    assert limit(verdict, "crumb").left_out == 0
    assert "of all pieces found" in limit(verdict, "crumb").reason
    assert verdict.fries_left_out == 5


def test_at_its_threshold_a_fry_is_half_of_each(make: Make, asking: Standard) -> None:
    plate = [make(bow_share=0.1, end_gaps_mm=(1.5, 0.0)) for _ in range(30)]
    verdict = judge_plate(plate, asking)
    assert limit(verdict, "curved").measured == pytest.approx(0.5)
    assert limit(verdict, "torn_end").measured == pytest.approx(0.5)


def test_ends_that_do_not_show_leave_torn_ends_undecided(make: Make, asking: Standard) -> None:
    plate = [make(end_gaps_mm=(None, 0.1)) for _ in range(25)] + [make() for _ in range(12)]
    torn = limit(judge_plate(plate, asking), "torn_end")
    assert (torn.counted, torn.left_out, torn.outcome) == (12, 25, Outcome.UNDECIDED)
    assert torn.remedy == LAY_FLAT


def test_a_share_of_mass_counts_what_fries_weigh(make: Make, asking: Standard) -> None:
    plate = [make(length_mm=90.0, mass_g=9.0) for _ in range(20)] + [
        make(length_mm=40.0, mass_g=3.0) for _ in range(20)
    ]
    verdict = judge_plate(plate, asking)
    assert limit(verdict, "length_50.8").measured == pytest.approx(0.5)
    told = limit(verdict, "length_50.8_by_mass")
    assert told.measured == pytest.approx(0.75)
    assert told.title == "Fries of 50.8 mm (2 in) or longer, by estimated mass"
    assert "75 % of the fries' estimated mass" in told.reason
    assert "180.0 of 240.0 g" in told.arithmetic
    assert "cancels" in told.arithmetic


@given(st.floats(0.3, 3.0))
@settings(max_examples=10, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
def test_an_error_that_all_masses_share_cancels(make: Make, asking: Standard, factor: float) -> None:
    def told(by: float) -> LimitDecision:
        lengths = [90.0, 60.0, 40.0, 30.0, 52.0] * 6
        weighed = make().mass_g
        assert weighed is not None
        plate = [
            replace(make(length_mm=mm), mass_g=replace(weighed, value=by * mm / 10, own_u=by * mm / 100))
            for mm in lengths
        ]
        return limit(judge_plate(plate, asking), "length_50.8_by_mass")

    one, other = told(1.0), told(factor)
    assert one.measured == pytest.approx(other.measured, abs=1e-9)
    assert one.probability == pytest.approx(other.probability, abs=1e-3)


def test_fries_without_a_mass_are_left_out_of_a_share_of_mass_only(make: Make, asking: Standard) -> None:
    plate = [make() for _ in range(20)] + [make(mass_g=None) for _ in range(4)]
    verdict = judge_plate(plate, asking)
    assert limit(verdict, "length_50.8").left_out == 0
    assert limit(verdict, "length_50.8_by_mass").left_out == 4


# --- counting by mass ---


def test_equal_masses_count_as_fries_do() -> None:
    """64 equal fries make 2048 steps evenly: then a share of mass is one by count, binomial (`scipy.stats`)."""
    parts = mass_distribution(np.full(64, 0.3), np.full(64, 5.0))
    np.testing.assert_allclose(parts[:: 2048 // 64], binom.pmf(np.arange(65), 64, 0.3), atol=1e-12)
    assert parts.sum() == pytest.approx(1)


@given(st.integers(0, 2**32 - 1), st.integers(3, 12))
def test_a_share_of_mass_is_that_of_all_ways_added_up(number: int, fries: int) -> None:
    """Every subset of few fries, one by one."""
    rng = np.random.default_rng(number)
    p, masses = rng.uniform(0, 1, fries), rng.uniform(1, 10, fries)
    which = (np.arange(2**fries)[:, None] >> np.arange(fries)) & 1
    chance = np.prod(np.where(which, p, 1 - p), axis=1)
    share = which @ masses / masses.sum()
    parts = mass_distribution(p, masses)
    for below in (0.25, 0.5, 0.8):
        at = int(below * (len(parts) - 1))
        exact = [float(chance[share <= below + off].sum()) for off in (-0.01, 0.01)]
        assert exact[0] - 1e-9 <= parts[: at + 1].sum() <= exact[1] + 1e-9


def test_many_open_fries_are_nearly_normal() -> None:
    rng = np.random.default_rng(2)
    p, masses = rng.uniform(0.2, 0.8, 700), rng.uniform(3, 9, 700)
    parts = mass_distribution(p, masses)
    at = np.arange(len(parts)) / (len(parts) - 1)
    mean = float(parts @ at)
    assert mean == pytest.approx(float(p @ masses / masses.sum()), abs=1e-3)
    sd = float(np.sqrt((masses**2) @ (p * (1 - p))) / masses.sum())
    assert float(np.sqrt(parts @ (at - mean) ** 2)) == pytest.approx(sd, rel=0.02)


def test_unequal_and_unsure_masses_tell_less() -> None:
    """Of n draws with masses of two sizes, n_e = (sum m)**2 / sum m**2: 20 of 1 g and 20 of 3 g are as 32."""
    sure = np.zeros(40)
    masses = np.repeat([1.0, 3.0], 20)
    assert evenness(np.ones(40), sure) == pytest.approx(1)
    assert 40 * evenness(masses, sure) == pytest.approx(32)
    assert evenness(masses, sure + 0.5) == pytest.approx(0.8 / 1.25)


def test_the_doubt_of_a_share_of_mass_is_that_of_simulated_plates(make: Make, asking: Standard) -> None:
    """Fries drawn one by one, each weighed with 12 % of error: the shares scatter as much as is stated, or less."""
    rng = np.random.default_rng(8)
    weighed = make().mass_g
    assert weighed is not None
    told = []
    for _ in range(150):
        lengths = np.where(rng.random(40) < 0.6, 90.0, 35.0)
        masses = lengths / 10 * rng.normal(1, 0.12, 40)
        plate = [
            replace(make(length_mm=float(mm)), mass_g=replace(weighed, value=float(g), own_u=0.12 * float(g)))
            for mm, g in zip(lengths, masses, strict=True)
        ]
        told.append(limit(judge_plate(plate, asking), "length_50.8_by_mass"))
    scatter = float(np.std([one.measured for one in told]))
    assert scatter <= float(np.median([one.u for one in told])) <= 1.8 * scatter

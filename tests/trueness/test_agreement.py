"""Bias and limits of agreement: published worked examples, and how often their limits hold the truth."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from scipy import stats

from grader.fries.model import Measured
from grader.trueness.agreement import Agreement, agreement_of, bias_interval, e_n, limits_of_agreement
from grader.trueness.components import fit_components
from grader.trueness.model import Compared, Quantity
from tests.trueness.made_up import LIGHTS, Off, kit, readings

# Bland & Altman, Lancet 327 (1986) 307, table 1: peak flow of 17 subjects, first reading of each of two meters, l/min.
WRIGHT = (494, 395, 516, 434, 476, 557, 413, 442, 650, 433, 417, 656, 267, 478, 178, 423, 427)
MINI = (512, 430, 520, 428, 500, 600, 364, 380, 658, 445, 432, 626, 260, 477, 259, 350, 451)


def test_the_worked_example_of_1986() -> None:
    # There: mean -2.1, standard deviation 38.8, limits of agreement with two standard deviations -79.7 and 75.5;
    # 95 % interval of the lower limit -114.3 to -45.1.
    components = fit_components(np.array(WRIGHT, float) - np.array(MINI), [])
    bias, bias_u = bias_interval(components, reference_u=0.0)
    lower, upper = limits_of_agreement(components, bias)
    sd = (upper.value - lower.value) / 2 / stats.norm.ppf(0.975)
    assert bias.value == pytest.approx(-2.1, abs=0.05)
    assert sd == pytest.approx(38.8, abs=0.05)
    assert bias.value - 2 * sd == pytest.approx(-79.7, abs=0.1)
    assert bias.value + 2 * sd == pytest.approx(75.5, abs=0.1)
    assert bias_u == pytest.approx(sd / 17**0.5)
    # Theirs is the same to either side; one that follows chi-square reaches farther out than in.
    assert lower.low < -114.3 + 5
    assert lower.high == pytest.approx(-45.1, abs=10)
    assert lower.value - lower.low > lower.high - lower.value


def test_the_worked_example_of_2007() -> None:
    # J. Biopharm. Stat. 17 (2007) 571: bias 0.6021667, limits of agreement -1.3394565 and 2.5437899.
    table = np.loadtxt(Path(__file__).parent / "ejection_2007.csv", delimiter=",", skiprows=1)
    components = fit_components(table[:, 1] - table[:, 2], [table[:, 0].astype(np.int64)])
    bias, _ = bias_interval(components, reference_u=0.0)
    lower, upper = limits_of_agreement(components, bias)
    assert bias.value == pytest.approx(0.6021667, abs=5e-8)
    # The paper multiplies by 1.96, this program by the quantile itself.
    assert lower.value == pytest.approx(-1.3394565, abs=5e-5)
    assert upper.value == pytest.approx(2.5437899, abs=5e-5)


def test_e_n_as_dataplot_works_it_out() -> None:
    # NIST, Dataplot reference manual, "ISO 13528 EN SCORE": (1.006 - 1) / sqrt(0.009^2 + u^2) = 0.393 and
    # (0.996 - 1) / ... = -0.262: expanded uncertainties, printed to three decimals.
    expanded = 0.006 / 0.393
    scores = e_n(np.array([0.006, -0.004]), np.array([expanded, expanded]) / 2)
    assert scores == pytest.approx([0.393, -0.262], abs=0.001)


def test_the_references_own_doubt_does_not_shrink_with_the_pieces() -> None:
    components = fit_components(np.random.default_rng(1).normal(0, 1, 400), [])
    bias, bias_u = bias_interval(components, reference_u=0.5)
    assert bias_u == pytest.approx(0.5, rel=0.01)
    assert bias.high - bias.value == pytest.approx(0.98, rel=0.02)


def test_a_known_bias_is_found_and_where_it_comes_from() -> None:
    rng = np.random.default_rng(4)
    off = Off(bias=0.8, pieces=0.5, photos=0.6, rest=0.3)
    agreement = agreement_of(readings(kit(bars=40), off, rng, only=["length_mm"]))
    assert agreement.bias.low < 0.8 < agreement.bias.high
    assert agreement.sd_pieces == pytest.approx(0.5, rel=0.25)
    assert agreement.sd_rest == pytest.approx(0.3, rel=0.15)
    assert agreement.sd == pytest.approx(
        np.hypot(np.hypot(agreement.sd_pieces, agreement.sd_photos), agreement.sd_rest)
    )
    assert (agreement.readings, agreement.pieces, agreement.photos) == (40 * 6, 40, 6)


def _simulated(off: Off, quantity: Quantity, *, runs: int, number: int) -> list[Agreement]:
    rng = np.random.default_rng(number)
    planned = kit(bars=20, chips=12)
    return [agreement_of(readings(planned, off, rng, only=[quantity])) for _ in range(runs)]


@pytest.mark.parametrize(
    ("off", "quantity"),
    [
        (Off(bias=0.7, pieces=0.4, photos=0.5, rest=0.5), "length_mm"),
        (Off(bias=-0.2, pieces=0.0, photos=0.0, rest=0.6), "width_mm"),
        (Off(bias=-1.5, pieces=0.7, photos=1.2, rest=0.5), "L"),
    ],
)
def test_confidence_limits_hold_the_truth_as_often_as_they_say(off: Off, quantity: Quantity) -> None:
    """200 simulated studies; 95 % of them shall hold it (88 % to 100 %: four standard deviations of such a share)."""
    z = stats.norm.ppf(0.975)
    sd = float(np.linalg.norm([off.pieces, off.photos, off.rest]))
    found = _simulated(off, quantity, runs=200, number=21)
    held = {
        "bias": np.mean([one.bias.low <= off.bias <= one.bias.high for one in found]),
        "lower": np.mean([one.lower.low <= off.bias - z * sd <= one.lower.high for one in found]),
        "upper": np.mean([one.upper.low <= off.bias + z * sd <= one.upper.high for one in found]),
    }
    print(quantity, held)
    assert min(held.values()) > 0.95 - 4 * (0.95 * 0.05 / 200) ** 0.5
    assert np.mean([one.bias.value for one in found]) == pytest.approx(off.bias, abs=0.1)


def test_each_light_is_told_apart() -> None:
    rng = np.random.default_rng(6)
    compared = [
        one if one.light != LIGHTS[1] else replace(one, read=Measured(value=one.read.value - 3, u=one.read.u))
        for one in readings(kit(), Off(bias=0.5, pieces=0.3, photos=0.2, rest=0.3), rng, only=["a"])
    ]
    by_light = [agreement_of(compared, light=light).bias.value for light in LIGHTS]
    assert by_light == pytest.approx([0.5, -2.5, 0.5], abs=0.6)
    together = agreement_of(compared)
    assert together.bias.value == pytest.approx(-0.5, abs=0.4)
    assert together.sd_photos == pytest.approx(1.6, abs=0.4)


def _one(difference: float, u_read: float, u_known: float, number: int) -> Compared:
    return Compared(
        piece=f"B{number % 4}",
        photo=f"bars-{number // 4}",
        light="tubes",
        place=1,
        raised_mm=0.0,
        quantity="length_mm",
        read=Measured(value=50 + difference, u=u_read),
        known=Measured(value=50.0, u=u_known),
    )


def test_whether_the_stated_doubt_covers_the_differences() -> None:
    # u together is 0.5: 0.97 lies within 1.96 of it (0.98), 0.99 within 2 (|E_n| <= 1) only, 1.01 in neither.
    differences = (0.97, -0.97, 0.99, -0.99, 1.01, -1.01, 0.0, 0.1)
    agreement = agreement_of([_one(d, 0.3, 0.4, k) for k, d in enumerate(differences)])
    assert agreement.within_u == pytest.approx(4 / 8)
    assert agreement.within_en == pytest.approx(6 / 8)

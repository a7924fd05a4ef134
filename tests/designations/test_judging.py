"""Plates against published designations: which they would meet, would not, and where they can't tell."""

from collections.abc import Callable, Sequence

import numpy as np
import pytest
from scipy.stats import beta

from grader.decision.counting import effective_number
from grader.decision.model import Outcome
from grader.designations import Held, beside_line, hold_beside, load_published
from grader.fries.model import Fry
from grader.standard import Standard

Make = Callable[..., Fry]
MEETS, MEETS_NOT, OPEN = Outcome.PASS, Outcome.FAIL, Outcome.UNDECIDED


def held(plates: Sequence[Sequence[Fry]], standard: Standard) -> dict[str, Held]:
    beside = hold_beside(plates, standard, tuple(load_published().values()))
    assert [len(one.held) for one in beside] == [4, 4]  # raw potatoes: nothing that a plate could be held against
    return {f"{one.published.short_name[:2]} {each.row.name}": each for one in beside for each in one.held}


def lengths(plates: Sequence[Sequence[Fry]], standard: Standard) -> list[Outcome]:
    return [each.outcome for name, each in held(plates, standard).items() if name.startswith("US")]


def test_a_plate_of_long_fries_meets_every_least_share(make: Make, standard: Standard) -> None:
    plate = [make(length_mm=90.0) for _ in range(50)]
    assert lengths([plate], standard) == [MEETS, MEETS, MEETS, MEETS_NOT]


def test_a_plate_of_short_fries_is_short(make: Make, standard: Standard) -> None:
    plate = [make(length_mm=42.0) for _ in range(50)]
    assert lengths([plate], standard) == [MEETS_NOT, MEETS_NOT, MEETS_NOT, MEETS]


def test_enough_of_two_inches_is_not_enough_where_three_are_asked_too(make: Make, standard: Standard) -> None:
    plate = [make(length_mm=62.0) for _ in range(50)]
    found = held([plate], standard)
    assert [share.outcome for share in found["US Extra long"].shares] == [MEETS, MEETS_NOT]
    assert lengths([plate], standard) == [MEETS_NOT, MEETS_NOT, MEETS, MEETS_NOT]


def test_a_plate_on_the_share_itself_can_not_be_told(make: Make, standard: Standard) -> None:
    plate = [make(length_mm=80.0 if number < 25 else 40.0) for number in range(50)]
    assert lengths([plate], standard)[2:] == [OPEN, OPEN]


def test_fries_that_may_be_either_side_of_two_inches_are_neither(make: Make, standard: Standard) -> None:
    """60 % measured as 51.2 mm are 60 % of two inches, if that was sure; with 3 mm of doubt it can't be told."""
    sure = [make(length_mm=51.2 if number < 60 else 40.0, length_u=0.01) for number in range(100)]
    unsure = [make(length_mm=51.2 if number < 60 else 40.0, length_u=3.0) for number in range(100)]
    assert held([sure], standard)["US Medium"].outcome is MEETS
    assert held([unsure], standard)["US Medium"].outcome is not MEETS


def test_the_probability_is_that_of_scipys_beta(make: Make, standard: Standard) -> None:
    """Of sharply measured fries the count is known: Jeffreys' posterior for the effective number, from scipy."""
    plates = [[make(length_mm=80.0 if number < 24 else 40.0, length_u=0.01) for number in range(30)]] * 2
    (over_two, _) = held(plates, standard)["US Long"].shares
    effective = effective_number(np.array([30, 30]))
    posterior = beta(effective * 0.8 + 0.5, effective * 0.2 + 0.5)
    assert over_two.probability == pytest.approx(posterior.sf(0.70), abs=1e-9)


@pytest.mark.parametrize(
    ("width_mm", "meets"),
    [(6.5, "Shoestring"), (10.0, "Medium"), (14.0, "Thick cut"), (19.0, "Extra large"), (4.0, None)],
)
def test_one_class_of_cross_section_and_no_other(
    make: Make, standard: Standard, width_mm: float, meets: str | None
) -> None:
    found = held([[make(width_mm=width_mm) for _ in range(40)]], standard)
    sections = {each.row.name: each.outcome for name, each in found.items() if name.startswith("CX")}
    assert sections == {name: MEETS if name == meets else MEETS_NOT for name in sections}


def test_strips_on_the_border_of_two_classes_can_not_be_told(make: Make, standard: Standard) -> None:
    found = held([[make(width_mm=12.0) for _ in range(40)]], standard)
    assert [found[f"CX {name}"].outcome for name in ("Medium", "Thick cut")] == [OPEN, OPEN]
    assert [found[f"CX {name}"].outcome for name in ("Shoestring", "Extra large")] == [MEETS_NOT, MEETS_NOT]


def test_a_handful_of_fries_or_mostly_hidden_ones_tell_nothing(make: Make, standard: Standard) -> None:
    few = [make(length_mm=90.0) for _ in range(5)]
    hidden = [make(length_mm=90.0) for _ in range(20)] + [make(length_mm=None) for _ in range(30)]
    for plate in (few, hidden, []):
        assert set(lengths([plate], standard)) == {OPEN}


def test_a_longer_fry_never_loses_a_least_share(make: Make, standard: Standard) -> None:
    def chance(longest: float) -> float:
        plate = [make(length_mm=45.0 + 0.4 * number) for number in range(30)] + [make(length_mm=longest)]
        return held([plate], standard)["US Medium"].shares[0].probability

    chances = [chance(mm) for mm in (30.0, 48.0, 50.0, 51.0, 53.0, 80.0)]
    assert chances == sorted(chances)
    assert chances[0] < chances[-1]


def test_lots_on_the_border_are_rarely_said_to_meet(make: Make, standard: Standard) -> None:
    """Of batches with half of their fries over two inches, about one in ten is said to meet that share (JCGM 106)."""
    rng = np.random.default_rng(20)
    published = [load_published()["us-frozen-french-fried"]]

    def meets() -> bool:
        true = np.where(rng.random(60) < 0.5, 55.0, 46.0)
        plate = [make(length_mm=float(mm), length_u=1.0) for mm in true + rng.normal(0, 1, 60)]
        (beside,) = hold_beside([plate], standard, published)
        return next(each.outcome for each in beside.held if each.row.name == "Medium") is MEETS

    said = sum(meets() for _ in range(200)) / 200
    assert 0.02 <= said <= 0.142  # 0.10 and two standard errors of 200 draws


def test_the_line_names_what_would_be_met_and_what_is_open(make: Make, standard: Standard) -> None:
    published = tuple(load_published().values())
    plate = [make(length_mm=62.0, width_mm=12.0) for _ in range(50)]
    line = beside_line(hold_beside([plate], standard, published))
    assert "would meet Medium of US frozen French fried potatoes" in line
    assert "can't tell Medium and Thick cut of CXS 114-1981" in line
    assert "check against the standard before contract use" in line
    nothing = [make(length_mm=42.0, width_mm=4.0) for _ in range(50)]
    assert "can't tell" not in beside_line(hold_beside([nothing], standard, published))

"""Plates against published designations: which they would meet, would not, and where they can't tell."""

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import beta

from grader.decision.counting import effective_number
from grader.decision.model import Outcome
from grader.decision.terms import HOUSE_DEFAULT
from grader.designations import Held, beside_line, hold_beside, load_published, read_published
from grader.fries.model import Fry
from grader.standard import Standard

Make = Callable[..., Fry]
MEETS, MEETS_NOT, OPEN = Outcome.PASS, Outcome.FAIL, Outcome.UNDECIDED


INVENTED = read_published(
    """
    schema_version = 1
    name = "Invented designations"
    short_name = "the invented standard"
    edition = "1"
    issuer = "nobody"
    said_of = "strips"
    words = []
    lengths = [
        { name = "Lengthy", mark = "MEMORY", source = "invented", shares = [
            { length_mm = 50.0, sense = "at least", share = 0.75 },
            { length_mm = 75.0, sense = "at least", share = 0.25 },
        ] },
        { name = "Middling", mark = "MEMORY", source = "invented", shares = [
            { length_mm = 50.0, sense = "at least", share = 0.5 },
        ] },
        { name = "Stubby", mark = "VERIFIED", source = "invented", shares = [
            { length_mm = 50.0, sense = "at most", share = 0.5 },
        ] },
    ]
    sections = [
        { name = "Thin", mark = "VERIFIED", source = "invented", from_mm = 6, to_mm = 9 },
        { name = "Plain", mark = "VERIFIED", source = "invented", from_mm = 9, to_mm = 12 },
        { name = "Fat", mark = "VERIFIED", source = "invented", from_mm = 12, to_mm = inf },
    ]
    """,
    name="invented.toml",
)


def held(plates: Sequence[Sequence[Fry]], standard: Standard) -> dict[str, Held]:
    (beside,) = hold_beside(plates, standard, [INVENTED])
    return {each.row.name: each for each in beside.held}


def lengths(plates: Sequence[Sequence[Fry]], standard: Standard) -> list[Outcome]:
    found = held(plates, standard)
    return [found[row.name].outcome for row in INVENTED.lengths]


def sections(plates: Sequence[Sequence[Fry]], standard: Standard) -> dict[str, Outcome]:
    found = held(plates, standard)
    return {row.name: found[row.name].outcome for row in INVENTED.sections}


def test_what_ships_is_held_row_by_row_and_words_are_not(make: Make, standard: Standard) -> None:
    shipped = load_published()
    beside = hold_beside([[make() for _ in range(20)]], standard, tuple(shipped.values()))
    assert [one.published for one in beside] == [shipped["codex-cxs-114"], shipped["us-frozen-french-fried"]]
    assert all([each.row for each in one.held] == list(one.published.rows) for one in beside)


def test_a_plate_of_long_fries_meets_every_least_share(make: Make, standard: Standard) -> None:
    plate = [make(length_mm=90.0) for _ in range(50)]
    assert lengths([plate], standard) == [MEETS, MEETS, MEETS_NOT]


def test_a_plate_of_short_fries_is_short(make: Make, standard: Standard) -> None:
    plate = [make(length_mm=42.0) for _ in range(50)]
    assert lengths([plate], standard) == [MEETS_NOT, MEETS_NOT, MEETS]


def test_enough_of_one_length_is_not_enough_where_two_are_asked(make: Make, standard: Standard) -> None:
    plate = [make(length_mm=62.0) for _ in range(50)]
    found = held([plate], standard)
    assert [share.outcome for share in found["Lengthy"].shares] == [MEETS, MEETS_NOT]
    assert lengths([plate], standard) == [MEETS_NOT, MEETS, MEETS_NOT]


def test_a_plate_on_the_share_itself_can_not_be_told(make: Make, standard: Standard) -> None:
    plate = [make(length_mm=80.0 if number < 25 else 40.0) for number in range(50)]
    assert lengths([plate], standard)[1:] == [OPEN, OPEN]


def test_fries_that_may_be_either_side_of_the_length_are_neither(make: Make, standard: Standard) -> None:
    """70 % measured as 50.4 mm are enough of 50 mm if that was sure; with 0.8 mm of doubt it can't be told."""
    sure = [make(length_mm=50.4 if number < 70 else 40.0, length_u=0.01) for number in range(100)]
    unsure = [make(length_mm=50.4 if number < 70 else 40.0, length_u=0.8) for number in range(100)]
    assert held([sure], standard)["Middling"].outcome is MEETS
    assert held([unsure], standard)["Middling"].outcome is OPEN


def test_the_probability_is_that_of_scipys_beta(make: Make, standard: Standard) -> None:
    """Of sharply measured fries the count is known: Jeffreys' posterior for the effective number, from scipy."""
    plates = [[make(length_mm=80.0 if number < 24 else 40.0, length_u=0.01) for number in range(30)]] * 2
    (over, _) = held(plates, standard)["Lengthy"].shares
    effective = effective_number(np.array([30, 30]), HOUSE_DEFAULT.correlation)
    posterior = beta(effective * 0.8 + 0.5, effective * 0.2 + 0.5)
    assert over.probability == pytest.approx(posterior.sf(0.75), abs=1e-9)


@pytest.mark.parametrize(("width_mm", "meets"), [(7.5, "Thin"), (10.5, "Plain"), (19.0, "Fat"), (4.0, None)])
def test_one_class_of_cross_section_and_no_other(
    make: Make, standard: Standard, width_mm: float, meets: str | None
) -> None:
    found = sections([[make(width_mm=width_mm) for _ in range(40)]], standard)
    assert found == {name: MEETS if name == meets else MEETS_NOT for name in found}


def test_strips_on_the_border_of_two_classes_can_not_be_told(make: Make, standard: Standard) -> None:
    plate = [make(width_mm=12.0) for _ in range(40)]
    assert sections([plate], standard) == {"Thin": MEETS_NOT, "Plain": OPEN, "Fat": OPEN}


def test_a_handful_of_fries_or_mostly_hidden_ones_tell_nothing(make: Make, standard: Standard) -> None:
    few = [make(length_mm=90.0) for _ in range(5)]
    hidden = [make(length_mm=90.0) for _ in range(20)] + [make(length_mm=None) for _ in range(30)]
    for plate in (few, hidden, []):
        assert set(lengths([plate], standard)) == {OPEN}


def test_a_longer_fry_never_loses_a_least_share(make: Make, standard: Standard) -> None:
    def chance(longest: float) -> float:
        plate = [make(length_mm=45.0 + 0.4 * number) for number in range(30)] + [make(length_mm=longest)]
        return held([plate], standard)["Middling"].shares[0].probability

    chances = [chance(mm) for mm in (30.0, 48.0, 50.0, 51.0, 53.0, 80.0)]
    assert chances == sorted(chances)
    assert chances[0] < chances[-1]


def test_lots_on_the_border_are_rarely_said_to_meet(make: Make, standard: Standard) -> None:
    """Of batches with half of their fries that long, about one in ten is said to meet that share (JCGM 106)."""
    rng = np.random.default_rng(20)

    def meets() -> bool:
        true = np.where(rng.random(60) < 0.5, 55.0, 45.0)
        plate = [make(length_mm=float(mm), length_u=1.0) for mm in true + rng.normal(0, 1, 60)]
        return held([plate], standard)["Middling"].outcome is MEETS

    said = sum(meets() for _ in range(200)) / 200
    assert 0.02 <= said <= 0.142  # 0.10 and two standard errors of 200 draws


def test_the_line_names_what_would_be_met_and_what_is_open(make: Make, standard: Standard) -> None:
    plate = [make(length_mm=62.0, width_mm=12.0) for _ in range(50)]
    assert beside_line(hold_beside([plate], standard, [INVENTED])) == (
        "Published designations, beside the verdict: would meet the invented standard: Middling; "
        "can't tell the invented standard: Plain, Fat (check against the standard before contract use)."
    )


def test_the_line_says_so_where_nothing_would_be_met(make: Make, standard: Standard) -> None:
    read = replace(INVENTED, lengths=())
    plate = [make(width_mm=4.0) for _ in range(50)]
    line = beside_line(hold_beside([plate], standard, [read]))
    assert line == "Published designations, beside the verdict: would meet none."

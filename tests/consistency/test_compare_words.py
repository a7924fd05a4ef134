"""Comparisons, capability and two kitchens in words: each outcome says what it means and what to do."""

import numpy as np

from grader.consistency.capability import SpreadPlate, capability_of
from grader.consistency.compare_words import capability_lines, comparison_lines, difference_words, kitchens_lines
from grader.consistency.comparing import Difference, Found, More, compare_groups
from grader.consistency.quantities import QUANTITIES
from grader.consistency.two_kitchens import PairedPlate, compare_kitchens
from tests.consistency.drawn_plates import grouped, spread

PLACE = QUANTITIES["place"]


def difference(value: float, half: float, found: Found, *, beyond: bool = False, more: More | None = None) -> str:
    one = Difference(
        of="late",
        less="early",
        value=value,
        u=half / 3,
        freedom=8.0,
        low=value - half,
        high=value + half,
        found=found,
        beyond=beyond,
        more=more,
    )
    return difference_words(one, PLACE, 0.3)


def test_each_outcome_of_a_difference() -> None:
    assert difference(0.6, 0.2, Found.DIFFER, beyond=True) == (
        "late is 0.60 steps darker than early, between 0.40 darker and 0.80 darker: they differ, by more than the 0.30 "
        "steps worth acting on."
    )
    assert "0.40 steps paler than early" in difference(-0.4, 0.2, Found.DIFFER)
    assert "perhaps by the 0.30" in difference(-0.4, 0.2, Found.DIFFER)
    assert "alike enough: between 0.15 paler and 0.25 darker" in difference(0.05, 0.2, Found.ALIKE)
    told = difference(0.1, 0.5, Found.CANT_TELL, more=More(batches=1, plates=3))
    assert "can't tell yet" in told
    assert "about 3 more plates of each, in 1 batch, would tell" in told
    assert "no number of plates in reach" in difference(0.1, 0.5, Found.CANT_TELL)


def test_a_comparison_names_what_it_cannot_see() -> None:
    plates = grouped(np.random.default_rng(1), (3.0, 3.0, 4.0), (6, 6, 6), sds=(0.1, 0.1, 0.5))
    told = list(comparison_lines(compare_groups(plates, worth_acting_on=0.3), PLACE, by="shift"))
    assert told[0].startswith("Place on the colour scale by shift")
    assert "C is" in told[4]  # what differs comes first
    assert "phone, card and light are in this" in told[-1]
    shared = list(comparison_lines(compare_groups(plates, worth_acting_on=0.3, shared_u=0.1), PLACE, by="shift"))
    assert shared[-1].endswith("0.10 (u)")


def test_capability_says_what_the_spread_is_made_of() -> None:
    plates = spread(np.random.default_rng(2), 3.2, batches=8, plates=3, sds=(0.2, 0.1, 0.4))
    told = "\n".join(capability_lines(capability_of(plates, low=2.0, high=4.0, method_sd=0.1), PLACE))
    for words in (
        "Cp ",
        "Cpk ",
        "Pp ",
        "Ppk ",
        "plates of a batch",
        "expected outside",
        "method's own doubt",
        "0.10 of it",
    ):
        assert words in told
    one = capability_of(plates[:3], low=2.0, high=None)
    assert "All plates are of one batch" in "\n".join(capability_lines(one, PLACE))


def test_fries_that_are_not_spread_as_normal_are_told() -> None:
    plates = [SpreadPlate(batch=str(n // 2), mean=3.0 + 0.02 * n, sd=0.3, fries=50, outside=8) for n in range(20)]
    assert "go by what was found" in "\n".join(capability_lines(capability_of(plates, low=2.0, high=4.2), PLACE))


def test_two_kitchens_are_told_with_every_plate() -> None:
    rng = np.random.default_rng(3)
    plates = [
        PairedPlate(plate=f"p{n}", first=v, first_u=0.05, second=1.3 * v + rng.normal(0, 0.05), second_u=0.05)
        for n, v in enumerate(rng.uniform(2, 4, 9))
    ]
    told = list(kitchens_lines(compare_kitchens(plates, worth_acting_on=0.3), PLACE, first="north", second="south"))
    assert "south reads" in told[1]
    assert told[1].endswith("they differ, by more than the 0.30 steps worth acting on.")
    hardly = list(kitchens_lines(compare_kitchens(plates, worth_acting_on=0.8), PLACE, first="north", second="south"))
    assert hardly[1].endswith("they differ, perhaps by the 0.80 steps worth acting on.")
    assert any("the difference grows" in line for line in told)
    assert any("one is too small" in line for line in told)
    assert sum("E_n" in line and line.startswith("  p") for line in told) == 9

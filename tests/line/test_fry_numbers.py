from pathlib import Path

import numpy as np
import pytest

from grader.errors import DocumentFaulty
from grader.line.fry_numbers import NUMBERS, ChipsError, chips_of, number_of, numbers_of_lot, read_chips
from grader.line.lot_fry import Lot, TestStrip

CHIPS = {
    "000": (80.0, -2.0, 22.0),
    "0": (70.0, 2.0, 30.0),
    "1": (62.0, 6.0, 33.0),
    "2": (54.0, 10.0, 33.0),
    "3": (45.0, 13.0, 28.0),
    "4": (36.0, 13.0, 20.0),
}
"""Invented: colours of the published chips weren't found."""


def test_the_numbers_behind_the_names() -> None:
    """Valley Potato Grower, July/August 2020, p. 14: 000 is 0.1, 00 is 0.3, 0 is 0.5, 1 to 4 are themselves."""
    assert list(NUMBERS.values()) == [0.1, 0.3, 0.5, 1.0, 2.0, 3.0, 4.0]


def test_each_chip_has_its_own_number_and_colours_between_lie_between() -> None:
    chips = chips_of(CHIPS)
    assert number_of(chips, list(CHIPS.values())) == pytest.approx([0.1, 0.5, 1.0, 2.0, 3.0, 4.0])
    between = (np.array(CHIPS["2"]) + np.array(CHIPS["3"])) / 2
    assert number_of(chips, between) == pytest.approx(2.5)
    assert number_of(chips, (30.0, 13.0, 16.0)) == 4.0
    assert np.isnan(number_of(chips, (50.0, -60.0, 20.0)))


def strip(tuber: int, body: float | None, stem: float | None, lot: Lot = Lot.NEW) -> TestStrip:
    return TestStrip(lot=lot, carton=1, tuber=tuber, basket=1, place=3.0, sugar_end=None, number=body, stem_number=stem)


def test_a_lot_by_its_tubers() -> None:
    strips = [
        strip(1, 1.0, 3.5),
        strip(1, 1.0, 2.7),
        strip(2, 2.0, 2.0),
        strip(2, None, 4.0),
        strip(3, 4.0, 4.0, Lot.KEPT),
    ]
    told = numbers_of_lot(strips, Lot.NEW)
    assert told is not None
    assert (told.tubers, told.dark_stems) == (2, 1)
    assert (told.body, told.stem) == pytest.approx((1.5, 2.55))
    assert numbers_of_lot([strip(1, None, None)], Lot.NEW) is None


def test_chips_are_read_from_a_table(tmp_path: Path) -> None:
    table = tmp_path / "chips.csv"
    table.write_text("number,L,a,b\n000,80,-2,22\n1,62,6,33\n3,45,13,28\n", encoding="utf-8")
    assert read_chips(table).numbers == (0.1, 1.0, 3.0)
    table.write_text("number,L,a,b\n5,80,-2,22\n1,162,6,33\n", encoding="utf-8")
    with pytest.raises(DocumentFaulty, match="2 fault"):
        read_chips(table)
    table.write_text("number,L,a,b\n1,62,6,33\n2,64,6,33\n3,45,13,28\n", encoding="utf-8")
    with pytest.raises(ChipsError, match="darker"):
        read_chips(table)

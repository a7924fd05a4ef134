"""What may be the unit, and why a fry may not."""

import pytest

from grader.sampling.unit import UnitNotDrawnError, checked_unit, why_no_fry

WHY = why_no_fry(fries=36, worth=26.7, at_most=100)


@pytest.mark.parametrize("word", ["plate", "bag", " carton  of bags ", "strip pack", "tray of fries"])
def test_what_is_drawn_is_the_unit(word: str) -> None:
    assert checked_unit(word, why=WHY) == " ".join(word.split())


@pytest.mark.parametrize("word", ["fry", "Fries", "french fry", "strip", "chips", "pieces"])
def test_a_fry_is_none_and_the_reason_is_told(word: str) -> None:
    with pytest.raises(UnitNotDrawnError) as caught:
        checked_unit(word, why=WHY)
    assert "are alike" in caught.value.message
    assert "36 of them tell as much of the lot as 27" in caught.value.message
    assert "plate, or the bag" in caught.value.hint


def test_a_unit_has_a_name() -> None:
    with pytest.raises(UnitNotDrawnError, match="no name"):
        checked_unit("  ", why=WHY)

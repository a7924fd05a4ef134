import pytest

from grader.sampling.waste import waste_of


def test_weighed_plates_speak_for_the_others() -> None:
    told = waste_of(21, weighed=2, weighed_g=400, usual_g=300, price_a_kg=2.5)
    assert told.guessed == 19
    assert told.kg == pytest.approx(4.2)
    assert told.money == pytest.approx(10.5)


def test_what_the_house_says_counts_where_none_was_weighed() -> None:
    assert waste_of(10, weighed=0, weighed_g=0, usual_g=180, price_a_kg=None).kg == pytest.approx(1.8)


def test_without_any_mass_nothing_is_told() -> None:
    told = waste_of(3, weighed=0, weighed_g=0, usual_g=None, price_a_kg=2)
    assert (told.kg, told.money) == (None, None)
    assert waste_of(0, weighed=0, weighed_g=0, usual_g=None, price_a_kg=2).money == 0

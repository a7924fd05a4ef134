"""Against published conversions: NIST SP 811, Guide for the Use of the International System of Units, appendix B.8."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from grader.language.catalogues import singles
from grader.language.units import (
    Lengths,
    Temperatures,
    in_lengths,
    in_temperatures,
    length_words,
    lengths_told,
    temperature_words,
    temperatures_told,
    to_celsius,
    to_mm,
)


def test_an_inch_is_25_4_mm() -> None:
    assert to_mm(1, Lengths.INCHES) == 25.4
    assert to_mm(3.75, Lengths.INCHES) == pytest.approx(95.25)
    assert length_words(95.25, Lengths.INCHES) == "3.75 in"
    assert length_words(95.25, Lengths.MILLIMETRES) == "95.2 mm"
    assert length_words(9.525, Lengths.INCHES, decimals=3) == "0.375 in"


@pytest.mark.parametrize(("celsius", "fahrenheit"), [(0, 32), (100, 212), (-40, -40), (37.777777777777779, 100)])
def test_fixed_points(celsius: float, fahrenheit: float) -> None:
    assert in_temperatures(celsius, Temperatures.FAHRENHEIT) == pytest.approx(fahrenheit)
    assert to_celsius(fahrenheit, Temperatures.FAHRENHEIT) == pytest.approx(celsius)


def test_temperatures_are_told_whole() -> None:
    assert temperature_words(175, Temperatures.CELSIUS) == "175 °C"
    assert temperature_words(175, Temperatures.FAHRENHEIT) == "347 °F"


def test_a_sentence_tells_its_lengths_in_the_unit_asked_for() -> None:
    told = "fries of 50.8 mm (2 in) or longer, short under 30 mm"
    assert lengths_told(told, Lengths.MILLIMETRES) == told
    assert lengths_told(told, Lengths.INCHES) == "fries of 2 in or longer, short under 1.18 in"


@pytest.mark.parametrize(
    ("told", "inches"),
    [
        ("its length is 76.2 ± 2.54 mm", "its length is 3.00 ± 0.10 in"),
        ("must be a number from 5.08 to 254 mm", "must be a number from 0.20 to 10.00 in"),
        ("debe ser un número de 5.08 a 254 mm", "debe ser un número de 0.20 a 10.00 in"),
        ("5.08, 2.54 mm across; one counts from 2.54 mm", "0.20, 0.10 in across; one counts from 0.10 in"),
        ("Mat, 254 × 127 mm", "Mat, 10.00 × 5.00 in"),
        ("15 mml of 3 fries", "15 mml of 3 fries"),
    ],
)
def test_lengths_that_share_their_unit_are_all_told_in_it(told: str, inches: str) -> None:
    assert lengths_told(told, Lengths.INCHES) == inches


@pytest.mark.parametrize(
    ("told", "fahrenheit"),
    [
        ("Stored at 100 °C, not at 0 °C.", "Stored at 212 °F, not at 32 °F."),
        ("That would ask for 100 C.", "That would ask for 212 °F."),
        ("Let the bath come to 0 to 100 C.", "Let the bath come to 32 to 212 °F."),
        ("Usual is 165–180 °C (329–356 °F)", "Usual is 329–356 °F"),
        ("at 57 °C (135 °F) or hotter", "at 135 °F or hotter"),
        ("The oil was 5 °C hotter than is usual.", "The oil was 9 °F hotter than is usual."),
        ("El aceite estaba 5 °C más frío de lo usual.", "El aceite estaba 9 °F más frío de lo usual."),
        ("El aceite cayó solo 10 °C.", "El aceite cayó solo 18 °F."),
        ("The oil fell by 10 °C only.", "The oil fell by 18 °F only."),
        ("temperatures 5 C apart", "temperatures 9 °F apart"),
        ("-40 °C", "-40 °F"),
    ],
)
def test_a_sentence_tells_its_temperatures_in_the_unit_asked_for(told: str, fahrenheit: str) -> None:
    assert temperatures_told(told, Temperatures.CELSIUS) == told
    assert temperatures_told(told, Temperatures.FAHRENHEIT) == fahrenheit


def test_no_difference_of_temperatures_is_told_as_a_temperature() -> None:
    """In every language the same sentence has the same figures: none in one is taken for what it isn't."""
    sentences = [(english, text) for english, text in singles("es").items() if re.search(r"\} °?C\b", english)]
    assert len(sentences) >= 15
    for both in sentences:
        told = [temperatures_told(re.sub(r"\{\w+\}", "10", text), Temperatures.FAHRENHEIT) for text in both]
        figures = [sorted(re.findall(r"\d+(?= (?:to |a |y )?(?:\d+ )?°F)", text)) for text in told]
        assert figures[0] == figures[1], told
        assert figures[0]


@given(st.floats(-1e4, 1e4), st.sampled_from(Lengths), st.sampled_from(Temperatures))
def test_there_and_back_is_the_same(value: float, length: Lengths, temperature: Temperatures) -> None:
    assert to_mm(in_lengths(value, length), length) == pytest.approx(value, abs=1e-9)
    assert to_celsius(in_temperatures(value, temperature), temperature) == pytest.approx(value, abs=1e-9)

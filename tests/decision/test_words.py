"""The figures as people write them."""

import pytest

from grader.decision import words
from grader.standard import load_shipped

SCALE = load_shipped()["strips-9.5mm-skin-on"].scale


@pytest.mark.parametrize(
    ("mm", "said"),
    [(50.8, "50.8 mm (2 in)"), (76.2, "76.2 mm (3 in)"), (44.45, "44.45 mm (1.75 in)"), (50.0, "50 mm")],
)
def test_lengths(mm: float, said: str) -> None:
    """An inch is 25.4 mm exactly (international yard and pound agreement, 1959)."""
    assert words.length(mm) == said


@pytest.mark.parametrize(
    ("place", "said"),
    [
        (0.6, "paler than linen"),
        (0.8, "about linen"),
        (2.5, "between hay and brass"),
        (3.76, "about fox"),
        (7.2, "about soot"),
        (7.4, "darker than soot"),
    ],
)
def test_whereabouts(place: float, said: str) -> None:
    assert words.whereabouts(SCALE, place) == said


def test_lists_and_plates() -> None:
    assert words.listed(["colour"]) == "colour"
    assert words.listed(["colour", "length", "defects"]) == "colour, length and defects"
    assert words.photograph_more(1) == "Photograph 1 more plate."
    assert words.photograph_more(2) == "Photograph 2 more plates."

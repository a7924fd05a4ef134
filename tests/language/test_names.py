"""What people and the house named is never translated, however much it looks like words of the program."""

import re
from pathlib import Path

import pytest

from grader.decision.words import whereabouts
from grader.language import LANGUAGES, SOURCE, retell, speaking
from grader.language.catalogues import singles
from grader.language.listing import texts
from grader.language.retelling import _NAMED
from grader.standard.model import ColourScale, Step

GRADER = Path(__file__).parents[2] / "grader"
OTHERS = [language for language in LANGUAGES if language != SOURCE]
NAMES = [
    "too dark",
    "colour and width",
    "Colour",
    "PASS",
    "oil changed",
    "new lot 7",
    "fryer left",
    "held, blanched",
    "12 fries",
    "between colour and width",
    "St. Louis",
    "too dark; too pale",
]
"""Each is known to the catalogues, or is made of what is known."""


def _filled(text: str, name: str) -> str:
    """The text with this name in its first gap for names, and a figure in every other."""
    gaps = dict.fromkeys(re.findall(r"\{(\w+)\}", text), "X7")
    first = next(gap for gap in gaps if gap in _NAMED)
    return text.format(**(gaps | {first: name}))


@pytest.mark.parametrize("language", OTHERS)
@pytest.mark.parametrize("name", NAMES)
def test_a_name_stands_as_it_was_given(language: str, name: str) -> None:
    pages_own = {text.english for text in texts([GRADER])}  # told by the pages, with names that they know to be names
    named = [text for text in singles(language) if _NAMED & set(re.findall(r"\{(\w+)\}", text))]
    retold = [text for text in named if text not in pages_own]
    assert len(retold) > 200
    with speaking(language):
        assert not [text for text in retold if name not in retell(_filled(text, name))]


@pytest.mark.parametrize("language", OTHERS)
def test_these_names_would_be_translated_on_their_own(language: str) -> None:
    with speaking(language):
        assert [name for name in NAMES if retell(name) == name] == ["St. Louis"]


@pytest.mark.parametrize("language", OTHERS)
def test_steps_of_a_scale_keep_their_names(language: str) -> None:
    steps = [("colour", 75), ("colour and width", 65), ("too dark", 50)]
    scale = ColourScale(
        steps=tuple(Step(name=name, lab=(light, 5.0, 30.0)) for name, light in steps),
        target_from=1.5,
        target_to=2.5,
        off_scale_de=12.0,
    )
    with speaking(language):
        for place in (0.5, 1.0, 1.5, 2.0, 2.5, 3.5):
            told = whereabouts(scale, place)
            names = [name for name, _ in steps if name in told]
            assert names
            assert all(name in retell(told) for name in names)

"""What people read, in their language and units: `tr` for the page's own words, `retell` for those of lower rooms."""

from grader.language.catalogues import LANGUAGES, SOURCE
from grader.language.chosen import ask_for_language, current_language, speaking
from grader.language.retelling import retell
from grader.language.telling import said, tr, trn
from grader.language.units import (
    Lengths,
    Temperatures,
    length_words,
    lengths_told,
    temperature_words,
    temperatures_told,
)

__all__ = [
    "LANGUAGES",
    "SOURCE",
    "Lengths",
    "Temperatures",
    "ask_for_language",
    "current_language",
    "length_words",
    "lengths_told",
    "retell",
    "said",
    "speaking",
    "temperature_words",
    "temperatures_told",
    "tr",
    "trn",
]

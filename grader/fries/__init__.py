"""Where each fry is, and what it measures."""

from grader.fries.bare_surfaces import bare_spots
from grader.fries.finding import Laid, find_fries
from grader.fries.model import FLAG_WORDS, Colour, Fry, FryFlag, Measured, Plate
from grader.fries.without_card import Outlined, OutlinedFry, outline_fries

__all__ = [
    "FLAG_WORDS",
    "Colour",
    "Fry",
    "FryFlag",
    "Laid",
    "Measured",
    "Outlined",
    "OutlinedFry",
    "Plate",
    "bare_spots",
    "find_fries",
    "outline_fries",
]

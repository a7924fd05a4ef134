"""Where each fry is, and what it measures."""

from grader.fries.bare_surfaces import bare_surfaces
from grader.fries.finding import find_fries
from grader.fries.model import FLAG_WORDS, Colour, Fry, FryFlag, Measured, Plate

__all__ = ["FLAG_WORDS", "Colour", "Fry", "FryFlag", "Measured", "Plate", "bare_surfaces", "find_fries"]

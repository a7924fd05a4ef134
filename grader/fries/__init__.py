"""Where each fry is, and what it measures."""

from grader.fries.finding import find_fries
from grader.fries.model import FLAG_WORDS, Colour, Fry, FryFlag, Measured, Plate

__all__ = ["FLAG_WORDS", "Colour", "Fry", "FryFlag", "Measured", "Plate", "find_fries"]

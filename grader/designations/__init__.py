"""Published designations beside the house's own standard: as data, and which of them a plate would meet."""

from grader.designations.judging import Beside, Held, hold_beside
from grader.designations.model import Published
from grader.designations.reading import load_published, read_published
from grader.designations.words import beside_line, caution, outcome_words, published_words

__all__ = [
    "Beside",
    "Held",
    "Published",
    "beside_line",
    "caution",
    "hold_beside",
    "load_published",
    "outcome_words",
    "published_words",
    "read_published",
]

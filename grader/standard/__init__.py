"""The house standard: read, checked, written; and where a colour lies on its scale."""

from grader.standard.model import (
    ColourScale,
    Cut,
    Defects,
    LengthShare,
    Limits,
    ScalePlace,
    Standard,
    Step,
)
from grader.standard.place import place_on_scale
from grader.standard.reading import read_standard
from grader.standard.shipped import load_shipped
from grader.standard.writing import write_standard

__all__ = [
    "ColourScale",
    "Cut",
    "Defects",
    "LengthShare",
    "Limits",
    "ScalePlace",
    "Standard",
    "Step",
    "load_shipped",
    "place_on_scale",
    "read_standard",
    "write_standard",
]

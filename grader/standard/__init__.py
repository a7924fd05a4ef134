"""The house standard: read, checked, written; and where a colour lies on its scale."""

from grader.standard.changes import changes
from grader.standard.model import (
    ColourScale,
    Cut,
    Defects,
    LengthShare,
    Limits,
    ScalePlace,
    Stage,
    StageName,
    Standard,
    Step,
)
from grader.standard.place import place_on_scale
from grader.standard.reading import read_standard
from grader.standard.shipped import load_shipped
from grader.standard.stages import CAUTIONS, at_stage, stage_names
from grader.standard.writing import standard_content, standard_sha256, write_content, write_standard

__all__ = [
    "CAUTIONS",
    "ColourScale",
    "Cut",
    "Defects",
    "LengthShare",
    "Limits",
    "ScalePlace",
    "Stage",
    "StageName",
    "Standard",
    "Step",
    "at_stage",
    "changes",
    "load_shipped",
    "place_on_scale",
    "read_standard",
    "stage_names",
    "standard_content",
    "standard_sha256",
    "write_content",
    "write_standard",
]

"""Trueness: known pieces photographed, what was read held against what is known, and what results may claim."""

from grader.trueness.accepted import DEFAULT_LIMITS, AcceptedLimits
from grader.trueness.checks import Check, Found, colour_checks, length_checks
from grader.trueness.comparing import SeenPhoto, compare_photo, make_study
from grader.trueness.documents import keep_study, load_studies, read_study, studies_folder, write_study
from grader.trueness.model import Kit, Piece, PlannedPhoto
from grader.trueness.schedule import KitSize, plan_kit
from grader.trueness.standing import ColourLevel, LengthLevel, Standing, standing_of, weakest
from grader.trueness.study import Study, newest_for

__all__ = [
    "DEFAULT_LIMITS",
    "AcceptedLimits",
    "Check",
    "ColourLevel",
    "Found",
    "Kit",
    "KitSize",
    "LengthLevel",
    "Piece",
    "PlannedPhoto",
    "SeenPhoto",
    "Standing",
    "Study",
    "colour_checks",
    "compare_photo",
    "keep_study",
    "length_checks",
    "load_studies",
    "make_study",
    "newest_for",
    "plan_kit",
    "read_study",
    "standing_of",
    "studies_folder",
    "weakest",
    "write_study",
]

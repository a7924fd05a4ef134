"""Gates: what makes a photo's colours doubtful or hopeless, each with its own reason and remedy.

Each gate is a number that can be looked at, and a function that says what to tell of it.
"""

from grader.colour.gates.judging import fry_findings, gravest_first, refuse_hopeless, sheet_findings
from grader.colour.gates.local_tone import find_local_tone, grey_by_place, grey_error
from grader.colour.gates.mixed_light import (
    BareSpots,
    find_mixed_at_fries,
    find_mixed_over_sheet,
    tint_error_by_field,
    tint_error_by_sheet,
    tint_error_by_surroundings,
)
from grader.colour.gates.poor_fit import find_poor_fit
from grader.colour.gates.spoilt_patches import find_spoilt_patches, spoilt_patches
from grader.colour.gates.starved import find_inks_apart, find_starved, shift_by_a_level
from grader.colour.gates.uneven_light import find_fall_off, find_shadow, light_beyond_sheet, shadow_on_sheet

__all__ = [
    "BareSpots",
    "find_fall_off",
    "find_inks_apart",
    "find_local_tone",
    "find_mixed_at_fries",
    "find_mixed_over_sheet",
    "find_poor_fit",
    "find_shadow",
    "find_spoilt_patches",
    "find_starved",
    "fry_findings",
    "gravest_first",
    "grey_by_place",
    "grey_error",
    "light_beyond_sheet",
    "refuse_hopeless",
    "shadow_on_sheet",
    "sheet_findings",
    "shift_by_a_level",
    "spoilt_patches",
    "tint_error_by_field",
    "tint_error_by_sheet",
    "tint_error_by_surroundings",
]

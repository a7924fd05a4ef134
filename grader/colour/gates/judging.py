"""All gates of a photo's colours together: first those that the sheet alone decides, then those that need the fries."""

from collections.abc import Iterable

import numpy as np

from grader.arrays import FloatArray
from grader.colour.fitting import USUAL_FRY_LAB
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
from grader.colour.sheet import SheetColour, SheetSamples
from grader.errors import Finding, PhotoRefused


def sheet_findings(
    samples: SheetSamples, colour: SheetColour, *, numbers: tuple[int, ...], measured: bool = True
) -> tuple[Finding, ...]:
    """What the sheet alone tells, gravest first.

    Patches that fit badly are told as such only where nothing particular explains it, which says better what to do.

    Parameters
    ----------
    numbers
        The number of each patch, in the samples' order.
    measured
        False where only the card's design is known, which no printer hits: patches that stray from it are told then,
        and refuse nothing short of a fit that no print explains. What rests on place (two lights, a shadow) refuses
        as ever: one ink looks the same wherever it lies.
    """
    correction = colour.correction
    poor = find_poor_fit(correction, measured=measured)
    hopeless = _refuses(poor)
    poor_in_place = _refuses(find_poor_fit(correction))
    shadow = shadow_on_sheet(samples, colour)
    shadowed = find_shadow(shadow, hopeless=poor_in_place)
    told_shadow = shadow if shadowed else 0.0
    grey = grey_error(samples, correction, shadow=told_shadow)
    by_place = grey_by_place(samples, correction, shadow=told_shadow)
    over_patches = tint_error_by_sheet(samples, colour, samples.patch_xy_mm[samples.patch_usable])
    causes = [
        find_mixed_over_sheet(over_patches, hopeless=poor_in_place),
        shadowed,
        find_local_tone(grey, by_place_l=by_place, hopeless=hopeless, measured=measured),
        find_inks_apart(colour.food_bias.scale, hopeless=hopeless, measured=measured),
    ]
    return gravest_first(
        [
            *causes,
            find_spoilt_patches(spoilt_patches(samples, correction), samples, numbers, measured=measured),
            find_starved(shift_by_a_level(samples, correction)),
            None if any(causes) else poor,
        ]
    )


def fry_findings(
    samples: SheetSamples,
    colour: SheetColour,
    beside: BareSpots,
    *,
    on_field: bool,
    fry_xy_mm: FloatArray,
    fry_lab: FloatArray,
) -> tuple[Finding, ...]:
    """What table, plate and the light's way from the card to the fries tell.

    Parameters
    ----------
    beside
        Bare spots: of the mat's field where the fries lie `on_field`, else of table and plate.
    fry_xy_mm, fry_lab
        (k, 2) and (k, 3): where the fries lie, and their colours. With k = 0 the light is looked at all around, for
        fries of the usual colour: a plate in a warm lamp may be taken for fry as a whole, and none is then found.
    """
    if not len(fry_xy_mm):
        fry_xy_mm, fry_lab = beside.xy_mm, np.tile(USUAL_FRY_LAB, (len(beside.xy_mm), 1))
    if not len(fry_xy_mm):
        return ()
    steep = find_fall_off(light_beyond_sheet(samples, colour, fry_xy_mm))
    by_sheet = tint_error_by_sheet(samples, colour, fry_xy_mm, fry_lab)
    if on_field:
        by_place = tint_error_by_field(beside, colour, at_mm=fry_xy_mm, lab=fry_lab)
    else:
        card_mm = samples.patch_xy_mm.mean(axis=0)
        by_place = tint_error_by_surroundings(beside, colour, card_mm=card_mm, at_mm=fry_xy_mm, lab=fry_lab)
    # Haze tints a plate the more, the darker it gets: under one steep light table and plate change colour too.
    return gravest_first([find_mixed_at_fries(by_sheet if steep else max(by_sheet, by_place)), steep])


def gravest_first(found: Iterable[Finding | None]) -> tuple[Finding, ...]:
    """What was found: refusals before warnings, else in the order given; of findings with one code the gravest."""
    order = sorted((finding for finding in found if finding is not None), key=lambda finding: not finding.refuses)
    gravest: dict[str, Finding] = {}
    for finding in order:
        gravest.setdefault(finding.code, finding)
    return tuple(gravest.values())


def refuse_hopeless(findings: tuple[Finding, ...]) -> None:
    """Raise `PhotoRefused` for the first of some findings, gravest first, where it refuses; the others go with it."""
    if findings and findings[0].refuses:
        first = findings[0]
        raise PhotoRefused(first.message, hint=first.hint, code=first.code, others=findings[1:])


def _refuses(finding: Finding | None) -> bool:
    return finding is not None and finding.refuses

"""A camera that brightens dark parts by themselves (HDR, night and portrait modes, filters): no tone curve fits all."""

import numpy as np

from grader.arrays import MaskArray
from grader.colour.correction import Correction
from grader.colour.gates.unmeasured import MEASURE_IT, NOT_AS_DESIGNED
from grader.colour.sheet import SheetSamples
from grader.errors import Finding

_GREY_CHROMA = 6.0
_LEAST_GREYS = 4
_TRUSTED = 0.10

TOLD_L, REFUSED_L = 1.1, 1.9
"""Good photographs give up to 1.02, 95 % of them up to 0.6. Dark parts brightened from place to place: at 1.2 fries
are 1 to 5 off (CIE 2000), at 2.0 from 2 to 6, at 3.5 up to 12; inks that have faded by a tenth give 0.5 to 1.5, and
fries 2.6 off."""
UNPRINTED_L = 6.0
"""Beyond what a print by itself does: simulated home prints 8 CIELAB units off their design give up to 5.1."""
TOLD_PLACE_L, REFUSED_PLACE_L = 0.7, 1.4
"""Of `grey_by_place`. Good photographs of mats give up to 0.46; dark parts brightened from place to place by which
fries are 4 to 9 off 0.8 to 1.4, 2 to 13 off beyond."""


# Of L* by the natural log of the level: (L* + 16) / 3, at a middle grey.
_L_BY_LEVEL = 24.0


def grey_error(samples: SheetSamples, correction: Correction, *, shadow: float = 0.0) -> float:
    """Root mean square L* by which the sheet's greys are off when the other patches predict them; 0 with under 4 greys.

    One tone curve for the whole photo fits all greys of a sheet, wherever they lie. Patches that the fit doesn't trust
    (stained ones) are left out.

    Parameters
    ----------
    shadow
        Spread of the light's log level over the sheet (`shadow_on_sheet`) where one is told: what it does to greys is
        taken off.
    """
    grey = _trusted_greys(samples, correction)
    if grey.sum() < _LEAST_GREYS:
        return 0.0
    return _less_shadow(float(np.mean(correction.left_out_lab_error[grey, 0] ** 2)), shadow)


def grey_by_place(samples: SheetSamples, correction: Correction, *, shadow: float = 0.0) -> float:
    """Root mean square L* by which greys of one colour part over a sheet that has them in several places; else 0.

    One ink is one grey wherever it lies, whatever the printer made of it.

    Parameters
    ----------
    shadow
        As for `grey_error`.
    """
    grey = np.flatnonzero(_trusted_greys(samples, correction))
    kinds, kind = np.unique(samples.patch_lab[grey], axis=0, return_inverse=True)
    repeated = len(grey) - len(kinds)
    if repeated < _LEAST_GREYS:
        return 0.0
    error_l, kind = correction.left_out_lab_error[grey, 0], kind.ravel()
    mean = np.bincount(kind, error_l) / np.bincount(kind)
    return _less_shadow(float(((error_l - mean[kind]) ** 2).sum()) / repeated, shadow)


def find_local_tone(
    error_l: float, *, by_place_l: float = 0.0, hopeless: bool = False, measured: bool = True
) -> Finding | None:
    """What to say of a photo with such a `grey_error` and `grey_by_place`.

    Parameters
    ----------
    hopeless
        No fit of its patches can be used, whatever the reason.
    measured
        False where only the card's design is known: then the print may set its greys apart, and what differs from the
        design refuses nothing short of more than a print does. What differs from place to place refuses as ever.
    """
    if error_l < TOLD_L and by_place_l < TOLD_PLACE_L:
        return None
    most = REFUSED_L if measured else UNPRINTED_L
    refuses = hopeless or error_l >= most or by_place_l >= REFUSED_PLACE_L
    what = "no colour can be judged" if refuses else "colours are less sure than stated"
    print_too = "the card is faded" if measured else NOT_AS_DESIGNED
    return Finding(
        code="tone_local",
        message="The card's greys don't agree with each other: the camera changed light and dark parts of the picture"
        f" by themselves, a faint shadow lies on the card, or {print_too}; {what}.",
        hint="Switch off HDR, night and portrait modes and every filter, use the plain camera, and take it again."
        f" {'If it says so in good light too, print a new card.' if measured else MEASURE_IT}",
        refuses=refuses,
    )


def _trusted_greys(samples: SheetSamples, correction: Correction) -> MaskArray:
    grey = np.hypot(samples.patch_lab[:, 1], samples.patch_lab[:, 2]) < _GREY_CHROMA
    return np.asarray(grey & samples.patch_usable & (correction.weight >= _TRUSTED))


def _less_shadow(squared_l: float, shadow: float) -> float:
    return float(np.sqrt(max(0.0, squared_l - (_L_BY_LEVEL * shadow) ** 2)))

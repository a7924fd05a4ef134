"""A camera that brightens dark parts by themselves (HDR, night and portrait modes, filters): no tone curve fits all."""

import numpy as np

from grader.colour.correction import Correction
from grader.colour.gates.unmeasured import MEASURE_IT, NOT_AS_DESIGNED
from grader.colour.sheet import SheetSamples
from grader.errors import Finding

_GREY_CHROMA = 6.0
_LEAST_GREYS = 4
_TRUSTED = 0.10

TOLD_L, REFUSED_L = 1.1, 1.9
"""Good photographs give up to 0.99, 95 % of them up to 0.57. Dark parts brightened from place to place: at 1.2 fries
are 1 to 5 off (CIE 2000), at 2.0 from 2 to 6, at 3.5 up to 12; inks that have faded by a tenth give 1.8 to 2.4, and
fries 4 off."""


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
    grey = np.hypot(samples.patch_lab[:, 1], samples.patch_lab[:, 2]) < _GREY_CHROMA
    grey &= samples.patch_usable & (correction.weight >= _TRUSTED)
    if grey.sum() < _LEAST_GREYS:
        return 0.0
    squared = float(np.mean(correction.left_out_lab_error[grey, 0] ** 2))
    return float(np.sqrt(max(0.0, squared - (_L_BY_LEVEL * shadow) ** 2)))


def find_local_tone(error_l: float, *, hopeless: bool = False, measured: bool = True) -> Finding | None:
    """What to say of a photo with such a `grey_error`.

    Parameters
    ----------
    hopeless
        No fit of its patches can be used, whatever the reason.
    measured
        False where only the card's design is known: then the print alone may set its greys apart, and they refuse
        nothing by themselves.
    """
    if error_l < TOLD_L:
        return None
    refuses = hopeless or (measured and error_l >= REFUSED_L)
    what = "no colour can be judged" if refuses else "colours are less sure than stated"
    return Finding(
        code="tone_local",
        message="The card's greys don't agree with each other: the camera changed light and dark parts of the picture"
        f" by themselves, a faint shadow lies on the card, or {'the card is faded' if measured else NOT_AS_DESIGNED};"
        f" {what}.",
        hint="Switch off HDR, night and portrait modes and every filter, use the plain camera, and take it again."
        f" {'If it says so in good light too, print a new card.' if measured else MEASURE_IT}",
        refuses=refuses,
    )

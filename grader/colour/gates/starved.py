"""A light that starves a channel, or in which two channels see the same: a camera's smallest errors grow large.

And one that shows inks and food so differently that what the patches tell of the fries no longer holds.
"""

import numpy as np

from grader.colour.cie import xyz_to_lab
from grader.colour.correction import Correction, apply_correction
from grader.colour.fitting import USUAL_FRY_LAB
from grader.colour.gates.unmeasured import MEASURE_IT, NOT_AS_DESIGNED
from grader.colour.sheet import SheetSamples
from grader.errors import Finding
from grader.photo.srgb import linear_to_srgb, srgb_to_linear

_LEVEL = 1 / 255
_WHITE_LEVEL = 0.7

TOLD_LAB, REFUSED_LAB = 3.0, 10.0
"""Good photographs give up to 1.8. Where red and green see nearly the same, 4.6 goes with fries 0.4 to 0.8 off (CIE
2000), 9 with 0.8 to 2.2, 30 with 4 to 10. Blue at a fiftieth gives 5.4, and a camera's black is no surer than two
levels."""

TOLD_SCALE, REFUSED_SCALE = 1.6, 4.0
"""Of `FoodBias.scale`. Good photographs give up to 1.57. On spectra (calibration/REFERENCES.md, "Gates"): below 1
fries are typically 0.7 off (CIE 2000), from 1.6 to 1.8 by 1.3, to 2.8 by 1.9, to 4 by 2.9, beyond by 16; inks faded by
15 %, with fries 4 off, give 1.6 to 2.5. An unmeasured print 8 units off its design reaches 2.7 by itself."""

_HINT = "Turn off coloured and deep yellow lamps, put on white ones or step to a window, and take it again."


def shift_by_a_level(samples: SheetSamples, correction: Correction) -> float:
    """CIELAB distance by which a fry's colour moves where each channel is off by one of 256 levels.

    Taken at the patch that is most like a fry, in a photo exposed as it should be: a dark one is told elsewhere. A
    camera's black level, its rounding and JPEG are never surer than a level; what they do alike all over a photo, no
    mean over pixels takes away.
    """
    usable = np.flatnonzero(samples.patch_usable)
    lab, rgb = samples.patch_lab[usable], samples.patch_rgb[usable]
    white = rgb[np.argmax(lab[:, 0])].max()
    fry = rgb[np.argmin(((lab - USUAL_FRY_LAB) ** 2).sum(axis=1))] * (_WHITE_LEVEL / white)
    off_by_one = linear_to_srgb(np.clip(fry, 0, 1)) + _LEVEL * np.vstack([np.zeros(3), np.eye(3)])
    seen = xyz_to_lab(apply_correction(correction, srgb_to_linear(off_by_one)))
    return float(np.linalg.norm(seen[1:] - seen[0]))


def find_starved(shift_lab: float) -> Finding | None:
    """What to say of a photo with such a `shift_by_a_level`."""
    if shift_lab < TOLD_LAB:
        return None
    refuses = shift_lab >= REFUSED_LAB
    what = "no colour can be judged in it" if refuses else "colours are less sure in it than stated"
    return Finding(
        code="light_starved",
        message=f"The light is of nearly one colour, and hides the differences between others: {what}.",
        hint=_HINT,
        refuses=refuses,
    )


def find_inks_apart(scale: float, *, hopeless: bool = False, measured: bool = True) -> Finding | None:
    """What to say of a photo whose patches part so far from each other (`FoodBias.scale`).

    Parameters
    ----------
    hopeless
        No fit of its patches can be used, whatever the reason.
    measured
        False where only the card's design is known: then the print alone may set its patches apart, and the scale by
        itself refuses nothing.
    """
    if scale < TOLD_SCALE:
        return None
    refuses = hopeless or (measured and scale >= REFUSED_SCALE)
    print_too = "the card is faded" if measured else NOT_AS_DESIGNED
    what = "no fry can be judged by it" if refuses else "the fries' colours are less sure than stated"
    return Finding(
        code="light_starved",
        message="The card's colours part as they do under candles, sodium lamps and amber or red heat lamps, or"
        f" {print_too}: {what}.",
        hint=f"{_HINT} {'If it says so in daylight too, print a new card.' if measured else MEASURE_IT}",
        refuses=refuses,
    )

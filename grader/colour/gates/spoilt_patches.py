"""Patches that are not what they were: stained, scratched or faded ones stand out of the others."""

import numpy as np

from grader.arrays import IntArray
from grader.colour.correction import Correction
from grader.colour.gates.unmeasured import MEASURE_IT
from grader.colour.sheet import SheetSamples
from grader.counted import first_of
from grader.errors import Finding

_NOT_TRUSTED = 0.10
"""The fit's own trust in a patch. Sound ones keep 0.19 and more (71 rendered plates), one with a grease mark of 6
CIE 2000 units falls to 0.04; a mark of 3 keeps 0.25, and moves no fry by 0.2."""
_MANY_SHARE = 0.125
_NAMED_AT_MOST = 4


def spoilt_patches(samples: SheetSamples, correction: Correction) -> IntArray:
    """Indices of the patches that the fit found off and left out of account, the worst first."""
    usable = np.flatnonzero(samples.patch_usable)
    off = usable[correction.weight[usable] < _NOT_TRUSTED]
    return np.asarray(off[np.argsort(correction.weight[off])], np.int64)


def find_spoilt_patches(
    spoilt: IntArray, samples: SheetSamples, numbers: tuple[int, ...], *, measured: bool = True
) -> Finding | None:
    """What to say of spoilt patches: a few are left out, many mean that the card is not what it was.

    Parameters
    ----------
    numbers
        The number of each of the sheet's patches, in their order.
    measured
        False where only the card's design is known: then many may have been printed so, and refuse nothing.
    """
    if not len(spoilt):
        return None
    refuses = measured and len(spoilt) > _MANY_SHARE * len(numbers)
    named = first_of([f"{numbers[i]} ({_place(i, samples)})" for i in spoilt], _NAMED_AT_MOST, between="; ")
    what = "too many to judge by the others" if refuses else "left out, the others serve"
    who = "A patch of the card looks" if len(spoilt) == 1 else f"{len(spoilt)} patches of the card look"
    how = "stained or faded" if measured else "stained, faded or printed otherwise than designed"
    remedy = "where that doesn't help, print a new one and keep it in the dark." if measured else f"then: {MEASURE_IT}"
    return Finding(
        code="patch_faded",
        message=f"{who} {how}: number {named}; {what}.",
        hint=f"Wipe the card with a dry soft cloth; {remedy}",
        refuses=refuses,
    )


def _place(index: int, samples: SheetSamples) -> str:
    x_mm, y_mm = samples.patch_xy_mm[index]
    return f"{x_mm / 10:.0f} cm from the left, {y_mm / 10:.0f} cm from the top"

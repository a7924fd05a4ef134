"""What one control photograph shows of its card, in two ways: as the camera saw it, and as the correction left it."""

from dataclasses import dataclass

import numpy as np

from grader.arrays import FloatArray, MaskArray, frozen
from grader.colour import (
    SheetColour,
    SheetSamples,
    apply_correction,
    expected_error,
    fry_weights,
    light_at,
    xyz_to_lab,
)

_DARKEST = 1e-4


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ControlReading:
    """One photo of the card alone.

    Attributes
    ----------
    numbers
        (n,) of the patches.
    usable
        (n,) which could be read.
    seen
        (n, 3) natural logarithm of each patch against the bare paper beside it, as the camera saw both, channel by
        channel: free of exposure, of white balance and of how the light falls off; 0.01 is one per cent.
    left
        (n, 3) CIELAB: each patch as corrected by this very photo, less what the card is known to be. What the
        correction takes out isn't in it; what it leaves comes to the fries as well.
    weight
        (n,) patches near the colours of fries count most.
    tint
        (2,) natural logarithm of red over green and of blue over green of the bare paper: the light, and what the phone
        made of it.
    fit_de
        CIE 2000 error of patches that are left out of the correction in turn, median.
    """

    numbers: tuple[int, ...]
    usable: MaskArray
    seen: FloatArray
    left: FloatArray
    weight: FloatArray
    tint: FloatArray
    fit_de: float


def control_reading(samples: SheetSamples, colour: SheetColour, numbers: tuple[int, ...]) -> ControlReading:
    """The reading of a sheet whose patches bear these numbers."""
    paper = samples.ground_lab[:, 0] == samples.ground_lab[:, 0].max()
    at_paper, _ = light_at(colour.light, samples.ground_xy_mm[paper])
    at_patch, _ = light_at(colour.light, samples.patch_xy_mm)
    paper_rgb = np.median(samples.ground_rgb[paper] / at_paper[:, None], axis=0)
    patch_rgb = samples.patch_rgb / at_patch[:, None]
    corrected = xyz_to_lab(apply_correction(colour.correction, samples.patch_rgb) / at_patch[:, None])
    balance = np.log(np.maximum(paper_rgb, _DARKEST))
    return ControlReading(
        numbers=numbers,
        usable=frozen(samples.patch_usable.copy()),
        seen=frozen(np.log(np.maximum(patch_rgb, _DARKEST)) - balance),
        left=frozen(corrected - samples.patch_lab),
        weight=frozen(np.asarray(fry_weights(samples.patch_lab), float)),
        tint=frozen(balance[[0, 2]] - balance[1]),
        fit_de=expected_error(colour.correction)[0],
    )

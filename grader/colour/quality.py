"""Whether a correction can be fitted to patches at all, and is good enough to judge colours by."""

import numpy as np

from grader.arrays import FloatArray
from grader.colour.correction import Correction
from grader.errors import ColourFitPoor

# Median CIE 2000 difference of patches left out beyond which nothing can be judged. Good photographs reach 0.2 to
# 2.5, the upper end under lamps of few narrow lines; a step of a house scale is about 6 wide, and an error of this
# size moves a fry by most of one.
HOPELESS_DE = 5.0
# Second singular value of the patches' rgb over the first: 0.25 on the card that ships, none where all are greys of one
# tint. The third says less: a light in which two channels see the same has next to none, and is told as what it is.
# Only where it is nought but for rounding (a filter has copied one channel into another) nothing can be fitted at all.
_LEAST_COLOUR, _NOUGHT = 0.005, 1e-9


def expected_error(correction: Correction) -> tuple[float, float]:
    """Median and 95th percentile CIE 2000 difference of the patches left out: what to expect of a colour not fitted."""
    return float(np.nanmedian(correction.left_out_de)), float(np.nanpercentile(correction.left_out_de, 95))


def refuse_black_and_white(patch_rgb: FloatArray) -> None:
    """Raise `ColourFitPoor` where patches (n, 3), three or more, show too few colours for a matrix to be fitted."""
    spread = np.linalg.svd(patch_rgb, compute_uv=False)
    if spread[1] < _LEAST_COLOUR * spread[0]:
        raise ColourFitPoor(
            "The photo is black and white, or nearly so: its patches hardly differ in colour.",
            hint="Photograph in colour, without a filter and in white light.",
            code="colour_fit_poor",
        )
    if spread[2] < _NOUGHT * spread[0]:
        raise ColourFitPoor(
            "The photo holds two colours in place of three: one of its channels follows from the others.",
            hint="Photograph in colour, without a filter and in white light.",
            code="colour_fit_poor",
        )


def refuse_poor_fit(correction: Correction) -> None:
    """Raise `ColourFitPoor` where the patches and their known colours don't agree well enough for anything."""
    median, _ = expected_error(correction)
    if median > HOPELESS_DE:
        raise ColourFitPoor(
            "The card's patches and their known colours don't agree: they differ by"
            f" {median:.1f} (CIE 2000, median), and beyond {HOPELESS_DE:.0f} no fry can be judged.",
            hint="Use one kind of light, keep shade and reflections off the card, and switch off filters and portrait"
            " modes. Check that the card is clean, not faded, and printed as it should be.",
            code="colour_fit_poor",
        )

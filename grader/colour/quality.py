"""Whether a correction is good enough to judge colours by."""

import numpy as np

from grader.colour.correction import Correction
from grader.errors import ColourFitPoor, Finding

# Median CIE 2000 difference of patches left out beyond which nothing can be judged. Good photographs reach 0.2 to
# 2.5, the upper end under lamps of few narrow lines; a step of a house scale is about 6 wide, and an error of this
# size moves a fry by most of one.
HOPELESS_DE = 5.0

# The same for fries, of the patches trusted, with its 95th percentile beside it. 69 of 71 good photographs (rendered)
# stay below 1.4 and 3.7. The two others, inks under FL11, reach 2.3 and 5.5, and misjudge fries by 4.6 to 5.0. Inks
# that have faded until fries are 12 off give 2.3 and 9.
TOLD_MEDIAN_DE, TOLD_HIGH_DE = 1.9, 4.0
REFUSED_MEDIAN_DE, REFUSED_HIGH_DE = 3.5, 8.0
_TRUSTED = 0.10


def expected_error(correction: Correction) -> tuple[float, float]:
    """Median and 95th percentile CIE 2000 difference of the patches left out: what to expect of a colour not fitted."""
    return float(np.nanmedian(correction.left_out_de)), float(np.nanpercentile(correction.left_out_de, 95))


def find_poor_fit(correction: Correction) -> Finding | None:
    """What to say of a card whose patches don't come out as they were printed, for no reason told by them.

    Patches that the fit doesn't trust are left out: a stain on one is told by itself, and spoils no other.
    """
    trusted = correction.left_out_de[correction.weight >= _TRUSTED]
    if not len(trusted):
        return None
    median, high = float(np.median(trusted)), float(np.percentile(trusted, 95))
    if median < TOLD_MEDIAN_DE and high < TOLD_HIGH_DE:
        return None
    refuses = median >= REFUSED_MEDIAN_DE or high >= REFUSED_HIGH_DE
    what = "no fry can be judged by them" if refuses else "the fries' colours may be as far off"
    return Finding(
        code="colour_fit_poor",
        message=f"The card's colours don't come out as they were printed: typically {median:.1f}, the worst"
        f" {high:.0f} units off, where two steps of a colour scale lie about 6 apart; {what}.",
        hint="Step to a window with the lamps off: tubes and cheap lamps hide colours. Switch off filters and portrait"
        " modes. If it says so in daylight too, the card is faded or is not the card that it is taken for: print a"
        " new one.",
        refuses=refuses,
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

"""Whether a correction is good enough to judge colours by."""

import numpy as np

from grader.colour.correction import Correction
from grader.errors import ColourFitPoor

# Median CIE 2000 difference of patches left out beyond which no fry can be judged. Good photographs reach 0.3 to 2.5 (the upper end
# under lamps of few narrow lines); a step of a house scale is about 6 wide, so an error of this size would move a fry by one.
HOPELESS_DE = 5.0


def expected_error(correction: Correction) -> tuple[float, float]:
    """Median and 95th percentile CIE 2000 difference of the patches left out: what to expect of a colour not fitted."""
    return float(np.nanmedian(correction.left_out_de)), float(np.nanpercentile(correction.left_out_de, 95))


def refuse_poor_fit(correction: Correction) -> None:
    """Raise `ColourFitPoor` where the patches and their known colours don't agree well enough."""
    median, _ = expected_error(correction)
    if median > HOPELESS_DE:
        raise ColourFitPoor(
            f"The card's patches and their known colours don't agree: they are off by {median:.1f} (CIE 2000) at the median,"
            f" where at most {HOPELESS_DE:.0f} can be judged.",
            hint="Use one kind of light only, without shade or reflection on the card, switch off filters and portrait modes,"
            " and check that this is the card the program thinks it is, clean and not faded.",
            code="colour_fit_poor",
        )

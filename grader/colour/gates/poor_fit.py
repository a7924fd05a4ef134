"""Patches that don't come out as they are known to be, for no reason told by them."""

import numpy as np

from grader.colour.correction import Correction
from grader.colour.gates.unmeasured import MEASURE_IT, NOT_AS_DESIGNED
from grader.colour.quality import HOPELESS_DE
from grader.errors import Finding

# Median and 95th percentile CIE 2000 difference of left out patches, of those trusted. 165 good photographs (rendered)
# give up to 2.3 and 5.9. It tells little of fries, for what inks get wrong about them is taken off (`metamerism`): on
# spectra of many lights fries are typically 0.7 off where the 95th percentile is below 3, 1.0 at 4 to 6, 1.3 at 6 to
# 12, and 13 beyond. Inks faded until fries are 7 off give 2.3 and 7.5, until they are 12 off 3.0 and 10.
TOLD_MEDIAN_DE, TOLD_HIGH_DE = 2.5, 6.0
REFUSED_MEDIAN_DE, REFUSED_HIGH_DE = 3.5, 12.0
HOPELESS_HIGH_DE = 15.0
"""Beyond what any print explains: simulated home prints 8 CIELAB units off their design give up to 4.1 and 10.1; amber
and red heat lamps typically 5 to 10 and 24 to 28."""
_TRUSTED = 0.10

_OF_THE_CARD = (
    "If it says so in daylight too, the card is faded or is not the card that it is taken for: print a new one."
)


def find_poor_fit(correction: Correction, *, measured: bool = True) -> Finding | None:
    """What to say of a card whose patches don't come out as they were printed, for no reason told by them.

    Patches that the fit doesn't trust are left out: a stain on one is told by itself, and spoils no other.

    Parameters
    ----------
    measured
        False where only the card's design is known: then only a fit that no print explains refuses.
    """
    trusted = correction.left_out_de[correction.weight >= _TRUSTED]
    if not len(trusted):
        return None
    median, high = float(np.median(trusted)), float(np.percentile(trusted, 95))
    if median < TOLD_MEDIAN_DE and high < TOLD_HIGH_DE:
        return None
    most = (REFUSED_MEDIAN_DE, REFUSED_HIGH_DE) if measured else (HOPELESS_DE, HOPELESS_HIGH_DE)
    refuses = median >= most[0] or high >= most[1]
    what = "no fry can be judged by them" if refuses else "the fries' colours may be as far off"
    return Finding(
        code="colour_fit_poor",
        message=f"The card's colours don't come out as they {'were printed' if measured else 'should'}: typically"
        f" {median:.1f}, one in twenty {high:.0f} units off or more, where two steps of a colour scale lie about 6"
        f" apart; {what}." + ("" if measured else f" It may be that {NOT_AS_DESIGNED}."),
        hint="Step to a window with the lamps off: tubes and cheap lamps hide colours. Switch off filters and portrait"
        f" modes. {_OF_THE_CARD if measured else MEASURE_IT}",
        refuses=refuses,
    )

"""From the time for one cut to a first guess for another."""

import math

from grader.errors import GraderError
from grader.fries.model import Measured

_POWER, _POWER_U = 1.5, 0.29
"""Time goes as thickness to a power between 1, where heat enters as fast as the crust lets it, and 2, where conduction
in the strip rules (Fourier number, H. S. Carslaw, J. C. Jaeger, Conduction of Heat in Solids, from memory); any between
as likely."""


def time_for_cut(time_s: float, *, cut_mm: float, new_cut_mm: float) -> Measured:
    """Seconds at which a trial with the new cut may begin, and how unsure that is: a starting point, never a recipe.

    Raises
    ------
    GraderError
        A time or a cut that can't be, or cuts more than twice apart.
    """
    ratio = new_cut_mm / cut_mm if cut_mm > 0 else math.nan
    if not (time_s > 0 and 0.5 <= ratio <= 2):
        raise GraderError(
            "From that cut to this one nothing can be foretold.", hint="Give cuts at most twice apart, mm."
        )
    value = time_s * ratio**_POWER
    return Measured(value=value, u=value * abs(math.log(ratio)) * _POWER_U)

"""How dense tubers are, and what that says of their dry matter."""

import math

from grader.errors import GraderError
from grader.fries.model import Measured

_RANGE = 1.02, 1.15
"""Specific gravities of raw tubers: beyond these something was read wrong."""
_EQUATION_U = 0.005
"""Of a share of dry matter: two published equations differ by half a point (W. C. von Scheele and others, 1937;
G. E. Kleinkopf and others, Am. Potato J. 64 (1987) 579-588; the latter from memory)."""


class GravityUnlikelyError(GraderError, ValueError):
    """No raw tuber is so light, or so heavy."""


def specific_gravity(air_g: float, water_g: float, *, u_g: float) -> Measured:
    """Of tubers weighed in air and under water: air / (air - water).

    Parameters
    ----------
    air_g, water_g
        Mass shown in air, and hung under water, g. The same tubers, dry on the outside and without air bubbles.
    u_g
        Standard uncertainty of either weighing, g.

    Raises
    ------
    GravityUnlikelyError
        It comes out below 1.02 or above 1.15.

    Notes
    -----
    The uncertainty is that of the weighings alone (ISO/IEC Guide 98-3:2008, 5.1.2), not that of how tubers differ.
    """
    value = air_g / (air_g - water_g) if 0 < water_g < air_g else math.nan
    if not _RANGE[0] <= value <= _RANGE[1]:
        raise GravityUnlikelyError(
            f"{air_g:g} g in air and {water_g:g} g under water are not those of raw tubers.",
            hint="Under water they show 2 to 13 % of what they do in air: was the basket's own weight taken off?",
        )
    u = value * math.hypot(water_g / air_g, 1.0) * u_g / (air_g - water_g)
    return Measured(value=value, u=u)


def dry_matter(gravity: Measured) -> Measured:
    """Share of dry matter (0 to 1) of tubers of this specific gravity.

    0.24182 + 2.1104 (SG - 1.0988). The uncertainty takes in that such equations differ; single lots are said to stray
    by more: an oven tells what a scale can't.
    Source: W. C. von Scheele, G. Svensson, J. Rasmusson, 1937 (the formula from memory; it reproduces the table of
    13 rows that tests hold it to).
    """
    share = 0.24182 + 2.1104 * (gravity.value - 1.0988)
    return Measured(value=share, u=math.hypot(2.1104 * gravity.u, _EQUATION_U))

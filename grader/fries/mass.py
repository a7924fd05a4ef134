"""What a fry weighs, as an estimate: from the area that shows, a thickness that doesn't, and how dense fries are.

No photo from above shows a fry's thickness. It is taken to be the cut's nominal width, a strip being cut square.
"""

from dataclasses import dataclass

import numpy as np

from grader.fries.model import Mass, Measured

SECTION = 0.97
"""Of a square cross-section's area its rounded edges leave so much: a superellipse of power 7, as in `geometry`."""
THICKNESS_SHARED_U = 0.10
"""Of the thickness, relative, what all fries of a plate share: how far the blade was off the nominal cut, and how much
frying shrank all of them. Common practice, no source."""
THICKNESS_OWN_U = 0.12
"""Of the thickness, relative, each fry's own: 4 % of cut strips, and 11 % with the slivers among them that lie on their
broad side (1277 rendered fries). By its own width the thickness would be off by 16 %: a sliver on edge is not thin."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Density:
    """In g/cm3, and its standard uncertainty, which all fries of a plate share."""

    value: float
    u: float


FRIED = Density(value=0.92, u=0.12)
"""Frying takes a raw strip of 1.08 g/cm3 to about 65 % of its volume (R. M. Costa, F. A. R. Oliveira, G. Boutcheva,
Int. J. Food Sci. Technol. 36 (2001) 11-23, abstract) and to 45 to 65 % of its mass (dry to moist fries; worked out from
tables of composition, no single source): 0.75 to 1.08, taken as rectangular and a little wider."""
RAW = Density(value=1.08, u=0.015)
"""Specific gravity of potatoes for frying, 1.070 to 1.100 for nine in ten of a stock; common practice."""


def estimate_mass(area_mm2: float, length_mm: Measured, width_mm: Measured, *, cut_width_mm: float, raw: bool) -> Mass:
    """The mass of one fry.

    Parameters
    ----------
    area_mm2
        What shows of it from above, in the plane of its middle: its taper and its bend are in it.
    length_mm, width_mm
        Only how sure they are is used: so sure is the area.
    cut_width_mm
        The nominal cut, for its thickness.
    raw
        Raw strips, not fried.

    Returns
    -------
    Mass
        In g. Its shared part holds density and what the thickness of all fries is off by: it cancels in a share of
        mass, and doesn't shrink in a sum. Its own part holds this fry's thickness and area.
    """
    density = RAW if raw else FRIED
    value = density.value * SECTION * area_mm2 * cut_width_mm / 1000
    shared = float(np.hypot(density.u / density.value, THICKNESS_SHARED_U))
    area = np.hypot(length_mm.u / max(length_mm.value, 1.0), width_mm.u / max(width_mm.value, 1.0))
    return Mass(value=value, shared_u=shared * value, own_u=float(np.hypot(THICKNESS_OWN_U, area)) * value)

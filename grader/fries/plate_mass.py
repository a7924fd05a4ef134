"""What all fries of a plate weigh, as their photo tells, held against the portion scale: some may have been taken off.

A photo tells a plate's mass to about a sixth only (thickness and density aren't seen), so that the two part company
where a third of the plate is gone, seldom before. That is enough to make picking out bad fries risky.
"""

from enum import StrEnum

import numpy as np

from grader.arrays import FloatArray
from grader.fries.mass import FRIED, THICKNESS_SHARED_U
from grader.fries.model import Measured

_COVERAGE = 2.0
"""Standard uncertainties on either side for about 95 % (JCGM 100:2008, 6.3.3)."""
_SHARED = float(np.hypot(FRIED.u / FRIED.value, THICKNESS_SHARED_U))
"""Relative, of what all fries of a plate share; of raw strips it is less."""


class OnScale(StrEnum):
    """What the scale says beside the photo."""

    MORE = "more"
    ALIKE = "alike"
    LESS = "less"


def mass_of_plate(masses_g: FloatArray, masses_u_g: FloatArray) -> Measured | None:
    """The sum over fries (n,), g; nan where a fry's mass isn't known, and then it is taken to weigh as the others do.

    What all share doesn't shrink in a sum, each fry's own does. A fry of unknown mass is doubted by all of it. None
    where less than half of the fries have a mass.
    """
    known = ~np.isnan(masses_g)
    if not known.any() or known.mean() < 0.5:
        return None
    mean = float(masses_g[known].mean())
    total = mean * len(masses_g)
    own = masses_u_g[known] ** 2 - (_SHARED * masses_g[known]) ** 2
    own_u = float(np.sqrt(np.maximum(own, 0.0).sum() + mean**2 * int((~known).sum())))
    return Measured(value=total, u=float(np.hypot(own_u, _SHARED * total)))


def reach_g(scale_g: float, photo: Measured) -> float:
    """How far both may part by doubt alone: the photo's is a share of the mass, whichever of the two that is."""
    return _COVERAGE * photo.u / photo.value * max(scale_g, photo.value)


def against_scale(scale_g: float, photo: Measured) -> OnScale:
    """Whether the scale says more than the fries that the photo shows, or less, beyond their doubt."""
    apart = scale_g - photo.value
    if abs(apart) <= reach_g(scale_g, photo):
        return OnScale.ALIKE
    return OnScale.MORE if apart > 0 else OnScale.LESS

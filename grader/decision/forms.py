"""What the limits that a standard may leave out look at, as columns: bows, torn ends, estimated masses, crumbs."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from grader.arrays import FloatArray
from grader.fries.model import Fry, Measured
from grader.fries.torn_ends import deepest_gap
from grader.standard.model import Standard

LEAST_U = 1e-9
"""A figure without doubt would divide by zero."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Forms:
    """Columns (n,) over the fries of a batch, and (m,) over all pieces found, crumbs included; nan where not measured.

    Attributes
    ----------
    bow_share, bow_share_u
        Bow over straight length.
    gap_mm, gap_mm_u
        Of the deeper of both ends' gaps; nan where an end can't be seen.
    mass_g, mass_own_u
        Estimated mass, and its own relative uncertainty; what all masses share cancels in a share.
    found_plate, crumb
        (m,) the plate of each piece found, and the probability that it is a crumb.
    """

    bow_share: FloatArray
    bow_share_u: FloatArray
    gap_mm: FloatArray
    gap_mm_u: FloatArray
    mass_g: FloatArray
    mass_own_u: FloatArray
    found_plate: NDArray[np.int_]
    crumb: FloatArray


def asks_for_forms(standard: Standard) -> bool:
    """Some limit of this standard looks at them: gathering them for nothing takes time."""
    limits = standard.limits
    asked = (limits.crumb_share_at_most, limits.curved_share_at_most, limits.torn_end_share_at_most)
    return any(limit is not None for limit in asked) or any(share.by == "mass" for share in limits.length_shares)


def gather_forms(fries: Sequence[Fry], *, found_plate: NDArray[np.int_], crumb: FloatArray) -> Forms:
    """The columns of the fries that are no crumbs (n,); of all pieces found (m,) plate and probability to be one."""
    bow_share, bow_share_u = measured_columns(fry.bow_share for fry in fries)
    gap_mm, gap_mm_u = measured_columns(deepest_gap(fry.end_gaps_mm) for fry in fries)
    masses = [fry.mass_g for fry in fries]
    return Forms(
        bow_share=bow_share,
        bow_share_u=bow_share_u,
        gap_mm=gap_mm,
        gap_mm_u=gap_mm_u,
        mass_g=np.array([math.nan if mass is None else mass.value for mass in masses], float),
        mass_own_u=np.array([math.nan if mass is None else mass.own_u / mass.value for mass in masses], float),
        found_plate=found_plate,
        crumb=crumb,
    )


def measured_columns(measured: Iterable[Measured | None]) -> tuple[FloatArray, FloatArray]:
    """Values and uncertainties (n,), nan where there is none."""
    there = [(math.nan, math.nan) if one is None else (one.value, one.u) for one in measured]
    table = np.array(there, float).reshape(-1, 2)
    return table[:, 0], np.maximum(table[:, 1], LEAST_U)

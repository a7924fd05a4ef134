"""What of a graded plate goes onto one row, so that charts never read fries; pure computation."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from grader.arrays import FloatArray, MaskArray
from grader.decision.colour import on_scale
from grader.decision.model import Verdict
from grader.decision.pieces import gather
from grader.fries.model import Fry
from grader.records.json_values import Json, number
from grader.standard.model import Standard


@dataclass(frozen=True, slots=True, kw_only=True)
class PlateFigures:
    """The figures of one plate; their names and meaning are those of `plate_tables.Grading`."""

    fries: int
    off_scale: int
    coloured: int
    measured: int
    place_mean: float | None
    place_sd: float | None
    place_u: float | None
    lab_l: float | None
    lab_a: float | None
    lab_b: float | None
    length_mean_mm: float | None
    length_sd_mm: float | None
    shares: Json


NO_FIGURES = PlateFigures(
    fries=0,
    off_scale=0,
    coloured=0,
    measured=0,
    place_mean=None,
    place_sd=None,
    place_u=None,
    lab_l=None,
    lab_a=None,
    lab_b=None,
    length_mean_mm=None,
    length_sd_mm=None,
    shares={},
)
"""Of a photo that was refused."""


def plate_figures(fries: Sequence[Fry], standard: Standard, verdict: Verdict | None) -> PlateFigures:
    """The figures of a plate's fries, crumbs left out, as the standard means lengths and places.

    The shared doubt of the mean place is that of the mean of what each cause moves the fries by: it doesn't shrink
    with their number.
    """
    pieces = gather([fries], standard)
    on = on_scale(pieces, standard)
    shared = pieces.place_shift_by[on].mean(axis=0) if on.any() else np.zeros(0)
    labs = [fry.colour.lab for fry in fries if fry.colour is not None]
    lab = np.mean(labs, axis=0) if labs else np.full(3, np.nan)
    return PlateFigures(
        fries=len(fries),
        off_scale=int((~np.isnan(pieces.place) & ~on).sum()),
        coloured=int(on.sum()),
        measured=int(pieces.length.known.sum()),
        place_mean=_mean(pieces.place, on),
        place_sd=_sd(pieces.place, on),
        place_u=number(float(np.sqrt((shared**2).sum()))) if on.any() else None,
        lab_l=number(float(lab[0])),
        lab_a=number(float(lab[1])),
        lab_b=number(float(lab[2])),
        length_mean_mm=_mean(pieces.length.mm, pieces.length.known),
        length_sd_mm=_sd(pieces.length.mm, pieces.length.known),
        shares={} if verdict is None else _shares(verdict),
    )


def _mean(values: FloatArray, known: MaskArray) -> float | None:
    return number(float(values[known].mean())) if known.any() else None


def _sd(values: FloatArray, known: MaskArray) -> float | None:
    return number(float(values[known].std(ddof=1))) if known.sum() > 1 else None


def _shares(verdict: Verdict) -> Json:
    """By limit: fries that fall under it (an estimate, so not whole) and fries that could be counted."""
    return {
        limit.key: [number(limit.measured * limit.counted), limit.counted]
        for limit in verdict.limits
        if limit.unit == "share" and limit.counted and not np.isnan(limit.measured)
    }

"""Strips of a lot test fry scored from a photo: which is which by where it lies, its body's and its stem end's colour.

The strips of a basket lie side by side in the order of its table, stem ends towards the card's upper side; in several
rows where one is too short, each row from left to right as the card is read.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from grader.arrays import FloatArray, IntArray
from grader.errors import GraderError
from grader.fries.model import Fry
from grader.line.fry_numbers import Chips, number_of
from grader.standard.model import Standard
from grader.standard.place import place_on_scale

_ACROSS = 0.7
"""A strip whose way from end to end runs more across than this (cosine) lies aslant, and its stem end can't be told."""
_NEXT_ROW = 0.5
"""A row begins where middles lie so many strip lengths below those before."""


class LaidError(GraderError, ValueError):
    """The strips in the photo aren't those of the table."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Scored:
    """One strip; None where it can't be told. Fields as those of `lot_fry.TestStrip`."""

    place: float | None
    sugar_end: bool | None
    number: float | None
    stem_number: float | None


def score_strips(
    fries: Sequence[Fry], corners_px: FloatArray, *, planned: int, standard: Standard, chips: Chips | None = None
) -> tuple[Scored, ...]:
    """The strips of one basket in the order in which they lie.

    Parameters
    ----------
    fries
        Of the basket's photo.
    corners_px
        (4, 2) the card's corners in it: top left, top right, bottom right, bottom left. They say which way is up.
    planned
        How many strips the basket's table has.
    standard, chips
        Whose scale places are on, and from when on an end is dark; the house's chips, where it has them.

    Raises
    ------
    LaidError
        More or fewer pieces than were planned: then nobody can tell which is which.
    """
    pieces = [fry for fry in fries if not _crumb(fry, standard)]
    if len(pieces) != planned:
        raise LaidError(
            f"The photo shows {len(pieces)} pieces, and the basket has {planned} strips.",
            hint="Lay the strips apart, in the table's order, all of them; or enter them by hand.",
        )
    right, down = _ways(corners_px)
    ends = np.array([[fry.centreline_px[0], fry.centreline_px[-1]] for fry in pieces])
    across, along = ends @ right, ends @ down
    order = _reading_order(across.mean(axis=1), along.mean(axis=1), float(np.median(np.ptp(along, axis=1))))
    aslant = np.abs(np.diff(across, axis=1)[:, 0]) > _ACROSS * np.linalg.norm(np.diff(ends, axis=1)[:, 0], axis=-1)
    stems = along.argmin(axis=1)
    return tuple(
        _scored(pieces[at], None if aslant[at] else int(stems[at]), standard=standard, chips=chips) for at in order
    )


def _ways(corners_px: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Unit vectors in the photo: to the right and down, as the card is read."""
    top_left, top_right, bottom_right, bottom_left = corners_px
    right = (top_right - top_left) + (bottom_right - bottom_left)
    down = (bottom_left - top_left) + (bottom_right - top_right)
    return right / np.linalg.norm(right), down / np.linalg.norm(down)


def _reading_order(across: FloatArray, along: FloatArray, length_px: float) -> IntArray:
    downwards = np.argsort(along)
    begins = np.concatenate([[0], np.diff(along[downwards]) > _NEXT_ROW * length_px]).cumsum()
    row = np.empty(len(along), int)
    row[downwards] = begins
    return np.asarray(np.lexsort((across, row)))


def _crumb(fry: Fry, standard: Standard) -> bool:
    return fry.straight_mm is not None and fry.straight_mm.value < standard.defects.piece_from_mm


def _scored(fry: Fry, stem: int | None, *, standard: Standard, chips: Chips | None) -> Scored:
    if fry.body_lab is None:
        return Scored(place=None, sugar_end=None, number=None, stem_number=None)
    told = place_on_scale(standard.scale, fry.body_lab, np.zeros(3))
    on_scale = float(told.off_scale_de) <= standard.scale.off_scale_de
    stem_lab = None if stem is None or fry.end_labs is None else fry.end_labs[stem]
    return Scored(
        place=float(told.place) if on_scale else None,
        sugar_end=None
        if stem_lab is None
        else bool(fry.body_lab[0] - stem_lab[0] >= standard.defects.dark_end_from_dl),
        number=_number(chips, fry.body_lab),
        stem_number=_number(chips, stem_lab),
    )


def _number(chips: Chips | None, lab: FloatArray | None) -> float | None:
    if chips is None or lab is None:
        return None
    number = float(number_of(chips, lab))
    return None if np.isnan(number) else number

"""The fries of a batch as columns of numbers: what each of them contributes to the limits."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from grader.arrays import FloatArray, MaskArray
from grader.decision.forms import LEAST_U, Forms, asks_for_forms, gather_forms, measured_columns
from grader.decision.sizes import Sizes, size_columns
from grader.fries.model import Fry, Measured
from grader.standard.model import Standard
from grader.standard.place import place_on_scale

COUNTED_AT_LEAST = 10
"""Fewer fries say nothing about a batch (house default, no source)."""
COUNTED_SHARE_AT_LEAST = 0.5
"""Where fewer could be counted, those left out may be of another kind: the hidden, the long ones (house default)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Counts:
    """Fries that a limit could count, those that it couldn't, and the plates on which the former lay."""

    counted: int
    left_out: int
    plates: int

    @property
    def mostly(self) -> bool:
        """Those left out are not the rule."""
        return self.counted >= COUNTED_SHARE_AT_LEAST * (self.counted + self.left_out)

    @property
    def enough(self) -> bool:
        """So many could be counted that they may speak for all."""
        return self.counted >= COUNTED_AT_LEAST and self.mostly


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Pieces:
    """Columns (n,) over all fries of a batch, crumbs left out; nan where a fry lacks the figure.

    Attributes
    ----------
    plate
        Which plate each fry lay on, from 0.
    length, width
        Length as the standard means it.
    whole
        Both ends show, and so does its flesh: a dark end would have been seen.
    dark_end_mm, dark_end_mm_u, dark_end_dl
        0 reach where there is none.
    spot_mm
        Diameter of the largest spot, 0 where there is none.
    place, place_own_u, place_shift
        On the colour scale; `place_own_u` is its own doubt, `place_shift` how far one standard uncertainty of the error
        shared by the photo moves it, steps.
    place_shift_by
        (n, k) the same by each cause of that error.
    forms
        What limits that may be left out look at; None where the standard has none of them.
    """

    plates: int
    crumbs: int
    plate: NDArray[np.int_]
    length: Sizes
    width: Sizes
    whole: MaskArray
    dark_end_mm: FloatArray
    dark_end_mm_u: FloatArray
    dark_end_dl: FloatArray
    spot_mm: FloatArray
    place: FloatArray
    place_own_u: FloatArray
    place_shift: FloatArray
    place_shift_by: FloatArray
    off_scale_de: FloatArray
    forms: Forms | None = None

    def per_plate(self, counted: MaskArray) -> NDArray[np.int_]:
        """(plates,) how many of the counted fries lay on each plate."""
        return np.bincount(self.plate[counted], minlength=self.plates)

    def counts(self, counted: MaskArray) -> Counts:
        """How many fries were counted and left out, and how many plates the former lay on."""
        plates = int((self.per_plate(counted) > 0).sum())
        return Counts(counted=int(counted.sum()), left_out=int((~counted).sum()), plates=plates)


def length_as_meant(fry: Fry, standard: Standard) -> Measured | None:
    """The length that the standard's limits mean, along the bend or straight; None where it can't be measured."""
    return fry.straight_mm if standard.length_is == "straight" else fry.length_mm


def is_crumb(fry: Fry, standard: Standard) -> bool:
    """Too short to be a fry at all: it counts nowhere."""
    length = length_as_meant(fry, standard)
    return length is not None and length.value < standard.defects.piece_from_mm


def gather(plates: Sequence[Sequence[Fry]], standard: Standard, *, with_forms: bool = False) -> Pieces:
    """The columns of a batch, length as the standard means it; places are those on its colour scale.

    Forms are gathered where the standard asks for them, or `with_forms`.
    """
    fries_all = [fry for fries in plates for fry in fries]
    length = size_columns([length_as_meant(fry, standard) for fry in fries_all])
    kept = ~(length.mm < standard.defects.piece_from_mm)
    found_plate = np.repeat(np.arange(len(plates)), [len(fries) for fries in plates])
    fries_kept = [fry for fry, stays in zip(fries_all, kept, strict=True) if stays]
    forms = None
    if with_forms or asks_for_forms(standard):
        crumb = length.below(standard.defects.piece_from_mm)
        forms = gather_forms(fries_kept, found_plate=found_plate, crumb=crumb)
    dark_mm, dark_mm_u = measured_columns(fry.dark_end_mm for fry in fries_kept)
    lab, own_u, shared = _colours(fries_kept)
    place = place_on_scale(standard.scale, lab, own_u)
    shift = np.einsum("nkc,nc->nk", shared, place.slope)
    none = np.isnan(dark_mm)
    return Pieces(
        plates=len(plates),
        crumbs=len(fries_all) - len(fries_kept),
        plate=found_plate[kept],
        length=length.of(kept),
        width=size_columns([fry.width_mm for fry in fries_kept]),
        whole=np.array([fry.whole for fry in fries_kept], bool) & ~np.isnan(lab[:, 0]),
        dark_end_mm=np.where(none, 0, dark_mm),
        dark_end_mm_u=np.where(none, LEAST_U, dark_mm_u),
        dark_end_dl=np.array([fry.dark_end_dl or 0 for fry in fries_kept], float),
        spot_mm=np.array([max(fry.spots_mm) if fry.spots_mm else 0 for fry in fries_kept], float),
        place=np.where(np.isnan(lab[:, 0]), np.nan, place.place),
        place_own_u=np.maximum(place.place_u, LEAST_U),
        place_shift=np.sqrt((shift**2).sum(-1)),
        place_shift_by=shift,
        off_scale_de=place.off_scale_de,
        forms=forms,
    )


def _colours(fries: Sequence[Fry]) -> tuple[FloatArray, FloatArray, FloatArray]:
    """CIELAB (n, 3), own uncertainty (n, 3) and what is shared (n, k, 3); nan where a fry has no colour."""
    causes = max((len(fry.colour.shared) for fry in fries if fry.colour is not None), default=0)
    table = np.full((len(fries), 2 + causes, 3), np.nan)
    coloured = [(row, fry.colour) for row, fry in enumerate(fries) if fry.colour is not None]
    if coloured:
        # One column at a time for all fries: ten thousand small stacks take longer than all the judging.
        rows = [row for row, _ in coloured]
        table[rows, 0] = np.concatenate([colour.lab for _, colour in coloured]).reshape(-1, 3)
        table[rows, 1] = np.concatenate([colour.own_u for _, colour in coloured]).reshape(-1, 3)
        table[rows, 2:] = np.concatenate([colour.shared for _, colour in coloured]).reshape(-1, causes, 3)
    return table[:, 0], table[:, 1], table[:, 2:]
